"""A sheet for the record of every column: plan beside as built, fill by depth, non-conformities, room to decide."""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import numpy as np

from calc.engine.words import words_of
from calc.formulas.geometry import column_area
from calc.package.attached import Beside
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.installed.by_depth import KEY, Placed, placed_of
from calc.site.installed.fill_chart import FillByDepth, fill_chart
from calc.site.installed.installed_record import cells_of
from calc.site.installed.installed_run import Installation
from calc.site.installed.judging import (
    METRE,
    PLAIN,
    SLANT,
    Finding,
    Unit,
    distances_from_plan,
    inclinations,
    needed_sleeves,
)
from calc.site.installed.limit_words import limit_texts, limits_text
from calc.site.installed.recorded_columns import HAIR
from calc.site.plan.column_layout import Array, Whole
from calc.site.plan.setting_out import one_line
from calc.site.rows.cell_values import EPOCH

say = words_of(__name__)

BATCH = 50  # sheets in a file
MINUTE, CUBIC = Unit("min", 24 * 60.0, 0), Unit("m³", 1.0, 3)


@dataclass(frozen=True)
class Line:
    """An item of a column: plan, as built, limits as typed, and what was found."""

    title: str
    planned: str
    built: str
    limits: str
    state: str
    fails: bool


@dataclass(frozen=True)
class RecordSheet:
    """The sheet of one column."""

    id: str
    facts: tuple[tuple[str, str], ...]
    lines: tuple[Line, ...]
    findings: tuple[tuple[str, ...], ...]
    chart: str
    alt: str
    why_no_chart: str


