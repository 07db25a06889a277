"""The tables of inputs: every field that is typed in the project file stands in them once."""

import json
from collections import Counter
from pathlib import Path
from re import sub

import pytest
from markupsafe import Markup

from calc.engine.typeset import set_quantity
from calc.inputs import read_design
from calc.inputs.reading.locate import locate
from calc.package.typed import TypedFile
from calc.package.typed_names import ELSEWHERE, SUBJECTS, Cell, plain_text, with_units, word_of
from calc.package.typed_texts import in_one_run
from tests.packages.scenario import write_project

PROJECTS = Path(__file__).parents[2] / "projects"
EXAMPLES = ("marsh-approach", "basin-crossing", "dyke-reach", "weak-sleeve")


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_typed_field_stands_in_the_tables_once(name: str) -> None:
    typed = TypedFile(read_design(PROJECTS / name))
    text = (PROJECTS / name / "project.toml").read_text(encoding="utf-8")
    fields = {path for path, place in locate(text).items() if place.text}
    shown = Counter(path for one in typed.elsewhere() for path in one.fields)
    for subject in typed.subjects():
        shown.update(path for table in subject.tables for row in table.rows for cell in row for path in cell.fields)

    assert len(fields) > 100
    assert set(shown) == fields
    assert set(shown.values()) == {1}


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_cell_shows_the_text_of_its_fields_or_the_letter_of_it(name: str) -> None:
    typed = TypedFile(read_design(PROJECTS / name))

    for subject in typed.subjects():
        notes = {text for _, text in subject.notes}
        for table in subject.tables:
            heads = " ".join(table.head)
            for cell in (cell for row in table.rows for cell in row):
                for path in cell.fields:
                    value = typed.source.typed_text(path)
                    number, _, unit = value.rpartition(" ")  # its unit may stand in the head of the column
                    shown = as_typed(cell.text.unescape().replace("<sup>", ""))
                    apart = number in shown and as_typed(as_printed(unit)) in as_typed(heads)
                    assert as_typed(as_printed(value)) in shown or " ".join(value.split()) in notes or apart


LOWERED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")
UNITS = {"kPa": "kN/m^2", "kPa/m": "kN/m^3", "MPa": "MN/m^2"}


def as_printed(typed: str) -> str:
    """A typed text with the two units that lines print by another name."""
    number, _, unit = typed.rpartition(" ")
    return f"{number} {UNITS.get(unit, unit)}".strip()


def as_typed(shown: str) -> str:
    """A printed text as a project file would have it; no space before a degree, and a number in one form."""
    text = sub("·10([⁻⁰¹²³⁴-⁹]+)", lambda power: "e" + power[1].translate(LOWERED), shown)
    text = sub("([a-z])([²³])", lambda power: f"{power[1]}^{power[2].translate(LOWERED)}", text)
    text = text.replace("−", "-").replace("·", "*").replace(" deg", "°")
    return sub(r"\d[\d.]*e-?\d+", lambda number: f"{float(number[0]):.9g}", text)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("19 kN/m^3", "19 kN/m³"),
        ("2e-9 m/s", "2·10⁻⁹ m/s"),
        ("1.31e-3 Pa*s", "0.00131 Pa·s"),
        ("-0.40 m", "−0.40 m"),
        ("20 deg", "20°"),
        ("15 kPa", "15 kN/m²"),
        ("1.0 m^2/a", "1.0 m²/a"),
        ("1:2.5", "1:2.5"),
        ("jaky", "jaky"),
        ("2026-03-31", "2026-03-31"),
        ("DA1-1 and 2 m", "DA1-1 and 2 m"),
        ("2", "2"),
    ],
)
def test_typed_quantity_is_set_with_the_units_of_the_lines(typed: str, shown: str) -> None:
    assert set_quantity(typed) == shown


