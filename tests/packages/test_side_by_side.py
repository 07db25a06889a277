"""Sections beside each other: one number, one equation, a column of values for each."""

from collections import Counter
from pathlib import Path
from re import findall, split
from types import SimpleNamespace
from typing import NamedTuple, cast

import pytest

from calc.chain import Run, run_checks
from calc.engine.sheet import Origin, Sheet, Verdict
from calc.inputs import Design, Section, read_design
from calc.numbering import own_key
from calc.package import write_extract
from calc.package.alike import Earlier, Place
from calc.package.attached import Document
from calc.package.checked import CheckMark
from calc.package.lines import Chapter, Told
from calc.package.pages import Pages
from calc.package.references import References, ranges
from calc.package.rows import Block, Row
from calc.package.verdicts import nearest_section
from calc.package.writer import writers
from tests.packages.columns import lines_of, wrong_columns
from tests.packages.reading import PrintedRow, html_of, page_texts, printed_rows
from tests.packages.scenario import alone, write_project
from tests.packages.text_rows import said, text_rows


class Twins(NamedTuple):
    """A run and the text that its pages are set from."""

    run: Run
    documents: list[Document]

    def rows(self) -> list[PrintedRow]:
        return text_rows(self.documents, ["A", "B"])


@pytest.fixture(scope="module")
def twins(tmp_path_factory: pytest.TempPathFactory) -> Twins:
    """Two sections which differ in their names and their chainage alone."""
    run = run_checks(read_design(write_project(tmp_path_factory.mktemp("twins"), sections=2)))
    return Twins(run, Pages(run).pieces(lambda _text: None))


@pytest.fixture(scope="module")
def html(twins: Twins) -> str:
    return "".join(document.html for document in twins.documents)


def chapter_of(run: Run, key: str, marks: dict[str, CheckMark] | None = None, *, fold: bool = True) -> list[Block]:
    place = [sheet.key for sheet in run.sections[0].sheets].index(key)
    sheets = [part.sheets[place] for part in run.sections]
    return list(Chapter(writers(run), sheets, run.numbers, References(), marks or {}, fold).blocks())


def rows(blocks: list[Block]) -> list[Row]:
    return [row for block in blocks for _, run in block.runs for row in run]


@pytest.mark.slow
def test_every_value_of_both_sections_follows_from_its_column(twins: Twins) -> None:
    printed = twins.rows()

    assert {section for row in printed for section in row.values} == {"A", "B"}
    assert wrong_columns(twins.run, printed) == []


@pytest.mark.slow
def test_every_quantity_has_one_place_to_which_others_can_refer(twins: Twins, html: str) -> None:
    places = Counter(findall(r'id="(n\d+\.\d+)"', html))
    keys = {own_key(step.key) for part in twins.run.sections for sheet in part.sheets for step in sheet.page.lines}

    assert set(places) == {f"n{twins.run.numbers[key]}" for key in keys}
    assert set(places.values()) == {1}


@pytest.mark.slow
def test_prose_and_figures_that_are_alike_stand_once(html: str) -> None:
    assert html.count("Column and soil share the load increment at equal vertical strain.") == 1
    assert html.count("Figure A.1-1</b>") == html.count("Figure B.1-1</b>") == 1
    assert "Figure B.4-1" not in html


@pytest.mark.slow
def test_what_differs_has_its_own_value_in_its_own_column(twins: Twins, tmp_path: Path) -> None:
    """The sand below the second section is stronger."""
    before, value, after = twins.run.design.text.decode().rpartition('phi = "35 deg"')
    (tmp_path / "project.toml").write_text(before + value.replace("35", "36") + after, encoding="utf-8")
    changed = run_checks(read_design(tmp_path))
    pairs = {row.number: row.values for row in rows(chapter_of(changed, "bearing"))}

    assert ("35", "36") in pairs.values()


@pytest.mark.slow
def test_an_equation_is_drawn_once_for_all_scopes_of_a_chapter_that_have_it(twins: Twins) -> None:
    blocks = chapter_of(twins.run, "unit_cell")
    drawn = [row.alt for row in rows(blocks) if row.picture]
    referring = [row for row in rows(blocks) if row.kind == "short" and row.where.striptags().startswith("as ")]

    assert len(referring) > 20
    assert len(drawn) < len(rows(blocks)) / 2
    places = {row.number for row in rows(blocks) if row.picture or row.kind == "full"}
    assert all(row.where.striptags().removeprefix("as ") in places for row in referring)


@pytest.mark.slow
def test_lines_stand_in_the_order_of_the_calculation_whatever_their_numbers(twins: Twins) -> None:
    """A step that was added later has the last number of its chapter and stands where it is needed.

    A value from outside may stand before its place, with other short rows.
    """
    for sheet in twins.run.sections[0].sheets:
        blocks = chapter_of(twins.run, sheet.key)
        printed = {row.number: row for row in rows(blocks)}
        order = [twins.run.numbers[own_key(step.key)] for step in sheet.page.lines]
        moved = {number for number, row in printed.items() if row.outside}

        assert [one for one in printed if one not in moved] == [one for one in order if one not in moved]
        assert all(order.index(one) >= place for place, one in enumerate(printed) if one in moved)


