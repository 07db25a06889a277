"""Readings that nothing may be relied on by: old, dead, contradicting, outliers alone; section A after 200 days."""

from dataclasses import replace

import numpy as np
import pytest

from calc.site.observed.crossings import Crossing, crossings, doubtful_crossings, names_of
from calc.site.observed.design_course import course_of
from calc.site.observed.fresh_readings import is_fresh, last_alive
from calc.site.observed.next_lift import OPEN, no_lift
from calc.site.observed.observed_run import ObservedSection
from calc.site.observed.observed_text import peaks_text
from calc.site.observed.series import Series, common_peaks, series_of
from tests.site.invented_lifts import lift_of, note_of, other_lift, plate, sensor, states, vanes
from tests.site.invented_readings import built, chapters_of, design, fill_at, series

pytestmark = pytest.mark.slow


def sloped(last: float, *, far: float = 0.004, name: str = "IN") -> Series:
    """An inclinometer at the toe, read every five days up to a day."""
    days = np.arange(0.0, last + 0.1, 5.0)
    return series("A", name, "lateral displacement", days, far * days / 200.0, offset=12.0)


def unread(*own: Series) -> str:
    return names_of([one for one in crossings(built("A"), list(own))[1] if one.trigger.quantity == "lateral rate"])


def test_a_red_trigger_takes_a_reading_of_today() -> None:
    """Read to the end, up to ten days before it, up to 15, and not since day 30."""
    assert unread(sloped(200.0)) == unread(sloped(190.0)) == ""
    assert unread(sloped(185.0)) == "lateral rate (T6: IN says nothing of today since 2025-12-04)"
    assert unread(sloped(30.0)) == "lateral rate (T6: IN says nothing of today since 2025-07-02)"
    assert unread() == "lateral rate (T6)"


def test_one_instrument_of_a_kind_is_enough() -> None:
    """Two of a kind, one lost; of two kinds both are asked for, also one that has its zero reading alone."""
    lost, kept = sloped(30.0, name="IN-2"), sloped(200.0)

    assert unread(replace(lost, kind="IN"), kept) == ""
    assert unread(lost, kept) == "lateral rate (T6: IN-2 says nothing of today since 2025-07-02)"
    assert unread(sloped(0.0, name="IN-2"), kept) == "lateral rate (T6: IN-2 has no reading to compare)"


@pytest.mark.parametrize(
    ("values", "alive"),
    [([0.0, 1.0, 2.0, 2.0, 2.0], 110.0), ([0.0, 0.0, 0.0, 0.0, 0.0], 100.0), ([0.0, 1.0, 2.0, 3.0, 3.0], 128.0),
     ([3.0, 3.0, 3.0, 3.0, 2.9], 128.0), ([0.0, 0.0, 1.0, 1.0, 1.0], 110.0)],
)  # fmt: skip
def test_a_sensor_that_reads_one_value_for_two_weeks_is_dead(values: list[float], alive: float) -> None:
    days = np.array([100.0, 105.0, 110.0, 117.0, 128.0])
    own = series("A", "PP", "pore pressure", days, np.array(values), depth=1.0)

    assert last_alive(own) == alive
    assert is_fresh(own, 128.0) == (alive == 128.0)
    assert last_alive(replace(own, quantity="settlement")) == 128.0
    assert last_alive(own.chosen(days < 0)) == -np.inf


def test_pressure_is_read_in_every_soft_layer() -> None:
    """The sensor in the clay alone, or that in the peat dead: a bad degree still forbids, a good one does not allow."""
    days = np.arange(150.0, 201.0, 5.0)
    dead = series("A", "PP-0", "pore pressure", days, np.zeros(len(days)), depth=1.0)
    for others in ([], [dead]):
        lift = other_lift([sensor(200.0, 2.0), *others, *vanes(30.0)], [plate()])
        assert states(lift)["layers"] == "not verified"
        assert note_of(lift, "layers").endswith("in: peat.")
        assert states(lift)["degree_pressure"] == "pass"
        assert lift.answer == OPEN
    assert states(other_lift([sensor(200.0, 12.0), *vanes(30.0)], [plate()]))["degree_pressure"] == "fail"
    assert "layers" not in states(lift_of(2.0))


def test_two_values_at_one_time_leave_trigger_and_lift_open() -> None:
    own = replace(sloped(200.0), conflicts=(100.0,))
    lift = other_lift([sensor(200.0, 2.0), own], [plate()])

    assert unread(own) == "lateral rate (T6: IN has two values at one time (2025-09-10))"
    assert states(lift)["conflicts"] == "not verified"
    assert note_of(lift, "conflicts") == "IN has two values at one time (2025-09-10)."


def test_two_values_are_those_of_the_series_whatever_instrument_replaced_the_other() -> None:
    observed = design().observed
    assert observed is not None
    made = series_of(design(), observed, [], [("SP-A-2b", 120.0), ("SP-A-2", 3.0)])

    assert {one.name: one.conflicts for one in made if one.conflicts} == {"SP-A-2": (3.0, 120.0)}


def alone(day: int) -> list[Crossing]:
    """A plate that reads 0.5 m once."""
    days = np.arange(0.0, 201.0, 1.0)
    values = np.full(len(days), 0.1)
    values[day] = 0.5
    own = series("A", "SP-1", "settlement", days, values).marked(None)
    assert own.outliers.sum() == 1
    found = crossings(built("A"), [own])[0]
    assert {one.trigger.quantity for one in found} == {"settlement", "settlement rate"}
    assert all(one.outlier and not one.stands for one in found)
    return found