def test_values_of_a_section_stand_in_its_column_and_common_ones_once() -> None:
    typed = TypedFile(read_design(PROJECTS / "marsh-approach"))
    (columns,) = [subject for subject in typed.subjects() if subject.title == "Columns"]
    rows = {row[0].text.striptags(): row for table in columns.tables for row in table.rows if table.head}
    (head,) = {table.head for table in columns.tables if table.head}

    assert [*map(str, head)] == ["", "all", "B", "C", "line"]
    assert [cell.text for cell in rows["columns spacing"]][1:4] == ["1.75 m", "1.72 m", "2.00 m"]


def test_text_that_prints_in_a_chapter_is_not_repeated(tmp_path: Path) -> None:
    design = read_design(write_project(tmp_path))
    said = "cone resistance above 12 MPa in all soundings"
    printed = [("chapter 2", f"Un{said}."), ("chapter 3", f"Firm: {said}.")]
    texts = [
        [text for subject in TypedFile(design, shown).subjects() for _, text in subject.notes]
        for shown in ((), printed)
    ]

    assert said in texts[0]
    assert said not in texts[1]
    titles = [table.title for subject in TypedFile(design, printed).subjects() for table in subject.tables]
    assert "layer (in chapter 3: evidence)" in titles


def test_words_of_two_cells_are_apart_and_those_of_one_text_are_not() -> None:
    assert (
        plain_text('<td>HP 6</td><td>trains</td><td class="n">c<sub>u</sub> of&nbsp;peat</td>')
        == "HP 6 trains cu of peat"
    )


def test_what_prints_elsewhere_is_no_input_of_a_chapter() -> None:
    assert {path[0] for path, _, _ in ELSEWHERE} == {"project", "people", "assumption", "outside", "basis"}


def test_every_table_of_a_project_file_has_a_subject_with_a_title() -> None:
    schema = json.loads((PROJECTS.parent / "docs" / "project.schema.json").read_text(encoding="utf-8"))
    tables = {key for key, of in schema["properties"].items() if of.get("type") in {"object", "array"} or "$ref" in of}
    titled = {key for _, keys in SUBJECTS for key in keys}

    assert "vary" in tables
    assert tables - titled <= {path[0] for path, _, _ in ELSEWHERE} | {"section"}


def test_list_too_wide_for_its_words_has_its_items_in_columns() -> None:
    """Places along the line stood one below the other in a narrow column, five lines for each instrument."""
    typed = TypedFile(read_design(PROJECTS / "marsh-approach"))
    tables = {table.title: table for subject in typed.subjects() for table in subject.tables}

    assert tables["monitoring instrument"].beside
    assert not tables["plan exclusion"].beside
    shares = [float(share) for share in tables["plan exclusion"].shares]
    assert sum(shares) == pytest.approx(100.0, abs=0.1)
    assert max(shares) == shares[4]  # the corners
    assert not tables["plan investigation"].shares


def test_value_of_the_file_cannot_become_markup(tmp_path: Path) -> None:
    folder = write_project(tmp_path)
    file = folder / "project.toml"
    file.write_text(file.read_text().replace('"sleeve type 1"', '"<b>&x</b>"'))
    typed = TypedFile(read_design(folder))
    cells = [
        cell.text for subject in typed.subjects() for table in subject.tables for row in table.rows for cell in row
    ]

    assert "&lt;b&gt;&amp;x&lt;/b&gt;" in cells


@pytest.mark.parametrize(
    ("name", "label"),
    [("theta", "<i>θ</i>"), ("delta", "<i>δ</i>"), ("k_sigma", "<i>k</i><sub>σ</sub>"), ("sigma_p", "σ′ₚ")],
)
def test_field_named_after_a_greek_letter_has_the_letter(name: str, label: str) -> None:
    assert word_of(name) == label