def test_without_folding_every_equation_is_written_out(twins: Twins) -> None:
    folded, full = (rows(chapter_of(twins.run, "unit_cell", fold=fold)) for fold in (True, False))

    # Values from outside stand with short rows, of which a folded chapter has more.
    assert sorted(row.number for row in folded) == sorted(row.number for row in full)
    assert not any(row.where.striptags().startswith("as ") for row in full)


@pytest.mark.slow
def test_the_worked_section_is_the_one_nearest_to_its_limit(twins: Twins, tmp_path: Path) -> None:
    """A stronger sand below the second section leaves the first one worked, a weaker one does not."""
    before, _, after = twins.run.design.text.decode().rpartition('phi = "35 deg"')
    worked = {}
    for phi in (34, 36):
        (tmp_path / "project.toml").write_text(f'{before}phi = "{phi} deg"{after}', encoding="utf-8")
        blocks = chapter_of(run_checks(read_design(tmp_path)), "bearing")
        (worked[phi],) = {block.worked for block in blocks if block.title.startswith("Pressure of the columns")}

    assert worked == {34: 1, 36: 0}


def test_section_that_is_drawn_is_told_by_the_next_verdict_where_the_first_prints_alike() -> None:
    """One mechanism within the first lift had the same utilisation in both sections, the circles below had not."""

    def sheet(section: str, *utilisations: float) -> Sheet:
        made = Sheet(section=section, key="stability", title="Global stability")
        made.verdicts += [Verdict(f"v{k}", "v", "pass", utilisation=u) for k, u in enumerate(utilisations)]
        return made

    for first, second, drawn in (((0.4, 0.9532), (0.9531, 0.76), 1), ((0.954,), (0.9531, 0.76), 0), ((), (), 0)):
        assert nearest_section([sheet("A", *first), sheet("B", *second)]) == drawn


def test_the_head_of_a_page_names_the_columns_of_lines_and_none_over_tables(html: str) -> None:
    """A table of one section stood below `columns A, B`, the names of lines some pages before."""
    over_lines, over_tables = set(), set()
    for chapter in split(r'(?=<div class="chapter)', html)[1:]:
        first, last = chapter.find('<table class="lines'), chapter.rfind('<table class="lines')
        behind = chapter.find('class="exhibit', last)
        if last > 0:
            over_lines.add(findall(r'data-columns="([^"]*)"', chapter[:first])[-1])
        if last > 0 and behind > 0:
            over_tables.add(findall(r'data-columns="([^"]*)"', chapter[:behind])[-1])

    assert over_lines == {" · columns A, B in this order"}
    assert over_tables == {""}


@pytest.mark.slow
def test_a_mark_on_the_line_of_one_section_names_it(twins: Twins) -> None:
    first, second = (part.sheets[3].page.lines[0] for part in twins.run.sections)
    mark = CheckMark("✓", "CH", "2025-03-01")

    def signs(*keys: str) -> list[tuple[str, CheckMark]]:
        found = rows(chapter_of(twins.run, first.key.split("/")[1], dict.fromkeys(keys, mark)))
        return [(sign.sections, sign.mark) for row in found for sign in row.signs]

    assert signs(first.key) == [("A", mark)]
    assert signs(first.key, second.key) == [("", mark)]


@pytest.mark.slow
def test_a_fifth_section_stands_in_a_block_of_its_own(tmp_path: Path) -> None:
    run = run_checks(read_design(write_project(tmp_path, sections=5)))
    html = html_of(Pages(run))
    behind = html.partition('id="c3"')[2].partition('id="c4"')[0].partition("The same lines, sections E")[2]

    lines = behind.partition("</table>\n</div>")[0].partition('class="exhibit')[0]
    assert "<img" not in lines
    assert f"□ {run.numbers['columns/-/A_E']}<" in behind
    assert Counter(findall(r'id="(n3\.\d+)"', html)).most_common(1)[0][1] == 1


@pytest.mark.slow
def test_an_extract_of_chapters_has_their_pages_alone(twins: Twins, tmp_path: Path) -> None:
    """Every chain written out, as no package has it."""
    file = write_extract(twins.run, [], tmp_path, full=True, chapters=["sleeve", "thrust"])
    pages = page_texts(file)
    text = " ".join(" ".join(pages).split())

    assert file.name == "package-chapter-5-chapter-9-full.pdf"
    assert "Extract: chapters 5, 9; every chain written out. This is not the whole calculation." in text
    documents = Pages(twins.run, fold=False, only=["sleeve", "thrust"]).pieces(lambda _text: None)
    wanted, found = text_rows(documents, ["A", "B"]), printed_rows(file, ["A", "B"])
    assert {row.number.partition(".")[0] for row in found} == {"5", "9"}
    assert [said(row) for row in found] == [said(row) for row in wanted]


