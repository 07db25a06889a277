"""The proposed tables: as typed but for the dates, and read back by the program itself once they are pasted."""

import re
import tomllib
from collections.abc import Callable

import pytest

from calc.chapters.shared.frame import origin_of
from calc.engine.sheet import Origin
from calc.inputs import Design
from calc.study.dates import day_text, with_dates
from calc.study.proposal import Proposal, proposal_text

Read = Callable[[str], Design]

BRACES = """\
stage = [
    { name = "Lift", situation = "persistent", water = "mean", fill_height = "2.0 m", traffic = true, \
start = "30 d", duration = "14 d", n_stability = 1.5 },
]
"""


def proposed(design: Design, key: str, shift: float) -> Proposal:
    """Every date but the first moved by some days."""
    first, *later = next(section for section in design.sections if section.key == key).stages
    return Proposal(key, (first.start, *(stage.start + shift for stage in later)), 900.0 + shift)


def without_stages(text: str) -> str:
    """A project file without its tables of stages."""
    tables = re.split(r"(?m)^(?=\[)", text)
    return "".join(table for table in tables if not re.match(r"\[\[(section\.)?stage\]\]", table))


def without_switched_off(text: str) -> str:
    """A text without the lines that are comments alone."""
    return re.sub(r"(?m)^#.*\n?", "", text)


def test_tables_of_one_section_are_those_typed_but_for_the_dates(read: Read, starter: str) -> None:
    design = read(starter)
    one = proposed(design, design.sections[0].key, 12.5)
    tables = [table.rstrip() for table in re.split(r"(?m)^(?=\[)", starter) if table.startswith("[[stage]]")]

    text = proposal_text(design, [one], ["Proposed.", ""])

    assert text.startswith("# Proposed.\n#\n\n# For section ")
    for table, start in zip(tables, one.starts, strict=True):
        typed = without_switched_off(table.partition("\n\n#")[0])  # what follows is said about the next table
        dated = re.sub(r'(?m)^start = ".*"', f'start = "{day_text(start)}"', typed)
        assert dated.rstrip() in without_switched_off(text)
    assert tomllib.loads(text)["consolidation"] == {"hand_over": "912.5 d"}


def test_pasted_tables_read_back_as_proposed(read: Read, starter: str) -> None:
    design = read(starter)
    one = proposed(design, design.sections[0].key, 12.5)
    pasted = proposal_text(design, [one], []).partition("# In the table")[0]
    rest = without_stages(starter)
    place = rest.index("\n[[section]]\n")

    again = read(rest[:place] + pasted + rest[place:])

    assert tuple(stage.start for stage in again.sections[0].stages) == one.starts
    assert [stage.model_copy(update={"start": 0.0}) for stage in again.sections[0].stages] == [
        stage.model_copy(update={"start": 0.0}) for stage in design.sections[0].stages
    ]


def test_sections_with_dates_of_their_own_get_tables_of_their_own(marsh: Design) -> None:
    proposals = [proposed(marsh, key, shift) for key, shift in (("A", 3.0), ("B", 5.0), ("C", 7.0))]

    text = proposal_text(marsh, proposals, [])
    sections = tomllib.loads(text)["section"]

    assert [section["key"] for section in sections] == ["A", "B", "C"]
    assert [section["stage"][1]["start"] for section in sections] == ["63 d", "65 d", "67 d"]
    assert [section["consolidation"]["hand_over"] for section in sections] == ["903 d", "905 d", "907 d"]
    assert [len(section["stage"]) for section in sections] == [7, 7, 6]
    assert sections[0]["stage"][3]["duration"] == "2 week"  # as typed


def test_sections_with_the_same_dates_keep_the_common_tables(marsh: Design) -> None:
    proposals = [proposed(marsh, key, 3.0) for key in ("A", "B", "C")]

    document = tomllib.loads(proposal_text(marsh, proposals, []))

    assert [stage["start"] for stage in document["stage"]] == [
        "0 d",
        "63 d",
        "123 d",
        "185 d",
        "542 d",
        "542.5 d",
        "543 d",
    ]
    assert document["consolidation"]["hand_over"] == "903 d"
    assert [section["key"] for section in document["section"]] == ["C"]


def test_a_part_of_the_sections_gets_no_common_tables(marsh: Design) -> None:
    document = tomllib.loads(proposal_text(marsh, [proposed(marsh, "B", 3.0)], []))

    assert [section["key"] for section in document["section"]] == ["B"]
    assert "stage" not in document


def test_a_date_that_stays_keeps_its_text(marsh: Design) -> None:
    text = proposal_text(marsh, [proposed(marsh, "B", 0.0)], [])

    assert 'start = "26 week"\n' in text


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_comments_and_odd_spellings_stay_as_typed(read: Read, starter: str, ending: str) -> None:
    """What looks like a header inside a text is none, and a comment behind a date stays behind it."""
    lines = starter.split("\n")
    at = [k for k, line in enumerate(lines) if line == "[[stage]]"][1]
    start = next(k for k in range(at, len(lines)) if lines[k].startswith("start"))
    lines[at] = " [[ stage ]] # the second"
    lines[start] = '"start"   =   \'30 d\' # "30 d" after "trial"'
    source = next(k for k in range(at, len(lines)) if lines[k].startswith("c_u_gain_source"))
    lines[source] = '# before\nc_u_gain_source = """vane tests \\\n[[stage]] \\\nagain"""'
    design = read("\n".join(lines).replace("\n", ending))

    text = proposal_text(design, [proposed(design, design.sections[0].key, 1.0)], [])

    assert '"start"   =   "31 d" # "30 d" after "trial"\n' in text
    assert '# before\nc_u_gain_source = """vane tests \\\n[[stage]] \\\nagain"""\n' in text
    assert tomllib.loads(text)["stage"][1]["start"] == "31 d"