def test_texts_that_differ_in_a_number_alone_are_said_once() -> None:
    clauses = [f"Monitoring specification M-1, clause {number}, invented" for number in ("3.1", "4.10")]
    said = in_one_run([("a", clauses[0]), ("b", "clause 4"), ("c", clauses[1]), ("d", "clause 5"), ("e", "a <b>")])

    assert said.striptags() == (
        "Monitoring specification M-1, clause …, invented: a 3.1, c 4.10; b clause 4; d clause 5; e a <b>"
    )
    assert "&lt;b&gt;" in said


def test_text_that_ends_as_a_sentence_has_no_second_mark_behind_it() -> None:
    assert in_one_run([("a", "As told."), ("b", "in 1997")]).striptags() == "a As told. b in 1997"


def test_letter_of_a_note_behind_a_number_is_no_unit() -> None:
    texts = Markup("x"), Markup("9 <sup>a</sup>"), Markup("5–6")
    row = tuple(Cell(text, (("cost", "price"),)) for text in texts)
    head = tuple(map(Markup, ("", "price", "lines")))
    assert with_units(head, [row])[0] == head


def test_shorter_texts_of_a_list_are_not_repeated_where_the_chapter_of_its_long_ones_has_them() -> None:
    design = read_design(PROJECTS / "marsh-approach")
    typed = TypedFile(design)
    paths = [path for path in typed.fields if path[:2] == ("monitoring", "instrument")]
    named = {"name", "quantity", "chainages", "offsets", "layers", "depths", "number"}
    texts = " | ".join(typed.source.typed_text(path) for path in paths if path[3] not in named)
    titles = {
        table.title: table for subject in TypedFile(design, [("chapter 14", f"| {texts} |")]).subjects()
        for table in subject.tables
    }  # fmt: skip
    table = next(
        table for title, table in titles.items() if title.startswith("monitoring instrument (in chapter 14: purpose, ")
    )
    shown = [path for row in table.rows for cell in row for path in cell.fields]

    assert not table.beside
    assert sorted(shown, key=str) == sorted(paths, key=str)
    assert "zero reading" not in table.head


def test_what_all_items_have_alike_stands_in_a_row_behind_them() -> None:
    typed = TypedFile(read_design(PROJECTS / "marsh-approach"))
    tables = [table for subject in typed.subjects() if subject.title == "Horizontal reinforcement"
              for table in subject.tables]  # fmt: skip
    place = next(k for k, table in enumerate(tables) if table.title == "reinforcement")
    (row,) = tables[place + 1].rows
    beside = {cells[0].text.striptags() for cells in tables[place].rows}

    assert row[0].text == "reinforcement, each"
    assert "factors A2 1.10" in row[1].text.striptags()
    assert not any(name in beside for name in ("factors A2", "γM persistent"))
    assert "strength" in beside


def test_list_of_few_short_fields_takes_half_of_the_page() -> None:
    typed = TypedFile(read_design(PROJECTS / "marsh-approach"))
    tables = {table.title: table for subject in typed.subjects() for table in subject.tables}

    assert not tables["plan investigation"].wide
    assert tables["plan exclusion"].wide


def test_value_of_many_words_takes_a_row_of_the_whole_width() -> None:
    typed = TypedFile(read_design(PROJECTS / "marsh-approach"))
    rows = [
        row for subject in typed.subjects() for table in subject.tables if table.wide and not table.head
        for row in table.rows
    ]  # fmt: skip

    assert "installed column" in [row[0].text for row in rows]
    assert all(row[1].fields for row in rows)


def test_what_tells_triggers_apart_stays_beside_their_levels() -> None:
    design = read_design(PROJECTS / "marsh-approach")
    typed = TypedFile(design)
    paths = [path for path in typed.fields if path[:2] == ("monitoring", "trigger")]
    everything = " | ".join(typed.source.typed_text(path) for path in paths)
    tables = [
        table for subject in TypedFile(design, [("chapter 14", f"| {everything} |")]).subjects()
        for table in subject.tables if table.title.startswith("monitoring trigger")
    ]  # fmt: skip

    assert tables
    assert all("quantity" in table.head for table in tables)
