"""The long section: chainages read, steps over adjoining sections, values of the recorded dates."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

from calc.chapters.consolidation.long_section import long_section, stretch
from calc.engine.figure import Chart
from calc.engine.sheet import Sheet
from tests.chapters.timed import timed

Chapters = Callable[..., dict[str, Sheet]]


@dataclass(frozen=True)
class Stretch:
    """As much of a section as the figure reads."""

    key: str
    chainage: str


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("0+120 to 0+480", (120.0, 480.0)),
        ("km 2+400.5 – 2+760", (2400.5, 2760.0)),
        ("0+480 to 0+120", None),
        ("north abutment", None),
    ],
)
def test_a_chainage_is_read_where_it_names_two_places_in_order(text: str, ends: Any) -> None:
    assert stretch(text) == ends


def drawn(done: dict[str, Sheet], *chainages: str) -> Chart | None:
    """The figure of sections that differ in their chainage alone."""
    return drawn_of(*((text, done) for text in chainages))


def drawn_of(*parts: tuple[str, dict[str, Sheet]]) -> Chart | None:
    """The figure of sections with these chainages; the sheets are left as they were."""
    figures = [done["consolidation"].page.figures for _, done in parts]
    before = [list(one) for one in figures]
    long_section([(Stretch(f"S{k}", text), done) for k, (text, done) in enumerate(parts)])  # type: ignore[misc]
    found = [one for one in figures[0] if isinstance(one, Chart)]
    for one, was in zip(figures, before, strict=True):
        one[:] = was
    return found[0] if found else None


def test_settlement_at_hand_over_and_at_the_end_is_that_of_the_table_of_dates(first: Chapters) -> None:
    done = first(timed())
    figure = drawn(done, "0+000 to 0+100", "0+100 to 0+300")

    assert figure is not None
    table = next(one for one in done["consolidation"].page.tables if one.key == "course")
    place = [column.symbol for column in table.head].index("s_t")
    recorded = {row[0]: float(row[place]) for row in table.rows}
    named = {curve.label: curve for curve in figure.curves}
    for date, label in (("hand-over", "hand-over"), ("end of design life", "end of the design life")):
        assert named[label].x == (0.0, 100.0, 100.0, 300.0)
        assert named[label].y == pytest.approx([recorded[date]] * 4, abs=0.05)
    between = [named[f"{k} after hand-over"].y[0] for k in ("1 year", "10 years")]
    assert named["hand-over"].y[0] <= between[0] <= between[1] <= named["end of the design life"].y[0] + 1e-9


def test_a_gap_parts_the_curves_and_sections_that_overlap_are_not_drawn(first: Chapters) -> None:
    done = first(timed())
    figure = drawn(done, "0+000 to 0+100", "0+150 to 0+300")

    assert figure is not None
    assert [curve.x for curve in figure.curves if curve.label == "hand-over"] == [(0.0, 100.0), (150.0, 300.0)]
    assert drawn(done, "0+000 to 0+200", "0+150 to 0+300") is None
    assert drawn(done, "0+000 to 0+200") is None


def test_no_curve_is_drawn_for_a_date_beyond_the_design_life(first: Chapters) -> None:
    """Ten years after hand-over a design life of five years is over, whatever the date of handing over."""

    def short(document: Any) -> None:
        document["basis"]["design_life"] = "5 a"

    early, late = (first(timed(short, hand_over=one)) for one in ("500 d", "1000 d"))
    figure = drawn_of(("0+000 to 0+100", early), ("0+100 to 0+300", late))

    assert figure is not None
    assert [curve.label for curve in figure.curves] == ["hand-over", "1 year after hand-over", "end of the design life"]
    handed = figure.curves[0].y
    assert handed[0] < handed[2]  # the same ground, which settles until it is handed over