class RecordSheets:
    """The sheets of some columns of an installation."""

    def __init__(self, installation: Installation) -> None:
        self.installation, self.compared = installation, installation.compared
        self.findings: dict[str, list[Finding]] = {}
        for each in installation.findings:
            self.findings.setdefault(each.id, []).append(each)

    @cached_property
    def placed(self) -> Placed:
        """Readings by depth."""
        return placed_of(self.compared)

    @cached_property
    def rows(self) -> tuple[Callable[[int], Whole], Callable[[int], Whole]]:
        """Where the readings, and the parts, of a column stand."""
        return _rows_of(self.placed.of), _rows_of(self.placed.parts.of)

    @cached_property
    def numbers(self) -> dict[str, Array]:
        """Every number of the plan and of the records that a sheet shows, of all columns."""
        compared = self.compared
        recorded = ("easting", "northing", "toe_level", "diameter", "volume", "sleeve_length", "interruption", "start")
        planned = ("easting", "northing", "toe", "length", "diameter", "head", "working_level")
        return {
            **{name: compared.number(name) for name in (*recorded, "end", "date")},
            **{f"plan-{name}": compared.planned(name) for name in planned},
            "inclination": inclinations(compared), "theory": compared.theory, "built-length": compared.length,
            "plug": compared.plug,
            "built-toe": compared.toe, "needed": needed_sleeves(compared), "away": distances_from_plan(compared),
        }  # fmt: skip

    def sheet(self, k: int) -> RecordSheet:
        """The sheet of a column of the plan that has a record."""
        compared, own = self.compared, self.compared.own[k]
        assert own is not None  # noqa: S101 - only columns with a record are asked for
        chart, why = self._chart(k)
        values = own.values
        facts = (
            (say("record"), say("place", file=Path(own.file).name, line=own.line)),
            (say("rig"), str(values.get("rig", say("not-recorded")))),
            (say("start"), self._moment(k, "start", "date")),
            (say("end"), self._moment(k, "end")),
        )
        titles = {item.key: item.title for item in self.installation.items}
        findings = tuple((titles[each.item], *cells_of(each)[2:6]) for each in self.findings.get(compared.ids[k], ()))
        return RecordSheet(compared.ids[k], facts, tuple(self._lines(k, values)), findings,
                           chart, say("chart", id=compared.ids[k]), why)  # fmt: skip

    def _moment(self, k: int, *names: str) -> str:
        for name in names:
            value = float(self.numbers[name][k])
            if not np.isnan(value):
                moment = EPOCH + dt.timedelta(minutes=round(value * 24 * 60))
                return moment.strftime("%Y-%m-%d" if name == "date" else "%Y-%m-%d %H:%M")
        return say("not-recorded")

    def _lines(self, k: int, values: Mapping[str, Any]) -> Iterator[Line]:
        planned, built = self._values_of_plan(k), self._values_as_built(k, values)
        failed = {each.item: each.open for each in self.findings.get(self.compared.ids[k], ())}
        texts = limit_texts(self.installation)
        for item in self.installation.items:
            if item.key in failed:
                state = say("open") if failed[item.key] else say("fails")
            elif item.why_not:
                state = say("unjudged", why=item.why_not)
            else:
                state = say("with-toe") if item.key == "length" and self._by_toe(k) else say("conforms")
            yield Line(item.title, planned.get(item.key, ""), built.get(item.key, ""), limits_text(texts, item.key),
                       state, item.key in failed)  # fmt: skip

    def _by_toe(self, k: int) -> bool:
        """Whether a length lies beyond its own limits, and is judged with the toe alone."""
        limits, over = self.compared.limits, float(self.numbers["built-length"][k] - self.numbers["plan-length"][k])
        short, far = limits.length_short, limits.length_long
        return (short is not None and over < -short - HAIR) or (far is not None and over > far + HAIR)

    def _values_of_plan(self, k: int) -> dict[str, str]:
        of = {name: float(values[k]) for name, values in self.numbers.items()}
        return {
            "position": say("grid", e=f"{of['plan-easting']:.3f}", n=f"{of['plan-northing']:.3f}"),
            "toe": METRE.shown(of["plan-toe"]),
            "length": METRE.shown(of["plan-length"]),
            "diameter": METRE.shown(of["plan-diameter"]),
            "volume": CUBIC.shown(of["theory"]),
            "sleeve": self.compared.made.columns[k].sleeve,
            "sleeve_length": METRE.shown(of["needed"]),
        }

    def _values_as_built(self, k: int, values: Mapping[str, Any]) -> dict[str, str]:
        of = {name: float(numbers[k]) for name, numbers in self.numbers.items()}
        place = say("away", place=say("grid", e=f"{of['easting']:.3f}", n=f"{of['northing']:.3f}"),
                    away=METRE.shown(of["away"]))  # fmt: skip
        ratio, criterion = PLAIN.shown(of["volume"] / of["theory"]), values.get("criterion")
        return {
            "position": "" if np.isnan(of["easting"]) else place,
            "inclination": SLANT.shown(of["inclination"]),
            "toe": METRE.shown(of["toe_level"]),
            "toe_low": METRE.shown(of["toe_level"]),
            "refusal": "" if criterion is None else say("met" if criterion else "not-met"),
            "length": METRE.shown(of["built-length"]),
            "diameter": METRE.shown(of["diameter"]),
            "volume": CUBIC.shown(of["volume"]) + (say("of-theory", ratio=ratio) if ratio else ""),
            KEY: self._parts_text(k),
            "interruption": MINUTE.shown(of["interruption"]),
            "duration": MINUTE.shown(of["end"] - of["start"]),
            "sleeve": str(values.get("sleeve", "")),
            "sleeve_length": METRE.shown(of["sleeve_length"]),
            "serial": str(values.get("serial", "")),
        }

    def _parts_text(self, k: int) -> str:
        """The least and the most filled part of a column, over the theoretical volume, with their depths."""
        parts, own = self.placed.parts, self.rows[1](k)
        if not len(own) or self.compared.limits.depth_window is None:
            return ""
        texts = [
            say("part", ratio=PLAIN.shown(float(parts.ratio[at])), low=f"{parts.begins[at]:.2f}",
                high=f"{parts.ends[at]:.2f}")
            for at in (own[parts.ratio[own].argmin()], own[parts.ratio[own].argmax()])
        ]  # fmt: skip
        return say("parts", least=texts[0], most=texts[1])

    def _chart(self, k: int) -> tuple[str, str]:
        own, parts = (rows(k) for rows in self.rows)
        of = self.numbers
        begins = float(of["plan-working_level"][k] - of["built-toe"][k] - of["plug"][k])
        if not len(own) or np.isnan(begins):
            return "", say("no-readings")
        limits = self.compared.limits
        middle = (self.placed.parts.begins[parts] + self.placed.parts.ends[parts]) / 2
        drawn = FillByDepth(
            self.placed.depth[own], self.placed.volume[own], middle, self.placed.parts.ratio[parts], begins,
            float(of["plan-working_level"][k] - of["plan-head"][k]), float(column_area(d_c=of["plan-diameter"][k])),
            (limits.depth_least, limits.depth_most),
        )  # fmt: skip
        return fill_chart(drawn).uri(), ""

    def html(self, chosen: Sequence[int]) -> str:
        """The sheets of some columns as a document."""
        made, dated = self.compared.made, self.installation.design.project.revisions[-1].date
        return environment().get_template("record-sheets.html").render(
            title=say("title", project=one_line(self.installation.design.project.title), revision=made.plan.revision),
            date=dated.isoformat(), checksum=made.listed.checksum, tell=say, sheets=[self.sheet(k) for k in chosen],
        )  # fmt: skip


def record_sheet_files(installation: Installation, chosen: Sequence[int], beside: Beside | None) -> dict[str, bytes]:
    """Sheets of columns with a record, in files of some fifty, made side by side where there are processes for it."""
    sheets = RecordSheets(installation)
    parts = [sheets.html(chosen[k : k + BATCH]) for k in range(0, len(chosen), BATCH)]
    pages = partial(_pages, dated=installation.design.project.revisions[-1].date)
    made = beside(pages, parts, lambda: None) if beside and len(parts) > 1 else {}
    return {f"record-sheets-{k + 1:03d}.pdf": made.get(k) or pages(part) for k, part in enumerate(parts)}


def _rows_of(of: Whole) -> Callable[[int], Whole]:
    order = np.argsort(of, kind="stable")
    ordered = of[order]
    return lambda k: order[slice(*np.searchsorted(ordered, (k, k + 1)))]


def _pages(html: str, dated: dt.date) -> bytes:
    return render_pdf(html, (), dated)
