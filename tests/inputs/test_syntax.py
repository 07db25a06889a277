"""Slips in the writing of a file: each told with line, column and cure, and the rest of the file as well."""

from collections.abc import Callable
from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design
from calc.inputs.reading.syntax import parse

Refused = Callable[..., list[str]]
LineOf = Callable[[str], int]

WIDTH = 'crest_width = "10.0 m"'
SHARE = "psi_2 = 0.3 #"
A1, A2 = "A1 = { value = 1.5,", 'A2 = { value = 1.1, source = "example value: installation damage test report" }'
SETS = 'factor_sets = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]'
MAKEUP = "makeup_fill = true"
DAY = "must be a day of the calendar written year-month-day such as 2025-04-30"
UNIT = 'must stand in quotes, number, one space, unit: crest_width = "10.0 m"'
ENTRY = 'must have a quote (") at both ends of every entry, and a comma between them'
SIGNS = "must have a key of letters a-z and A-Z, digits, _ and - (no space, no other sign) before ="

SLIPS = [
    (WIDTH, "crest_width = 10.0 m", f"15: file: {UNIT}, got 10.0 m"),
    (WIDTH, "crest_width = 10.0m", f"15: file: {UNIT}, got 10.0m"),
    (WIDTH, "crest_width = 10,0 m", f"15: file: {UNIT}, got 10,0 m"),
    (WIDTH, 'crest_width = "10.0 m', '15: file: must end with a quote ("), got "10.0 m'),
    (WIDTH, "crest_width = \"10.0 m'", "15: file: must end with a quote (\"), got \"10.0 m'"),
    (WIDTH, 'crest_width = 10.0 m"', '15: file: must begin with a quote: crest_width = "10.0 m", got 10.0 m"'),
    (WIDTH, "crest_width = “10.0 m”", '22: file: must have straight quotes (") around a text, got ”'),
    (WIDTH, "crest_width = ‘10.0 m’", '15: file: must have straight quotes (") around a text, got ‘10.0 m’'),
    (WIDTH, 'crest_width = "10.0\x02m"', ("20: file: must hold no control characters (delete the sign, type it anew), "
     "got the sign U+0002")),
    (WIDTH, "crest_width = ", "15: file: must have a value behind =, got nothing"),
    ('slope_left = "1:2"', "slope_left = 1:2", '14: file: must stand in quotes: slope_left = "1:2", got 1:2'),
    ('role = "load"', "role = load", '8: file: must stand in quotes: role = "load", got load'),
    ('psi = "0 deg"', "psi = 0°", '7: file: must stand in quotes, number, one space, unit: psi = "0 deg", got 0°'),
    (MAKEUP, "makeup_fill = yes", "15: file: must be true, in small letters without quotes, got yes"),
    (MAKEUP, "makeup_fill = No", "15: file: must be false, in small letters without quotes, got No"),
    (MAKEUP, "makeup_fill = True", "15: file: must be true, in small letters without quotes, got True"),
    ("date = 2025-01-15", "date = 2025-02-30", f"8: file: {DAY}, got 2025-02-30"),
    ("date = 2025-01-15", "date = 15.01.2025", f"8: file: {DAY}, got 15.01.2025"),
    (SHARE, "psi_2 = 0,3 #", "9: file: must have a point as its decimal mark, got 0,3"),
    (SHARE, "psi_2 = .3 #", "9: file: must have a digit on both sides of the decimal point, got .3"),
    (SHARE, "psi_2 = −0.3 #", "9: file: must have the minus of the keyboard (-), not the sign U+2212, got −0.3"),
    (SHARE, "psi_2 = 30 % #", "9: file: must be a plain number without a unit (30 % is 0.3), got 30 %"),
    (SHARE, "psi_2: 0.3 #", "6: file: must have = between key and value, got :"),
    (SHARE, "psi 2 = 0.3 #", f"1: file: {SIGNS}, got psi 2"),
    (SHARE, "psi_2 = 0.3 //", ("13: file: must end here (a comment begins with #), got // quasi-permanent share of the "
     "traffic load")),
    (SHARE, "psi_2 = 0.3 check = 2 #", ("13: file: must be followed by a new line, within braces by a comma, "
     "got check = 2")),
    ('title = "Test"', 'title = "C:\\Users"', ("9: file: must have \\\\ for a backslash, or single quotes around the "
     'text, got "C:\\Users"')),
    ('purpose = "', 'purpose = For "', ('11: file: must stand in quotes, got For "Starter project: example values '
     'only, no design."')),
    (A1, "A1 = { value = 1,5,", "16: file: must have a point as its decimal mark, got 1,5"),
    (A1, "A1 = { value = 1.5, value = 2,", '21: file: must give "value" once in its table, got it a second time'),
    (A2, A2.replace('report"', "report"), ('30: file: must end with a quote ("), got "example value: installation '
     "damage test report")),
    (A2, A2.replace("1.1,", "1.1"), ("20: file: must be followed by a new line, within braces by a comma, got source = "
     '"example value: installation damage test report"')),
    (SETS, SETS.replace('1", "', '1" "'), '34: file: must be followed by a comma, in a list, got "EN 1997-1 DA1-2"'),
    (SETS, SETS.replace('1", "', '1, "'), f'16: file: {ENTRY}, got ["EN 1997-1 DA1-1, "EN 1997-1 DA1-2"]'),
    ("[traffic]", "[traffic", ("9: file: must be a header such as [table] or [[list]], with nothing behind it, "
     "got [traffic")),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "text"), SLIPS, ids=[row[1][:24] for row in SLIPS])