def test_outliers_alone_leave_a_red_trigger_open_while_they_are_new() -> None:
    new, old = alone(195), alone(150)

    assert {one.kind for one in doubtful_crossings(new, 200.0)} == {"red"}
    assert doubtful_crossings(old, 200.0) == []
    assert states(lift_of(2.0, found=new))["red"] == "not verified"
    assert "settlement SP-1" in note_of(lift_of(2.0, found=new), "red")
    assert states(lift_of(2.0, found=old))["red"] == "pass"
    section = ObservedSection(built("C").section, (), built("C"))
    assert section.verified
    assert not replace(section, crossed=tuple(new)).verified
    assert replace(section, crossed=tuple(old)).verified


def test_lateral_displacement_counts_to_either_side() -> None:
    """20 mm within two days, outwards and with the axis of the instrument turned round."""
    days = np.array([98.0, 100.0])

    def read(far: float) -> list[tuple[str, str, float]]:
        found, _ = crossings(built("A"), [series("A", "IN", "lateral displacement", days, np.array([0.0, far]))])
        return [(one.kind, one.trigger.quantity, one.worst) for one in found]

    assert [kind for kind, *_ in read(0.02)] == ["red", "amber"]
    assert read(0.02) == read(-0.02)


def test_fill_higher_than_the_design_is_another_load() -> None:
    """26 m typed for 2.6 m; a little more than the design is its fill; two values at one time are none."""
    section, done = chapters_of("A")
    days = np.arange(0.0, 201.0)
    top = max(stage.fill_height for stage in section.stages)
    base = section.platform.thickness if section.platform is not None else 0.0

    def unknown(last: float, conflicts: tuple[float, ...] = (), *, lowered: bool = False) -> str:
        values = fill_at("A", days)
        values[-1] = last
        fill = replace(series("A", "FILL", "fill", days, values), conflicts=conflicts)
        stages = tuple(one.model_copy(update={"fill_height": 0.5}) if lowered and one.name == "Stage 2" else one
                       for one in section.stages)  # fmt: skip
        course = course_of(design(), section.model_copy(update={"stages": stages}), done, fill, 200.0)
        assert not course.works.unknown or no_lift(course) == (
            "Whether all fill lies is not verified: the load placed is not known.", False)  # fmt: skip
        return course.works.unknown

    assert unknown(26.0).startswith("The fill was read 26.00 m high on 2025-12-19, and the design ends at ")
    assert unknown(26.0, lowered=True) == unknown(26.0)
    assert unknown(top + base + 0.01) == unknown(2.6) == ""
    assert unknown(2.6, (7.0,)) == "FILL has two values at one time (2025-06-09): the load placed is not known"


def peaking(name: str, quantity: str, *days: float) -> Series:
    """An instrument that reads ten times its scatter more on some days."""
    every = np.arange(0.0, 201.0, 1.0)
    depth = 1.0 if quantity == "pore pressure" else None
    values = np.where(np.isin(every, days), 0.5, 0.1) + 0.001 * (-1.0) ** every
    return series("A", name, quantity, every, values, depth=depth).marked(None)


def test_places_that_peak_on_one_day_are_no_outliers_one_by_one() -> None:
    """A plate and a sensor on day 195 and, nine hours apart, on day 100; the plate alone on day 50."""
    own = peaking("SP-1", "settlement", 50.0, 100.0, 195.0)
    other = peaking("PP-1", "pore pressure", 100.0, 195.0)
    other = replace(other, days=np.where(other.days == 100.0, 100.375, other.days))
    made, peaks = common_peaks([own, other, peaking("SP-2", "settlement")])

    assert [(one.day, one.names) for one in peaks] == [(100.0, ("SP-1", "PP-1")), (195.0, ("PP-1", "SP-1"))]
    assert [one.shared for one in made] == [(100.0, 195.0), (100.375, 195.0), ()]
    assert made[0].days[made[0].alone].tolist() == [50.0]
    assert made[0].used.days.size == 198
    red = [one for one in crossings(built("A"), made)[0] if one.trigger.quantity == "settlement"]
    assert all(not one.outlier for one in red)
    assert {one.last for one in red} == {195.0}


def test_a_new_common_peak_is_an_open_question_with_both_names() -> None:
    new, old = (common_peaks([peaking("SP-1", "settlement", day), peaking("PP-1", "pore pressure", day)])[1]
                for day in (195.0, 150.0))  # fmt: skip
    lift = lift_of(2.0, peaks=new)
    section = ObservedSection(built("C").section, (), built("C"))

    assert states(lift)["peaks"] == "not verified"
    assert "2025-12-14: PP-1, SP-1" in note_of(lift, "peaks")
    assert lift.answer == OPEN
    assert "peaks" not in states(lift_of(2.0, peaks=old))
    assert not replace(section, peaks=new).verified
    assert replace(section, peaks=old).verified
    assert [next(peaks_text(replace(section, peaks=some))).split(":")[0] for some in (new, old)] == [
        "Question open", "Several places lay far from their neighbours in time on one day"
    ]  # fmt: skip
