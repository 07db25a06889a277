"""One wrong value in a project file: the whole line of each kind of error."""

from collections.abc import Callable

import pytest

Refused = Callable[..., list[str]]
LineOf = Callable[[str], int]

SPACING = 'spacing = "1.90 m"'
LENGTH = "must be a number, a space and a unit that converts to m"

VALUES = [
    (
        SPACING,
        'spacing = "1,90 m"',
        "columns.spacing",
        LENGTH + ', got "1,90 m": a comma in the number (the decimal mark is the point, thousands are not marked)',
    ),
    (SPACING, 'spacing = "1:2"', "columns.spacing", LENGTH + ', got "1:2": another form of text'),
    (SPACING, 'spacing = "12"', "columns.spacing", LENGTH + ', got "12": a number without a unit'),
    (SPACING, "spacing = 1.9", "columns.spacing", LENGTH + ", got 1.9"),
    (SPACING, "spacing = nan", "columns.spacing", LENGTH + ", got nan"),
    (SPACING, 'spacing = "1.9 kN"', "columns.spacing", LENGTH + ', got "1.9 kN": "kN" does not convert to m'),
    (SPACING, 'spacing = ["1.9 m"]', "columns.spacing", LENGTH + ", got a list"),
    (SPACING, "spacing = { value = 1 }", "columns.spacing", LENGTH + ", got a table"),
    (SPACING, 'spacing = "0.8 m"', "columns.spacing", 'must be greater than the diameter (0.8 m), got "0.8 m"'),
    (
        'slope_left = "1:2"',
        'slope_left = "2 m"',
        "embankment.slope_left",
        'must be a slope vertical:horizontal such as "1:2", got "2 m"',
    ),
    (
        'phi = "32.5 deg"',
        'phi = "32.5"',
        "embankment.phi",
        'must be a number, a space and a unit that converts to deg, got "32.5": a number without a unit',
    ),
    (
        'phi = "32.5 deg"',
        'phi = "325 deg"',
        "embankment.phi",
        'must be greater than 0 deg and less than 60 deg, got "325 deg"',
    ),
    ("nu = 0.3", 'nu = "0.3"', "columns.fill.nu", 'must be a plain number without a unit, got "0.3"'),
    ("K_star = 1.0", "K_star = true", "columns.K_star", "must be a plain number without a unit, got true"),
    (
        "geotechnical_category = 2",
        "geotechnical_category = 4",
        "basis.geotechnical_category",
        "must be at least 1 and at most 3, got 4",
    ),
    (
        'sleeve.stiffness]]\nname = "short"',
        'sleeve.stiffness]]\nname = ""',
        "sleeve.stiffness[1].name",
        "must be a text that says something, got an empty text",
    ),
    (
        "makeup_fill = true",
        'makeup_fill = "yes"',
        "section[1].makeup_fill",
        'must be true or false (without quotes), got "yes"',
    ),
    (
        'water = "high"',
        'water = "spring tide"',
        "stage[1].water",
        'must be one of "low", "mean", "high", "flood", got "spring tide"',
    ),
    (
        'key = "peat"',
        'key = "Peat 1"',
        "section[1].layer[1].key",
        'must be a key of 1 to 40 signs out of small letters a-z, digits, _ and -, got "Peat 1"',
    ),
    (
        "date = 2025-01-15",
        'date = "15 January"',
        "project.revision[1].date",
        'must be a day of the calendar written year-month-day such as 2025-04-30, got "15 January"',
    ),
    (
        '# structures = "see …"',
        'structures = "none"',
        "outside.structures",
        'must begin with "not relevant because " or "see ", got "none"',
    ),
    (
        'purpose = "Starter project: example values only, no design."',
        'purpose = "a\\u0007b"',
        "project.purpose",
        'must be a text without control characters (line breaks and tabs are allowed), got "a\\x07b"',
    ),
]


@pytest.mark.parametrize(("old", "new", "path", "text"), VALUES, ids=[row[1].replace("\n", " ") for row in VALUES])
def test_one_wrong_value_gives_one_line_with_its_place(
    refused: Refused, line_of: LineOf, old: str, new: str, path: str, text: str
) -> None:
    lines = refused((old, new))

    assert lines == [f"project.toml:{line_of(new.splitlines()[-1])}:1: {path}: {text}"]
