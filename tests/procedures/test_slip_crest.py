"""Where a slope begins below a crest with cross-fall, and that the gentle slope of a berm stays part of it."""

from calc.procedures.slip.slope import slope_of

TOE_LEFT, TOE_RIGHT = (-16.0, 0.0), (16.0, 0.0)


def test_crest_that_falls_to_the_slope_is_not_part_of_it() -> None:
    """Slopes 1:2, crest of 12 m that falls by 0.6 m, and by 10 %."""
    for fall in (0.6, 1.2):
        low, high = (-6.0, 5.0 - fall), (6.0, 5.0)
        ground = (-40.0, 0.0), (-6 - 2 * (5 - fall), 0.0), low, high, TOE_RIGHT, (40.0, 0.0)
        turned = tuple((-x, y) for x, y in reversed(ground))

        assert (slope_of(ground).crest, slope_of(ground).toe) == (high, TOE_RIGHT)
        assert slope_of(turned).crest == (6.0, 5.0 - fall)


def test_bend_of_a_stage_is_not_the_crest_of_its_slope() -> None:
    """Level to the middle, then falling by 0.3 m over 6 m to the edge."""
    ground = (-40.0, 0.0), TOE_LEFT, (-6.6, 4.7), (0.0, 4.7), (6.0, 4.4), (14.8, 0.0), (40.0, 0.0)

    assert slope_of(ground).crest == (6.0, 4.4)


def test_gentle_slope_of_a_berm_at_the_toe_is_part_of_the_slope() -> None:
    """1:2 down to 1 m, then 1:8."""
    ground = (-40.0, 0.0), TOE_LEFT, (-6.0, 5.0), (6.0, 5.0), (14.0, 1.0), (22.0, 0.0), (40.0, 0.0)

    assert slope_of(ground).toe == (22.0, 0.0)
