"""Whether the columns of a section stand before its next lift: by records, by a statement, or not known."""

import datetime as dt
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet
from calc.inputs.tables.observed import ColumnsAccepted
from calc.site.installed.installed_run import judge_installed
from calc.site.observed.columns_there import ColumnsKnown, columns_stand
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.next_lift import MAY_BY_STATEMENT, MUST_NOT, OPEN, NextLift, next_lift
from tests.site.invented_lifts import accepted, lift_of, plate, sensor, states, vanes
from tests.site.invented_readings import built, design
from tests.site.invented_records import FIRST, PROJECT, files

pytestmark = pytest.mark.slow
STAGE = 3  # the next lift of section A after 200 days
DAY = (dt.date(2025, 5, 1) - dt.date(1970, 1, 1)).days  # before the works start


def records(**changes: Any) -> Any:
    """Records of four columns of section A and one of section B, as they are judged; without a fault if not changed."""
    areas = [SimpleNamespace(section=SimpleNamespace(of=key)) for key in "AB"]
    columns = SimpleNamespace(area=np.array([0, 0, 0, 0, 1]))
    has = np.array([True, True, True, True, False])
    one = SimpleNamespace(
        made=SimpleNamespace(layout=SimpleNamespace(areas=areas, columns=columns)), has=has,
        missing=np.zeros(5, dtype=bool), begun=np.full(5, DAY + 0.4), ids=("A-1", "A-2", "A-3", "A-4", "B-1"),
        installed=SimpleNamespace(limits="given"),
    )  # fmt: skip
    built_grids: list[Any] = []
    made = SimpleNamespace(compared=one, to_decide={"B-1": ()}, built=SimpleNamespace(grids=built_grids), again=None)
    for name, value in changes.items():
        setattr(one if hasattr(one, name) else made, name, value)
    return made


def verdict(known: ColumnsKnown | None, course: DesignCourse | None = None) -> tuple[str, str]:
    """State and note of the question on the columns."""
    sheet = Sheet(section="A", key="next lift")
    columns_stand(sheet, course or built("A"), STAGE, known)
    (one,) = sheet.verdicts
    return one.stamp, one.note


def by(found: Any, stated: ColumnsAccepted | None = None, on: dt.date | None = None) -> tuple[str, str]:
    observed = accepted().observed.model_copy(update={"columns": (stated,) if stated else ()})
    return verdict(ColumnsKnown(observed, found, on))


def stated(day: dt.date) -> ColumnsAccepted:
    return ColumnsAccepted(section="A", date=day, by="J. Linden", document="record 31")


def test_nothing_known_is_not_verified() -> None:
    state, note = verdict(None)

    assert state == "not verified"
    assert "states nothing for section A" in note
    assert by(None)[0] == "not verified"
    whole = next(one for one in design().sections if one.key == "A")
    lift = next_lift(built("A"), whole, [sensor(200.0, 2.0), *vanes(30.0)], [plate()], [], slip=False)
    assert lift is not None
    assert (states(lift)["columns"], lift.answer) == ("not verified", OPEN)


def test_a_statement_is_a_condition_that_stays_with_the_answer() -> None:
    assert by(None, stated(dt.date(2025, 5, 23))) == ("accepted by statement", "J. Linden, record 31, 2025-05-23.")
    lift = lift_of(2.0)
    for one in lift.sheet.verdicts:
        if one.key == "stability":
            lift.sheet.verdicts.remove(one)
            break
    assert NextLift("Stage 3", 200.0, lift.sheet, 0.9, 0.9).answer == MAY_BY_STATEMENT


def test_a_statement_after_the_fill_proves_nothing_of_it() -> None:
    """Fill above the working platform has lain since day 62, 2025-08-03."""
    state, note = by(None, stated(dt.date(2025, 8, 20)))

    assert state == "not verified"
    assert "2025-08-20" in note
    assert "2025-08-0" in note


def test_a_statement_after_the_day_of_the_question_says_nothing_on_it() -> None:
    made, day = stated(dt.date(2025, 5, 23)), dt.timedelta(days=1)
    waiting = records(to_decide={"A-2": ("position",)})

    assert by(None, made, made.date)[0] == "accepted by statement"
    assert by(None, made, made.date - day) == (
        "not verified", "The statement is of 2025-05-23, after the day of the question (2025-05-22)."
    )  # fmt: skip
    assert by(waiting, made, made.date)[0] == "pass"
    assert by(waiting, made, made.date - day)[0] == "not verified"


def test_records_of_all_columns_before_the_fill_pass() -> None:
    state, note = by(records())

    assert state == "pass"
    assert note.startswith("All 4 columns")


