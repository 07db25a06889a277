"""Rules of the table [alignment], each broken by itself in an example that is right."""

from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design

TEXT = (Path(__file__).parents[2] / "projects" / "marsh-approach" / "project.toml").read_text(encoding="utf-8")
START, END = TEXT.index("[alignment]"), TEXT.index("# ------", TEXT.index("[alignment]"))
JOINT = TEXT[
    TEXT.index('[[alignment.transition]]\nat = "0+480"') : TEXT.index('[[alignment.transition]]\nat = "0+640"')
]
ABUTMENT = 'to = "structure"\nname = "bridge abutment"'

RULES = [
    ('at = "0+480"', 'at = "0+48"',
     'alignment.transition[2].at: must be a place with three digits of metres, such as "0+480", got "0+48"'),
    ('at = "0+480"', "at = 480",
     'alignment.transition[2].at: must be a place with three digits of metres, such as "0+480", got 480'),
    ('at = "0+480"', 'at = "0+470"',
     'alignment.transition[2].at: must be an end of a section (0+120, 0+480, 0+640, 0+910), got "0+470"'),
    (JOINT, JOINT + JOINT, "alignment.transition[3].at: must be used once only"),
    (ABUTMENT, ABUTMENT.replace("structure", "bridge"),
     'alignment.transition[4].to: must be one of "section", "structure", "untreated ground", got "bridge"'),
    (JOINT, JOINT.replace('"section"', '"structure"') + 'settlement_hand_over = "1 mm"\nsettlement_residual = "1 mm"\n'
     'source = "x"\n\n',
     'alignment.transition[2].to: must be "section" where two sections meet, got "structure"'),
    ('settlement_residual = "3 mm"\n', "",
     "alignment.transition[4].settlement_residual: must be given of structure, got nothing"),
    (JOINT, f'{JOINT.rstrip()}\nsource = "x"\n\n',
     "alignment.transition[2].source: must be left out between sections, which have settlements of their own"),
    (JOINT, f'{JOINT.rstrip()}\nname = "x"\n\n',
     "alignment.transition[2].name: must be left out between sections, which have keys"),
    ('at = "0+480"\nto = "section"\nlength = "50 m"', 'at = "0+480"\nto = "section"\nlength = "300 m"',
     ".length: must leave room in the section from 0+480 to 0+640: the halves of its transitions take 190 m of it"),
    ("gradient_residual = 0.005", 'gradient_residual = "1:200"',
     'alignment.gradient_residual: must be a plain number without a unit, got "1:200"'),
    ("gradient_residual = 0.005", "gradient_residual = 0.5",
     "alignment.gradient_residual: must be greater than 0 and at most 0.05, got 0.5"),
]  # fmt: skip


def errors_of(folder: Path, text: str) -> list[str]:
    (folder / "project.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    return [str(error) for error in caught.value.errors]


@pytest.mark.parametrize(("old", "new", "expected"), RULES)
def test_each_rule_is_told_with_its_field(tmp_path: Path, old: str, new: str, expected: str) -> None:
    assert TEXT.count(old, START, END) == 1

    told = errors_of(tmp_path, TEXT[:START] + TEXT[START:END].replace(old, new) + TEXT[END:])

    assert [expected in one for one in told] == [True], told


GAP = """[[alignment.transition]]
at = "0+480"
to = "untreated ground"
length = "20 m"
means = "x"
settlement_hand_over = "1 mm"
settlement_residual = "1 mm"
source = "x"

"""


@pytest.mark.parametrize(
    ("begin", "lengths", "taken"),
    [("0+508", (20, 20), "40 m"), ("0+508", (40, None), "40 m"), ("0+508", (None, 28.5), "28.5 m")],
)
def test_transitions_in_a_gap_leave_room_for_each_other_and_for_the_next_section(
    tmp_path: Path, begin: str, lengths: tuple[float | None, float | None], taken: str
) -> None:
    """Two of 20 m in a gap of 28 m, or one that is longer than the gap."""
    made = [GAP.replace("20 m", f"{length:g} m").replace("0+480", place)
            for place, length in zip(("0+480", begin), lengths, strict=True) if length]  # fmt: skip
    text = TEXT.replace(JOINT, "".join(made)).replace('"0+480 to 0+640"', f'"{begin} to 0+640"')

    (told,) = errors_of(tmp_path, text)

    assert f".length: must leave room between the sections, from 0+480 to {begin}: the transitions there take {taken}" \
        in told  # fmt: skip


def test_transitions_that_fill_a_gap_are_read(tmp_path: Path) -> None:
    made = [GAP.replace("20 m", "14 m").replace("0+480", place) for place in ("0+480", "0+508")]
    text = TEXT.replace(JOINT, "".join(made)).replace('"0+480 to 0+640"', '"0+508 to 0+640"')
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    assert read_design(tmp_path).alignment is not None


def test_what_no_section_meets_is_no_section(tmp_path: Path) -> None:
    """The abutment as a section: its own values are refused with it."""
    told = errors_of(tmp_path, TEXT.replace('to = "structure"', 'to = "section"'))

    assert 'to: must not be "section", which none is here, got "section"' in told[0]
    assert len(told) == 5


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('chainage = "0+120 to 0+480"', 'chainage = "northern marsh"',
         'section[1].chainage: must name two places in rising order, such as "0+120 to 0+480", where [alignment] is'),
        ('chainage = "0+480 to 0+640"', 'chainage = "0+470 to 0+640"',
         "section[2].chainage: must not begin before the end of another section (0+480), where [alignment] is given"),
    ],
)  # fmt: skip
def test_sections_follow_one_another(tmp_path: Path, old: str, new: str, expected: str) -> None:
    told = errors_of(tmp_path, TEXT.replace(old, new))

    assert any(expected in one for one in told), told


def test_what_lies_at_the_ends_is_not_denied_outside(tmp_path: Path) -> None:
    lines = ['structures = "not relevant because none"' if line.startswith("structures = ") else line
             for line in TEXT.splitlines()]  # fmt: skip

    (told,) = errors_of(tmp_path, "\n".join(lines))

    assert 'outside.structures: must begin with "see " or be left out, because [alignment] has' in told
