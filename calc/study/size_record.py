"""The record of a search of the grid, which its pages are made of: what was found in words, tables and curves."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from calc.engine.figure import Chart, Curve
from calc.engine.words import words_of
from calc.inputs import Design
from calc.inputs.reading.glyphs import unprintable
from calc.package.attached import Appendix
from calc.package.study_pages import NONE, StudyPages, study_body
from calc.study.size_charts import charts
from calc.study.size_grid import size_grid
from calc.study.size_report import (
    LEFT_OUT,
    date_words,
    design_words,
    first_words,
    limit_words,
    open_words,
    page_table,
    proof_words,
)
from calc.study.size_search import Search
from calc.study.size_sheets import charge_sheets
from calc.study.study_chapter import attached_rows, study_appendix
from calc.study.study_record import Count, Json, Number, Part, RecordFile, StudyRecord, Text, sealed_record

say = words_of(__name__)

STUDY = "size"
Values = Annotated[tuple[Number, ...], Field(min_length=1, max_length=10_000)]
Place = tuple[Number, Text]
Words = Annotated[tuple[Text, ...], Field(max_length=10_000)]


class RecordedCurve(Part):
    """A curve of a figure."""

    label: Text
    x: Values
    y: Values

    @model_validator(mode="after")
    def _alike(self) -> Self:
        if len(self.x) != len(self.y):
            message = "have as many values along as up"
            raise ValueError(message)
        return self


class RecordedChart(Part):
    """A figure."""

    key: Text
    title: Text
    alt: Text
    x_label: Text
    y_label: Text
    curves: Annotated[tuple[RecordedCurve, ...], Field(min_length=1, max_length=20)]
    marks: Annotated[tuple[Place, ...], Field(max_length=100)]
    places: Annotated[tuple[Place, ...], Field(min_length=1, max_length=100)]
    note: Text
    band: Literal[False]
    upward: bool

    def chart(self) -> Chart:
        """As it is drawn."""
        curves = tuple(Curve(curve.label, curve.x, curve.y) for curve in self.curves)
        return Chart(self.key, self.title, self.alt, self.x_label, self.y_label, curves, self.marks, self.places,
                     self.note, self.band, self.upward)  # fmt: skip


class SizeRecord(StudyRecord):
    """The whole record; `first` is the first design by its number in the grid."""

    study: Literal["size"]
    outcome: Literal["proven", "not proven", "no design"]
    title: Text
    opening: Words
    head: Annotated[Words, Field(min_length=1)]
    numeric: tuple[bool, ...]
    rows: Annotated[tuple[Words, ...], Field(max_length=1000)]
    figures: Annotated[tuple[RecordedChart, ...], Field(max_length=10)]
    first: Count | None
    remarks: Words

    @model_validator(mode="after")
    def _in_columns(self) -> Self:
        if {len(self.numeric), *map(len, self.rows)} - {len(self.head)}:
            message = "have as many cells in each row as in the head"
            raise ValueError(message)
        if (self.first is None) == bool(self.rows):
            message = "have a first design where there are rows, and none without"
            raise ValueError(message)
        return self


def size_record(search: Search, cautions: Sequence[str]) -> Json:
    """Everything that the pages of a search say."""
    head, rows = page_table(search)
    design, proof = search.grid.design, proof_words(search)
    outcome = "no design" if not search.best else "proven" if search.proven else "not proven"
    results = design.results_file
    return sealed_record(STUDY, design.sha256, {results.name: results.sha256} if results else {}, {
        "outcome": outcome,
        "title": say("title", section=search.grid.section.key),
        "opening": _printed([first_words(search)] if search.best else [first_words(search), *proof]),
        "head": _printed(head),
        "numeric": [name.startswith(("settlement", "hand-over")) or name == "utilisation" or "/m²" in name
                    for name in head],
        "rows": [_printed(row) for row in rows],
        "figures": [_figure(chart) for chart in charts(search)],
        "first": int(search.best[0].number) if search.best else None,
        "remarks": _printed([
            *cautions, *limit_words(search), *date_words(search), *(proof if search.best else []), *open_words(search),
            LEFT_OUT,
        ]),
    })  # fmt: skip


def _figure(chart: Chart) -> Json:
    made = asdict(chart)
    for name in ("title", "alt", "x_label", "y_label", "note"):
        [made[name]] = _printed([made[name]])
    for curve in made["curves"]:
        [curve["label"]] = _printed([curve["label"]])
    return made


def _printed(texts: Sequence[str]) -> list[str]:
    """Texts as pages print them: what the fonts lack, as in a name of the catalogue, is a dash."""
    return ["".join(NONE if unprintable(sign) else sign for sign in text) for text in texts]


def size_pages(design: Design, record: SizeRecord) -> StudyPages:
    """The pages of a record; what the first design takes is worked out line by line from the project file."""
    sheets = [] if record.first is None else charge_sheets(size_grid(design), record.first)
    return StudyPages(record.title, record.opening, record.head, record.numeric, record.rows,
                      [figure.chart() for figure in record.figures], sheets, record.remarks)  # fmt: skip


def size_appendix(file: RecordFile, design: Design, record: SizeRecord) -> Appendix:
    """The same as a chapter of a package, to which the record is attached.

    `InputErrors` where its first design is none of the grid, or another one than its table has.
    """
    if design.size is None:
        file.refuse("study", "be of a project file with a table [size]", STUDY)
    if record.first is not None:
        grid = size_grid(design)
        inside = record.first < len(grid)
        if not inside or not {*_printed(design_words(grid, record.first))} <= {*record.rows[0]}:
            file.refuse("first", "be the first design of the table, in the grid of [size]", f"{record.first}")
    titles = {"not proven": say("not-proven", title=record.title), "no design": say("no-design", title=record.title)}
    head = [(say("project-file"), record.inputs_sha256[:16]), *attached_rows(STUDY, record)]
    return study_appendix(STUDY, titles.get(record.outcome, record.title), head, study_body(size_pages(design, record)))