@pytest.mark.parametrize(
    ("changes", "state", "words"),
    [
        ({"has": np.array([True, True, False, False, True])}, "not verified", "without a record, of 4: 2 (A-3, A-4)"),
        ({"begun": np.array([DAY, DAY, np.nan, DAY, DAY])}, "not verified", "Records without a day: 1 (A-3)"),
        ({"to_decide": {"A-2": ("position",)}}, "not verified", "waits for a decision of the designer: 1 (A-2)"),
        ({"has": np.array([True, True, True, False, True]), "missing": np.array([False, False, False, True, False])},
         "fail", "missing where the work is done, of 4: 1 (A-4)"),
        ({"begun": np.array([DAY, DAY, DAY, DAY + 150.0, DAY])}, "fail", "the day of the fill: 1 (A-4)"),
        ({"installed": SimpleNamespace(limits=None)}, "not verified", "no column was judged"),
        ({"again": (SimpleNamespace(section="A", turns=True),)}, "not verified", "change as built"),
        ({"again": (SimpleNamespace(section="B", turns=True),)}, "pass", "All 4 columns"),
    ],
)  # fmt: skip
def test_what_speaks_against_the_columns(changes: dict[str, Any], state: str, words: str) -> None:
    found = by(records(**changes))

    assert found[0] == state
    assert words in found[1]


def test_an_area_ratio_as_built_that_is_too_low_leaves_it_open() -> None:
    area = SimpleNamespace(section=SimpleNamespace(of="A"))
    grid = SimpleNamespace(area=area, name="A", sheet=SimpleNamespace(verdicts=[SimpleNamespace(state="fail")]))

    assert by(records(built=SimpleNamespace(grids=[grid])))[0] == "not verified"


def test_a_statement_after_the_records_decides_on_what_did_not_conform() -> None:
    waiting = records(to_decide={"A-2": ("position",)})

    assert by(waiting, stated(dt.date(2025, 5, 23)))[0] == "pass"
    assert by(waiting, stated(dt.date(2025, 4, 1)))[0] == "not verified"


def test_a_plan_without_columns_of_the_section_and_many_ids() -> None:
    layout = SimpleNamespace(areas=[SimpleNamespace(section=SimpleNamespace(of="B"))],
                             columns=SimpleNamespace(area=np.zeros(5, dtype=int)))  # fmt: skip
    assert "no column of section A" in by(records(made=SimpleNamespace(layout=layout)))[1]
    areas = SimpleNamespace(layout=SimpleNamespace(areas=[SimpleNamespace(section=SimpleNamespace(of="A"))],
                                                   columns=SimpleNamespace(area=np.zeros(6, dtype=int))))  # fmt: skip
    every = records(made=areas, has=np.zeros(6, dtype=bool), missing=np.zeros(6, dtype=bool),
                    ids=tuple(f"A-{k}" for k in range(6)), begun=np.full(6, np.nan))  # fmt: skip
    assert by(every)[1].endswith(": 6 (A-0, A-1, A-2, A-3, A-4 and more).")


def test_missing_columns_forbid_the_lift_and_fill_that_was_not_read_leaves_it_open() -> None:
    """Where the fill was not read, nobody knows that it lies there: the columns are asked for by the lift."""
    course = built("A")
    unread = replace(course, works=replace(course.works, read=(False,) * len(course.works.read)))
    later = records(begun=np.array([DAY, DAY, DAY, DAY + 300.0, DAY]))
    known = ColumnsKnown(accepted().observed, later)

    assert verdict(known)[0] == "fail"
    assert verdict(known, unread)[0] == "not verified"
    whole = next(one for one in design().sections if one.key == "A")
    lift = next_lift(course, whole, [sensor(200.0, 2.0), *vanes(30.0)], [plate()], [], slip=False, columns=known)
    assert lift is not None
    assert lift.answer == MUST_NOT


@cache
def of_the_example() -> Any:
    """The two weeks of records of the example, judged."""
    made = design()
    assert made.plan is not None
    assert made.installed is not None
    names = [PROJECT / name for name in ("records.csv", "records-depth.csv")]
    return judge_installed(made, made.plan, made.installed, names, lambda _: None, again=False, slip=False)


def test_two_weeks_of_records_of_the_example_do_not_carry_a_lift() -> None:
    """They have 350 of 3856 columns of section A, and the work went past two; the statement proves no column."""
    found = by(of_the_example(), stated(dt.date(2025, 5, 23)))

    assert found == ("fail", "Columns missing where the work is done, of 3856: 2 (A-016-010, A-016-012).")


def test_records_of_the_example_are_those_of_the_generator_and_come_before_the_fill() -> None:
    observed = design().observed
    assert observed is not None
    assert FIRST < observed.start
    assert {name: (Path(PROJECT) / name).read_text(encoding="utf-8") for name in files()} == files()
