"""The benchmark of filling programmes measures what it says, and the work grows linearly."""

from tests.benchmarks.staged_filling import LAYERS, LIFTS, POINTS, course_time, different_layers, run


def test_the_programme_is_the_one_that_is_named() -> None:
    course = run()

    assert (LIFTS, LAYERS, POINTS) == (12, 10, 2000)
    assert course.placed.shape == (3, POINTS, LAYERS)
    assert course.degree_of_last_load()[:, -1].min() > 0.99
    assert different_layers().weights.shape[0] == LAYERS


def test_programme_of_twelve_lifts_takes_no_half_second() -> None:
    """Seen: 20 ms on two virtual cores, 52 ms on slower ones; the figure stands in docs/benchmarks.md."""
    assert course_time() < 0.5


def test_time_grows_no_more_than_linearly_in_lifts_layers_and_points() -> None:
    """Seen: four times the size takes up to four times as long. Squared growth would be sixteen times."""
    for size in ((4 * LIFTS, LAYERS, POINTS), (LIFTS, 4 * LAYERS, POINTS), (LIFTS, LAYERS, 4 * POINTS)):
        base = course_time()
        assert course_time(*size) < 9 * base