def test_a_slip_is_told_alone_with_its_column_and_cure(
    refused: Refused, line_of: LineOf, old: str, new: str, text: str
) -> None:
    lines = refused((old, new))

    assert lines == [f"project.toml:{line_of(new)}:{text}"]


def test_a_key_given_twice_names_both_lines(refused: Refused, line_of: LineOf) -> None:
    (line,) = refused((WIDTH, f"{WIDTH}\n{WIDTH}"))
    first = line_of("crest_width")

    assert line == (
        f'project.toml:{first + 1}:1: file: must give "crest_width" once in its table (it stands in line {first}), '
        "got it a second time"
    )


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        ("\n[[stage]]", "\n[stage]", "[stage]:1: file: must be written [[stage]], got [stage]"),
        (
            "\n[[section.layer]]",
            "\n[section.layer]",
            "[section.layer]:1: file: must be written [[section.layer]], got [section.layer]",
        ),
        ("\n[[section]]", "\n[section]", ("[section]:1: section: must be written [[section]]: it is a list, "
         "got [section]")),
        ("\n[basis]", "\n[[basis]]", "[[basis]]:1: basis: must be written [basis]: there is one, got [[basis]]"),
    ],
)  # fmt: skip
def test_brackets_of_a_header_are_told(refused: Refused, line_of: LineOf, old: str, new: str, text: str) -> None:
    lines = refused((old, new))
    header, _, rest = text.partition(":")

    assert f"project.toml:{line_of(header)}:{rest}" in lines
    assert not any("must be named by a section" in line for line in lines)  # [section] had that told of every set


def test_a_table_begun_twice_names_the_first(refused: Refused, line_of: LineOf) -> None:
    (line,) = refused(("[traffic]", "[embankment]\n[traffic]"))

    assert line.endswith(
        f"must begin [embankment] once (it stands in line {line_of('[embankment]')}): its keys belong together, "
        "got [embankment] a second time"
    )


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        (SETS, SETS[:-1], "must have the end of its list: ], got none before line "),
        ('note = "First draft."', 'note = """First', 'must have the end of its text: three quotes ("""), as it began'),
    ],
)
def test_what_has_no_end_is_told_where_it_begins(
    refused: Refused, line_of: LineOf, old: str, new: str, text: str
) -> None:
    (line,) = refused((old, new))

    assert line.startswith(f"project.toml:{line_of(new)}:1: file: {text}")


def test_slips_come_first_and_then_what_else_is_certain(refused: Refused) -> None:
    lines = refused(
        (SHARE, "psi_2 = 0,3 #"),
        (WIDTH, "crest_width = 10.0 m"),
        ('height = "4.0 m"', 'height = "banana"'),
        (MAKEUP, "makeup_fill = Yes\nsurprise = No"),
        ('gamma_sub = "10', '#"'),  # a rule, which is not certain while a line cannot be read
    )

    assert [line.split(": ")[1] for line in lines] == [
        "file", "file", "file", "file", "embankment.height", "section[1].surprise",
    ]  # fmt: skip


def test_a_line_without_a_readable_key_makes_no_key_missing(refused: Refused) -> None:
    lines = refused((SHARE, "psi 2 = 0.3 #"), (WIDTH, "crest width = 10"), ('role = "load"', 'role = "laod"'))

    assert [line.split(": ")[1] for line in lines] == ["file", "file", "platform.role"]


def test_what_cannot_be_repaired_for_certain_ends_the_reading() -> None:
    assert parse("a = 1\n[b\nc = 2\nd = x\n").document is None
    assert parse("a = 1\nb = x\nc = 3\n").document == {"a": 1, "b": "\ue000", "c": 3}


def test_many_slips_are_cut_short(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text("".join(f"k{k} = yes\n" for k in range(100)), encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    assert len(caught.value.errors) == 20


def test_a_minus_that_is_none_is_told_in_a_quantity(refused: Refused) -> None:
    (line,) = refused(('mean = "-0.50 m"', 'mean = "−0.50 m"'))

    assert line.endswith('got "−0.50 m": the sign U+2212 (write the minus of the keyboard, -)')


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        (A2, "A2 = 1.1", 'sleeve.factors.A2: must be a table: A2 = { value = 1.1, source = "…" }, got 1.1'),
        (
            'checker = { name = "Name of the checker" }',
            "checker = 'B\\1\\x'",
            r'people.checker: must be a table: checker = { name = "B\1\x" }, got "B\1\x"',
        ),
        (
            'checker = { name = "Name of the checker" }',
            'checker = "B. Okoye"',
            'people.checker: must be a table: checker = { name = "B. Okoye" }, got "B. Okoye"',
        ),
    ],
)
def test_a_value_in_place_of_a_table_shows_the_table(refused: Refused, old: str, new: str, text: str) -> None:
    (line,) = refused((old, new))

    assert line.endswith(f":1: {text}")
