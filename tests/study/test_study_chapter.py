"""A study as the last chapter of a package: the pages of its own file, refusals, and a record that may be anything."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from io import BytesIO
from itertools import cycle
from pathlib import Path
from shutil import copytree
from types import SimpleNamespace
from typing import Any

import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner

from calc import cli
from calc.chain import Run
from calc.cli import main
from calc.engine.sheet import Sheet
from calc.inputs import InputErrors, read_design
from calc.package import package_pdf
from calc.package.attached import Document
from calc.study.study_parts import StudyChapter, read_studies
from calc.study.study_record import LARGEST, checksum, content_of_record
from calc.study.vary.read_vary import ReadVary, VaryRecord
from calc.study.vary.vary_pages import vary_pages
from tests.archive.pdf_rules import broken_rules
from tests.archive.scenario import page_with
from tests.packages.scenario import alone
from tests.study.studied import MODULUS, VERDICT, Json, Studied, studied, write_studied

AT = "sections.0.limit_states.0"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Studied:
    return studied(tmp_path_factory.mktemp("studied") / "p")


@pytest.fixture(scope="module")
def chapter(made: Studied) -> StudyChapter:
    [part] = read_studies({"vary.json": made.content}, made.design)
    return part.chapter(made.run)


def empty(run: Run) -> Run:
    """A run of the design whose only chapter is empty: its pages are few."""
    section = run.design.sections[0]
    return Run(run.design, (alone(section, Sheet(section=section.key, key="columns", title="Columns").finish()),))


def bound(made: Studied, chapter: StudyChapter) -> bytes:
    return package_pdf(empty(made.run), b"{}", more=chapter.attached, appendices=[chapter.appendix])


@pytest.fixture(scope="module")
def package(made: Studied, chapter: StudyChapter) -> bytes:
    return bound(made, chapter)


def texts(pdf: bytes) -> list[str]:
    return [" ".join(page.get_textpage().get_text_range().split()) for page in pypdfium2.PdfDocument(pdf)]


def first(record: Json) -> Json:
    """The first limit state of a record."""
    one: Json = record["sections"][0]["limit_states"][0]
    return one


@pytest.mark.slow
def test_the_chapter_has_the_pages_of_the_file_of_its_own(made: Studied, package: bytes) -> None:
    vary = made.design.vary
    assert vary is not None
    own = vary_pages(ReadVary(made.design, vary, VaryRecord.model_validate_json(made.content)))
    pages = texts(package)
    at = next(k for k, page in enumerate(pages) if "A study beside the calculation" in page)
    said = " ".join(pages[at:])
    # Words between the heads and feet of pages: what the file of its own says stands in the package as well.
    wanted = {word for page in texts(own) for word in page.split()} - {word for page in pages for word in page.split()}

    assert at == len(pages) - len(texts(own))
    assert wanted <= {"Originator:", "2025-014,"}
    assert "No verdict of this package relies on it" in pages[at]
    assert "The probabilities are as good as the ranges and distributions" in pages[at]
    assert "tests <b>bold</b>, invented" in said
    assert f"Record vary.json, attached; checksum {made.record['checksum'][:16]}" in said
    assert f"Project file, SHA-256 {made.design.sha256[:16]}" in said
    assert pages[-1].endswith(f"page {len(pages)} of {len(pages)}")
    assert "behind it follows only: Sensitivity and reliability – a target is open" in pages[at - 1]
    contents = next(page for page in pages if "Contents" in page)
    assert "Sensitivity and reliability – a target is open" in contents


@pytest.mark.slow
def test_it_stands_in_outline_tags_and_attachments_of_an_archive_file(made: Studied, package: bytes) -> None:
    with pikepdf.open(BytesIO(package)) as pdf:
        with pdf.open_outline() as outline:
            last = outline.root[-1]
            headings = (last.title, [one.title for one in last.children])
        attached = {name: pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments}
        figures = {str(one.get("/Alt")) for one in pdf.objects if isinstance(one, pikepdf.Dictionary)
                   and one.get("/S") == "/Figure"}  # fmt: skip
        tagged = all("/StructParents" in page.obj for page in pdf.pages)

    assert headings == ("Sensitivity and reliability – a target is open", ["Section A: Here: Name of the stretch"])
    assert (attached["vary.json"], set(attached)) == (
        made.content, {"project.toml", "results.json", "vary.json", "moduli.csv"})  # fmt: skip
    assert {f"Tornado of {VERDICT}: utilisation at both ends of the range of each input, largest change first.",
            f"Points of the sampling of {VERDICT} over layer.peat.gamma; crosses fail."} <= figures  # fmt: skip
    assert tagged
    assert broken_rules(package) == []


@pytest.mark.slow
def test_pages_of_a_stored_record_have_the_same_bytes_elsewhere(made: Studied, package: bytes, tmp_path: Path) -> None:
    copytree(made.design.source.parent, tmp_path / "elsewhere")
    design = read_design(tmp_path / "elsewhere")
    there = Studied(design, Run(design, made.run.sections), made.record)
    [part] = read_studies({str(tmp_path / "kept.json"): made.content}, design)

    assert bound(there, part.chapter(there.run)) == package


@pytest.mark.parametrize(
    ("outcome", "title"),
    [("fail", "Sensitivity and reliability – a target is missed"), ("pass", "Sensitivity and reliability")],
)
def test_the_contents_say_what_becomes_of_the_targets(outcome: str, title: str, made: Studied) -> None:
    [part] = read_studies({"v": made.altered(lambda one: one.update(outcome=outcome))}, made.design)

    assert part.chapter(made.run).appendix.title == title


def refused(made: Studied, content: bytes) -> str:
    """What a file is refused with, by reading it or by its chapter."""
    with pytest.raises(InputErrors) as errors:
        [part.chapter(made.run) for part in read_studies({"x.json": content}, made.design)]
    said = str(errors.value)
    assert all(line.startswith("x.json:") and ": must " in line and ", got " in line for line in said.splitlines())
    return said


FOREIGN = [
    (b"", "x.json:1:1: file: must be a table in JSON, every key once, every number finite, got Expecting value"),
    (b'{"study":\n"vary",}', "x.json:2:8: file: must be a table"),
    (b"\xff\xfe\xfd", "file: must be a table in JSON"),
    (b"[1, 2]", "got something else"),
    (b'{"a": 1, "a": 2}', "got a key that stands twice"),
    (b'{"a": NaN}', "got NaN, no number"),
    (b"[" * 100_000, "got maximum recursion depth"),
    (b'{"a": %s}' % (b"9" * 5000), "got Exceeds the limit"),
    (b" " * (LARGEST + 1), "must not be larger than 20 MB, got a larger file"),
    (b"{}", "study: must be the record that sandsleeve vary or sandsleeve size wrote, got nothing"),
    (b'{"study": ["vary"]}', "study: must be the record"),
    (b'{"study": "vary"}', "checksum: must be that of what the record says: it was altered; sandsleeve vary writes"),
]  # fmt: skip


def test_of_a_file_larger_than_any_record_no_more_is_read(tmp_path: Path) -> None:
    file = tmp_path / "vary.json"
    with file.open("wb") as stream:
        stream.truncate(3 * LARGEST)

    assert len(content_of_record(file)) == LARGEST + 1


@pytest.mark.parametrize(("content", "words"), FOREIGN)
def test_a_file_that_is_no_record_is_refused(content: bytes, words: str, made: Studied) -> None:
    assert words in refused(made, content)


def test_a_record_that_was_altered_by_hand_is_refused(made: Studied) -> None:
    content = made.content.replace(b'"failures": 0', b'"failures": 1', 1)

    assert content != made.content
    assert "checksum: must be that of what the record says" in refused(made, content)


def test_another_layout_of_the_same_record_is_the_same(made: Studied) -> None:
    assert read_studies({"x.json": json.dumps(made.record).encode()}, made.design)


def sublayers(count: int) -> Json:
    """Sublayers of an input that has none, one of them with a thickness."""
    return {"paths": ["a/1.b"] * count, "top": 0.0, "thickness": [1.0], "correlation_length": 1.0,
            "averaging_length": None}  # fmt: skip


ALTERED: list[tuple[Callable[[Json], object], str]] = [
    (lambda one: one["software"].update(fingerprint="0" * 64), "software.fingerprint: must be this program, "),
    (lambda one: one.update(software="mine"), "software.fingerprint: must be this program"),
    (lambda one: one.update(inputs_sha256="0" * 64), "inputs_sha256: must be that of project.toml, "),
    (lambda one: one.update(files={}), "files.moduli.csv: must be that of the file beside the project file"),
    (lambda one: one["files"].update(other="0" * 64), "files.other: must be that of the file beside the project file"),
    (lambda one: one.update(study="size"), "opening: must be given, got nothing"),
    (lambda one: one.update(more=1), "more: must not be there: a record has no such field, got 1"),
    (lambda one: one.update({"\x1b[31m": 1}), "\\x1b[31m: must not be there"),
    (lambda one: one.update(outcome="good"), "outcome: must be 'pass', 'fail' or 'incomplete', got \"good\""),
    (lambda one: one["settings"].update(seed=2), "settings: must be those that [vary] of the project file asks for"),
    (lambda one: one.update(correlations=[{"between": ["a", "b"], "rank": 0.1, "source": "x"}]), "correlations: must"),
    (lambda one: one["sections"][0].update(key="B"), "sections: must be those that [vary]"),
    (lambda one: one["sections"][0]["inputs"][0].update(source="x"), "sections.0.inputs: must be those"),
    (lambda one: first(one).update(target=None), f"{AT.rpartition('.')[0]}: must be those that [vary]"),
    (lambda one: first(one).update(title="Other\x07"), f"{AT}.title: must hold characters that pages can print, not"),
    (lambda one: first(one).update(title="Other"), f"{AT}.utilisation: must be that of the calculation, 0.34345 for"),
    (lambda one: first(one).update(utilisation=0.3), "got 0.3 (pass)"),
    (lambda one: first(one).update(verdict="x/y"), "sections.0.limit_states: must be those"),
    (lambda one: first(one)["swings"][0].update(path="x.y"), "must speak of its inputs alone, not of x.y"),
    (lambda one: first(one)["swings"][0].update(at_low=True), "at_low: must be a valid number, got true"),
    (lambda one: first(one)["form"].update(index="4"), 'form.index: must be a valid number, got "4"'),
    (lambda one: first(one)["form"].update(sensitivity={"z": 1.0}), "must speak of its inputs alone, not of z"),
    (lambda one: one["sections"][0]["inputs"][0].update(mean=None), "must have mean, standard_deviation and reduction"),
    (lambda one: one["sections"][0]["inputs"][0].update(by_sublayer=sublayers(1)), ".0.by_sublayer: must be those"),
    (lambda one: one["sections"][0]["inputs"][0].update(by_sublayer=sublayers(2)), "have a thickness for each path"),
    (
        lambda one: first(one)["form"].update(by_sublayer={MODULUS: {"design_values": [1.0], "sensitivity": [1.0]}}),
        f"must have a design value and a weight for every sublayer of {MODULUS}",
    ),
    (lambda one: first(one)["monte_carlo"]["course"].reverse(), "must have a course whose points rise"),
    (lambda one: first(one)["monte_carlo"]["scatter"]["values"].pop(), "must have a utilisation for each value"),
    (lambda one: first(one)["swings"][0].update(at_low={}), "at_low: must be a valid number, got other"),
    (lambda one: first(one)["monte_carlo"]["scatter"].update(values=[1e99] * 256), "must hold numbers that can be"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "words"), ALTERED)
def test_a_record_that_says_something_else_is_refused_with_its_place(
    change: Callable[[Json], object], words: str, made: Studied
) -> None:
    said = refused(made, made.altered(change))

    assert words in said
    assert "\x1b" not in said


def test_two_studies_of_a_kind_are_one_too_many(made: Studied) -> None:
    with pytest.raises(InputErrors, match="b:1:1: study: must be the only one of its kind in a package, got vary"):
        read_studies({"a": made.content, "b": made.content}, made.design)


def test_data_that_are_gone_and_a_table_that_is_gone_are_named(made: Studied, tmp_path: Path) -> None:
    bare = write_studied(tmp_path / "bare", "")
    of_bare = made.altered(lambda one: one.update(inputs_sha256=bare.sha256))
    copytree(made.design.source.parent, tmp_path / "gone")
    (tmp_path / "gone" / "moduli.csv").unlink()

    with pytest.raises(InputErrors, match=r"study: must be of a project file with a table \[vary\]"):
        read_studies({"x": of_bare}, bare)
    with pytest.raises(InputErrors, match=r"files: must be beside the project file, got moduli\.csv: No such file"):
        read_studies({"x": made.content}, read_design(tmp_path / "gone"))


def test_data_that_are_the_results_of_tests_go_with_every_package_anyway(made: Studied) -> None:
    of_tests = SimpleNamespace(name="moduli.csv", content=b"")

    [part] = read_studies({"x": made.content}, replace(made.design, results_file=of_tests))  # type: ignore[arg-type]

    assert part.files == {}


def leaves(said: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """The places of a record, of long lists those at their beginning."""
    if path:
        yield path
    inside = said.items() if isinstance(said, dict) else enumerate(said[:2]) if isinstance(said, list) else ()
    for key, value in inside:
        yield from leaves(value, (*path, key))


def put(said: Any, path: tuple[str | int, ...], value: object) -> Any:
    """The record with something else at a place, or without it."""
    *way, last = path
    holder = said
    for key in way:
        holder = holder[key]
    if value is GONE:
        del holder[last]
    else:
        holder[last] = value
    return said


GONE = object()
WRONG = [None, GONE, "", "x" * 30_000, -1, 0, 1e300, 10**400, -0.5, True, [], {}, [[]], "\x00", "\ud800", 1e-310, "<b>"]


@pytest.mark.slow
def test_whatever_is_changed_in_a_record_it_is_laid_out_or_refused(made: Studied) -> None:
    """Each place takes some of the values in turn; the checksum is made to fit."""
    places, wrong, ends = list(leaves(made.record)), cycle(WRONG), {"refused": 0, "laid out": 0}
    for place in places:
        for _ in range(4):
            value = next(wrong)
            changed = put(json.loads(made.content), place, value)
            content = json.dumps({**changed, "checksum": checksum(changed)}).encode()
            try:
                for part in read_studies({"x": content}, made.design):
                    part.chapter(made.run)
                ends["laid out"] += 1
            except InputErrors as errors:
                assert str(errors).startswith("x:")  # noqa: PT017 - what is raised is what is asked here
                ends["refused"] += 1

    assert ends["refused"] > 2 * len(places)
    assert ends["laid out"] > 20


def run_package(*arguments: object) -> Any:
    return CliRunner().invoke(main, ["package", *map(str, arguments)])


def test_the_command_refuses_before_anything_is_run_or_written(made: Studied, tmp_path: Path) -> None:
    file, folder = tmp_path / "other.json", made.design.source.parent
    file.write_bytes(made.altered(lambda one: one.update(inputs_sha256="0" * 64)))
    done = run_package(folder, "--with-study", file, "--out", tmp_path / "out")

    assert done.exit_code == 3
    assert f"{file}:1:1: inputs_sha256: must be that of project.toml" in done.output
    assert "sandsleeve vary writes it anew" in done.output
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("more", [["--full"], ["--section", "A"], ["--chapter", "columns"]])
def test_an_extract_has_no_study(more: list[str], made: Studied, tmp_path: Path) -> None:
    (tmp_path / "vary.json").write_bytes(made.content)
    done = run_package(made.design.source.parent, "--with-study", tmp_path / "vary.json", *more)

    assert done.exit_code == 2
    assert "--with-study does not go with an extract" in done.output


def test_a_record_that_is_given_twice_is_refused(made: Studied, tmp_path: Path) -> None:
    """Taken once, it would be a repair that nothing says."""
    (tmp_path / "vary.json").write_bytes(made.content)
    twice = ["--with-study", tmp_path / "vary.json", "--with-study", tmp_path / "." / "vary.json"]
    done = run_package(made.design.source.parent, *twice, "--out", tmp_path / "out")

    assert done.exit_code == 2
    assert "Invalid value for '--with-study': a file is given twice." in done.output
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_the_command_writes_the_chapter(made: Studied, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "vary.json").write_bytes(made.content)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(cli, "_run_design", lambda *_: made.run)
    monkeypatch.setattr(
        "calc.package.Pages.pieces", lambda pages, _: [Document(page_with(one.title)) for one in pages.appendices]
    )
    done = run_package(made.design.source.parent, "--with-study", tmp_path / "vary.json", "--out", tmp_path / "out")

    assert done.exit_code == 6, done.output
    with pikepdf.open(tmp_path / "out" / "package.pdf") as pdf:
        assert pdf.attachments["vary.json"].get_file().read_bytes() == made.content
    assert "Sensitivity and reliability" in " ".join(texts((tmp_path / "out" / "package.pdf").read_bytes()))


def test_what_is_not_installed_is_named(made: Studied, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    (tmp_path / "vary.json").write_bytes(made.content)
    monkeypatch.setitem(sys.modules, "calc.study.study_parts", None)
    done = run_package(made.design.source.parent, "--with-study", tmp_path / "vary.json")

    assert done.exit_code == 5
    assert "pip install 'sandsleeve[study]'" in done.output


def test_the_scatter_is_over_the_input_that_counts_most(made: Studied) -> None:
    scatter = first(made.record)["monte_carlo"]["scatter"]

    assert scatter["path"] == "layer.peat.gamma"
    assert len(scatter["values"]) == len(scatter["utilisations"]) == 256
    assert MODULUS in first(made.record)["form"]["sensitivity"]
