"""Readings as series: counted from zero, one after the other, outliers marked and never deleted."""

import numpy as np
import pytest

from calc.inputs.tables.observed import ObservedInstrument
from calc.site.observed.reading_rows import Reading
from calc.site.observed.series import Series, instrument_quantities, outliers, reading_from_zero, series_of
from tests.site.invented_readings import design, series

approx = pytest.approx
DAYS = np.arange(0.0, 60.0, 2.0)


def smooth() -> np.ndarray:
    """A settlement without scatter."""
    return np.asarray(0.1 * (1 - np.exp(-DAYS / 20)))


def scattered() -> np.ndarray:
    """The same with scatter of a millimetre."""
    return np.asarray(smooth() + np.random.default_rng(3).normal(0, 0.001, len(DAYS)))


def test_a_reading_far_from_its_neighbours_is_marked_alone() -> None:
    values = scattered()
    values[12] += 0.03
    found = outliers(DAYS, values, float(np.ptp(values)))

    assert np.flatnonzero(found).tolist() == [12]


def test_scatter_and_a_change_of_rate_are_no_outliers() -> None:
    kink = np.where(DAYS < 30, 0.0, 0.01 * (DAYS - 30))

    assert not outliers(DAYS, scattered(), 0.1).any()
    assert not outliers(DAYS, kink, 0.3).any()


def test_few_readings_and_both_ends_are_never_marked() -> None:
    values = scattered()
    values[0] += 0.05
    values[-1] += 0.05

    assert not outliers(DAYS[:4], np.array([0.0, 1.0, 0.0, 1.0]), 1.0).any()
    assert np.flatnonzero(outliers(DAYS, values, float(np.ptp(values)))).tolist() == []


def test_outliers_are_seen_from_the_expected_course() -> None:
    """Lifts bend the course: seen from it the one wrong reading is found, and nothing else."""
    course = np.asarray(smooth() + 0.08 * (1 - np.exp(-np.clip(DAYS - 30, 0, None) / 4)))
    values = 0.9 * course + np.random.default_rng(3).normal(0, 0.001, len(DAYS))
    values[20] -= 0.03
    one = series("A", "SP", "settlement", DAYS, values).marked(lambda days: np.interp(days, DAYS, course))

    assert np.flatnonzero(one.outliers).tolist() == [20]
    assert one.used.days.size == len(DAYS) - 1
    assert one.days.size == len(DAYS)


def test_the_fill_and_an_expectation_of_nothing_mark_nothing_new() -> None:
    jump = np.where(DAYS < 30, 0.0, 1.0)
    jump[10] = 5.0

    assert not series("A", "f", "fill", DAYS, jump).marked(None).outliers.any()
    assert series("A", "x", "settlement", DAYS, jump).marked(lambda days: 0.0 * days).outliers[10]


def test_readings_before_the_start_are_kept_but_not_used() -> None:
    one = series("A", "SP", "settlement", np.array([-3.0, 0.0, 4.0]), np.array([0.0, 0.0, 0.01]))

    assert one.days.size == 3
    assert one.used.days.tolist() == [0.0, 4.0]


def test_a_reading_is_counted_from_zero_with_the_datum_of_its_day() -> None:
    observed = design().observed
    assert observed is not None
    plate = ObservedInstrument.model_validate(
        {"name": "x", "section": "A", "of": "SP", "zero": "412 mm", "falls": True,
         "datum": [{"date": "2025-06-12", "change": "12 mm", "reason": "moved"}]}
    )  # fmt: skip

    def at(day: float, value: float) -> float:
        return reading_from_zero(plate, observed, Reading("f", 1, "x", day, value))

    assert at(9.9, 0.400) == approx(0.012)
    assert at(10.0, 0.380) == approx(0.020)


def test_a_plate_that_was_replaced_is_one_series() -> None:
    observed = design().observed
    assert observed is not None
    readings = [Reading("f", 1, "SP-A-2", 90.0, 0.0917), Reading("f", 2, "SP-A-2b", 98.0, 0.0015)]
    found = next(one for one in series_of(design(), observed, readings, []) if one.name == "SP-A-2")

    assert found.names == ("SP-A-2", "SP-A-2b")
    assert found.values == approx([0.0917, 0.0935])


def test_places_come_from_the_mapping_or_from_the_plan() -> None:
    observed = design().observed
    assert observed is not None
    found = {one.name: one for one in series_of(design(), observed, [], [])}

    def place(name: str) -> tuple[float, float | None]:
        one: Series = found[name]
        return one.offset, one.depth

    assert place("SP-A-1") == (-6.0, None)
    assert place("PP-A-1") == (0.9, 1.0)
    assert place("PP-A-2") == (0.9, 4.25)
    assert place("SR-A-1") == (-3.6, 1.0)
    assert "SP-A-2b" not in found
    assert instrument_quantities(design(), observed)["FILL-A"] == "fill"