def held_documents(monkeypatch: pytest.MonkeyPatch) -> list[Document]:
    """The documents of the packages written from here on, whose pages, which take seconds, are not set."""
    documents: list[Document] = []

    def held(pieces: list[Document], *_: object, **__: object) -> bytes:
        documents.extend(pieces)
        return b"%PDF"

    monkeypatch.setattr("calc.package.pieces.set_pieces", held)
    return documents


def test_an_extract_says_on_its_cover_what_it_is_and_writes_every_chain_out(
    twins: Twins, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of two chapters: the pages are those of the text, as the test above says."""
    documents = held_documents(monkeypatch)
    write_extract(twins.run, ["B"], tmp_path, full=True, chapters=["sleeve", "thrust"])
    printed = text_rows(documents, ["B"])
    folded = [row for row in twins.rows() if row.number.partition(".")[0] in {"5", "9"}]

    assert [path.name for path in tmp_path.iterdir()] == ["package-B-chapter-5-chapter-9-full.pdf"]
    held = "section B; chapters 5, 9; every chain written out"
    assert f"Extract: {held}. This is not the whole calculation." in documents[0].html
    assert {row.number for row in printed} == {row.number for row in folded}
    assert sum(bool(row.numbers) for row in printed) > 1.2 * sum(bool(row.numbers) for row in folded)


def test_an_extract_of_a_section_has_all_its_chapters_and_a_name_of_its_own(
    twins: Twins, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its pages are those of a package of one section: here its documents alone."""
    documents = held_documents(monkeypatch)
    file = write_extract(twins.run, ["B"], tmp_path, full=True)
    shown = {number for document in documents for number in findall(r'id="n(\d+\.\d+)"', document.html)}
    own = Run(twins.run.design, tuple(part for part in twins.run.sections if part.section.key == "B"))
    printed = text_rows(documents, ["B"])
    evaluated = {
        number
        for part, sheet, step, number in lines_of(own)
        if step.formula is not None and step.value.number(part.cases[sheet.key, step.scope]) is not None
    }

    assert [path.name for path in tmp_path.iterdir()] == [file.name] == ["package-B-full.pdf"]
    assert "Extract: section B; every chain written out. This is not the whole calculation." in documents[0].html
    assert shown == {row.number for row in twins.rows()}
    assert {row.number for row in printed if row.numbers} == evaluated
    assert wrong_columns(own, printed) == []


@pytest.mark.slow
def test_a_fifth_section_with_another_equation_has_it_drawn(tmp_path: Path) -> None:
    write_project(tmp_path, sections=5)
    file = tmp_path / "project.toml"
    file.write_text(file.read_text(encoding="utf-8") + '\n[section.columns]\npattern = "square"\n', encoding="utf-8")
    run = run_checks(read_design(tmp_path))
    told, place = Told(), [sheet.key for sheet in run.sections[0].sheets].index("columns")
    sheets = [part.sheets[place] for part in run.sections]
    four, fifth = (
        rows(list(Chapter(writers(run)[own], sheets[own], run.numbers, References(), {}, told=told).blocks()))
        for own in (slice(4), slice(4, 5))
    )
    area = run.numbers["columns/-/A_E"]

    assert [row.picture != "" for row in four if row.number == area] == [True]
    (own,) = [row for row in fifth if row.number == area]
    assert own.picture
    assert own.alt != next(row.alt for row in four if row.number == area)
    assert {row.number for row in fifth if row.picture} == {area}
    assert not any(row.anchor for row in fifth)


@pytest.mark.parametrize(
    ("second", "kind", "where"),
    [
        (Origin("file", path="columns.diameter", line=84), "short", "line 84"),
        (Origin("file", path="columns.diameter", line=96), "short", "given"),
        (Origin("project rule", "no toe in firm ground"), "given", "A: given; B: rule: no toe in firm ground"),
    ],
)
def test_origins_that_differ_stand_in_words_where_there_is_room_for_them(second: Origin, kind: str, where: str) -> None:
    """Behind the values of a short row they would run over the edge of the page."""
    parts = []
    for key, origin in (("A", Origin("file", path="columns.diameter", line=84)), ("B", second)):
        sheet = Sheet(section=key, key="columns", title="Columns")
        sheet.given("d_c", 0.8, origin=origin)
        section = SimpleNamespace(key=key, stages=(), by_zones=tuple)
        parts.append(alone(cast("Section", section), sheet))
    run = Run(cast("Design", None), tuple(parts))

    (row,) = rows(chapter_of(run, "columns"))
    assert (row.kind, row.where.striptags()) == (kind, where)


def test_first_place_is_kept_and_is_not_alike_itself() -> None:
    earlier, first, second = Earlier(), Place("A.1.1", "a"), Place("B.1.1", "b")

    assert earlier.place("what", first) is None
    assert earlier.place("what", second) == first
    assert earlier.place("what", Place("C.1.1", "c")) == first
    assert earlier.place("other", second) is None
    assert earlier.place("what", first) is None


def test_register_names_a_chapter_once() -> None:
    assert ranges(["4.3", "4.4", "4.5", "4.9", "7.1", "4.1"]) == ["4.3–5", "9", "7.1", "4.1"]