def test_stages_in_braces_become_tables(read: Read, starter: str) -> None:
    rest = without_stages(starter)
    height = re.search(r'(?m)^height = "(.*)"', rest)
    assert height
    design = read(BRACES.replace("2.0 m", height[1]) + rest)

    one = Proposal(design.sections[0].key, (31.0,), 100.0)
    text = proposal_text(design, [one], [])

    assert text.count("[[stage]]") == 2  # the comment and the table
    assert 'start = "31 d"\n' in text
    assert 'duration = "14 d"\n' in text
    assert tomllib.loads(text)["stage"][0]["n_stability"] == 1.5
    assert 'start = "30 d"\n' in proposal_text(design, [Proposal(one.key, (30.0,), 100.0)], [])


def test_text_of_a_project_cannot_leave_its_comment(read: Read, starter: str) -> None:
    design = read(starter)
    one = proposed(design, design.sections[0].key, 1.0)

    text = proposal_text(design, [one], ["Bank\n[danger]\x1b[31m" + " long" * 60])

    assert "danger" not in tomllib.loads(text)
    assert "\x1b" not in text
    assert max(len(line) for line in text.split("\n\n")[0].split("\n")) <= 102


def test_changed_dates_say_that_they_are_proposed(marsh: Design) -> None:
    one = proposed(marsh, "B", 3.0)
    design, section = with_dates(marsh, "B", one.starts, one.hand_over)
    old = marsh.sections[1]

    assert tuple(stage.start for stage in section.stages) == one.starts
    assert [stage.duration for stage in section.stages] == [stage.duration for stage in old.stages]
    assert section.origin("stage.0.start") == old.origin("stage.0.start")
    assert (section.origin("stage.1.start").origin, section.origin("stage.1.start").text) == ("proposed", "63 d")
    assert section.origin("stage.1.start").line is None
    assert design.provenance["section.B.stage.1.start"].origin == "proposed"
    assert origin_of(section, "stage.1.start") == Origin(
        "project rule", path="stage.1.start", text="63 d, proposed; not in the project file"
    )
    assert origin_of(section, "stage.0.start").kind == "file"
    assert design.sections == (marsh.sections[0], section, marsh.sections[2])
    assert (design.text, design.sha256) == (marsh.text, marsh.sha256)


def test_the_design_that_was_read_stays_as_it_was(marsh: Design) -> None:
    before = marsh.sections[1].origin("stage.1.start"), marsh.sections[1].stages, dict(marsh.provenance)

    with_dates(marsh, "B", proposed(marsh, "B", 3.0).starts, 900.0)

    assert (marsh.sections[1].origin("stage.1.start"), marsh.sections[1].stages, dict(marsh.provenance)) == before


def test_dates_that_stay_keep_their_origin(marsh: Design) -> None:
    old = marsh.sections[1]
    hand_over = old.consolidation.hand_over if old.consolidation else 900.0

    design, section = with_dates(marsh, "B", [stage.start for stage in old.stages], hand_over)

    assert section == old
    assert design.provenance == marsh.provenance


def test_section_without_the_table_of_consolidation_has_no_hand_over(read: Read, starter: str) -> None:
    design = read(starter)
    one = proposed(design, design.sections[0].key, 1.0)

    moved, section = with_dates(design, one.key, one.starts, one.hand_over)

    assert section.consolidation is None
    assert tuple(stage.start for stage in section.stages) == one.starts
    assert f"section.{one.key}.consolidation.hand_over" not in moved.provenance


def test_tables_pasted_into_their_sections_read_back_as_proposed(read: Read, marsh: Design) -> None:
    """Sections A and B get tables of their own beside the common ones, C new ones in place of its own."""
    proposals = [proposed(marsh, key, shift) for key, shift in (("A", 3.0), ("B", 5.0), ("C", 7.0))]
    text = proposal_text(marsh, proposals, [])
    parts = {part.partition("\n")[0]: part.partition("\n")[2] for part in text.split("[[section]]\nkey = ")[1:]}
    head, *sections = marsh.text.decode().split("[[section]]\nkey = ")
    pasted = [head]
    for part in sections:
        key, _, own = part.partition("\n")
        pasted.append(f"{key}\n{without_stages(own)}\n{parts[key]}\n")

    again = read("[[section]]\nkey = ".join(pasted))

    for proposal, section, old in zip(proposals, again.sections, marsh.sections, strict=True):
        assert tuple(stage.start for stage in section.stages) == proposal.starts
        assert section.consolidation is not None
        assert section.consolidation.hand_over == proposal.hand_over
        moved = section.consolidation.model_copy(update={"hand_over": 0.0})
        assert old.consolidation is not None
        assert moved == old.consolidation.model_copy(update={"hand_over": 0.0})
        assert [stage.name for stage in section.stages] == [stage.name for stage in old.stages]
