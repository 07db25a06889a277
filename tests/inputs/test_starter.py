"""The starter holds every table and field, and what is switched off in it is right once it is in use."""

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from calc.inputs import read_design
from calc.inputs.reading.document import Document
from calc.inputs.reading.field_list import _tables
from calc.inputs.reading.messages import keys_of
from calc.inputs.reading.starter import _SWITCHED_OFF, placeholders, starter_project
from calc.inputs.reading.starter_lines import with_every_field

TEXT = starter_project("Test")
LINES = TEXT.split("\n")
OFF = [found[1] if (found := _SWITCHED_OFF.match(line)) else "" for line in LINES]


def runs(of: range, marks: set[str]) -> Iterator[range]:
    """Stretches of lines whose marks are among these."""
    at = of.start
    while at < of.stop:
        end = at
        while end < of.stop and OFF[end] in marks:
            end += 1
        if end > at:
            yield range(at, end)
        at = end + 1


def changes() -> Iterator[tuple[str, list[int]]]:
    """Every block in use without what may be left out of it, then with each part of that."""
    for block in runs(range(len(LINES)), {"#", "##"}):
        own = [at for at in block if OFF[at] == "#"]
        yield LINES[block[0]], own
        for part in parts(block):
            yield f"{LINES[block[0]]} {LINES[part[0]]}", sorted([*own, *part])


def parts(block: range) -> Iterator[list[int]]:
    """What may be left out of a block: a table with its keys, or one key."""
    for run in runs(block, {"##"}):
        headers = [at for at in run if LINES[at].startswith("## [")] + [run.stop]
        yield from ([at] for at in range(run.start, headers[0]))
        yield from (list(range(at, end)) for at, end in pairwise(headers))


CHANGES = list(changes())
# The file that a block of the starter names: what its user has.
RESULTS = """\
id,location,test,depth,c_fv,q_c,u_2,stress,strain,sigma_p
,,,m,kPa,kPa,kPa,kPa,%,kPa
V1-1,V1,vane,1,25,,,,,
V1-2,V1,vane,1.5,90,,,,,
C1-1,C1,cone,1,,300,20,,,
O1,B1,oedometer,3,,,,25,0,20
O1,B1,oedometer,3,,,,50,3,20
O1,B1,oedometer,3,,,,100,6,20
"""


@pytest.mark.parametrize("lines", [row[1] for row in CHANGES], ids=[row[0] for row in CHANGES])
def test_a_block_taken_into_use_is_read_without_an_error(tmp_path: Path, lines: list[int]) -> None:
    text = [re.sub("^##? ", "", line) if at in lines else line for at, line in enumerate(LINES)]
    (tmp_path / "project.toml").write_text("\n".join(text), encoding="utf-8")
    (tmp_path / "ground-data.csv").write_text(RESULTS, encoding="utf-8")

    assert read_design(tmp_path).cautions == ()


def test_there_are_blocks_for_every_table() -> None:
    # Spaces before it: a table that the starter as it stands would refuse.
    headers = {found[1].removeprefix("section.") for line in LINES if (found := re.match(r"#* *\[+([\w.]+)\]", line))}
    inline = set(re.findall(r"(\w+) = \[?\{", TEXT))
    missing = [
        path
        for path, _, _ in _tables(Document, "")
        if not any(header == path or header.startswith(f"{path}.") for header in headers)
        and path.rpartition(".")[2] not in inline
    ]

    assert missing == []


@pytest.mark.parametrize(("path", "model"), [(path, model) for path, model, _ in _tables(Document, "")])
def test_every_field_has_its_name_in_the_starter(path: str, model: type) -> None:
    missing = [key for key in keys_of(model) if not re.search(rf"(?<![\w.]){key} = ", TEXT) and key not in inside()]

    assert missing == [], path


def inside() -> set[str]:
    """Names that headers have after a point."""
    return {part for found in re.findall(r"\[+([\w.]+)\]", TEXT) for part in found.split(".")}


def test_a_text_that_stands_for_what_only_the_user_knows_is_found_in_a_block_too() -> None:
    assert {
        "example value: numerical study",
        "Why the columns have to be closed",
        "not relevant because …",
    } <= placeholders()


def test_the_starter_lacks_no_field_of_a_table_that_has_a_header_in_it() -> None:
    assert with_every_field(TEXT) == TEXT, "run: python -m calc.inputs.reading.schema"


@pytest.mark.parametrize(
    ("table", "mark", "key"),
    [
        ("[basis.limits]", "# ", "settlement_residual"),  # may be left out of a table in use
        ("[columns]", "", "spacing"),  # mandatory there
        ("# [load_transfer]", "# ", "source"),  # mandatory in a table that is switched off
        ("# [filters.criteria]", "## ", "reversing"),  # may be left out of it
        ("## [plug] # closes the columns against the aquifer", "## ", "gamma_sat"),
        ("#   [widening]", "#   ", "consolidation"),
        ("#   [widening]", "#   ## ", "columns_left"),
    ],
)
def test_a_field_that_the_starter_has_no_line_of_is_written_at_the_end_of_its_table(
    table: str, mark: str, key: str
) -> None:
    head = LINES.index(table)
    at = next(k for k in range(head, len(LINES)) if LINES[k].startswith(f"{mark}{key} = "))
    end = next(k for k in range(head + 1, len(LINES)) if not LINES[k] or re.match(r"#* *\[", LINES[k]))
    found = with_every_field("\n".join(LINES[:at] + LINES[at + 1 :])).split("\n")

    assert found[end - 1].startswith(f"{mark}{key} = ")
    assert found[: end - 1] + found[end:] == LINES[:at] + LINES[at + 1 :]
