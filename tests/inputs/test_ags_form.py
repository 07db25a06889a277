"""The AGS 4 reader held to the published format: a whole file of edition 4.1.1, its dictionary, a checker of its rules.

`site.ags` is invented. The checker is that of python-ags4, with the dictionaries that it brings.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from python_ags4 import AGS4

from calc.inputs import InputErrors
from calc.inputs.ground_file.ags import TESTS, grounds_of_ags, read_groups
from calc.inputs.ground_file.results_file import AGS_GROUPS, AGS_UNITS, results_of_ags
from calc.inputs.reading import units
from tests.references.reader import table

# Lines end as rule 2a of the format has it.
SITE = Path(__file__).with_name("site.ags").read_text(encoding="utf-8").replace("\n", "\r\n")
HEADINGS: dict[str, dict[str, str]] = table("ags_dictionary")["headings"]


def broken_rules(text: str, folder: Path) -> set[str]:
    """The rules of the format that the checker finds broken in a file."""
    file = folder / "site.ags"
    file.write_bytes(text.encode())
    return {name for name in AGS4.check_file(str(file)) if name.startswith("AGS Format Rule")}


@pytest.mark.parametrize(
    ("change", "rules"),
    [
        (lambda text: text, set()),
        (lambda text: text.replace('"UNIT","","","m"', '"UNIT","","","furlong"'), {"AGS Format Rule 15"}),
        (lambda text: text.replace("\r\n", "\n"), {"AGS Format Rule 2a"}),
    ],
    ids=["as it is", "unit of no group", "ends of lines"],
)
def test_checker_finds_no_rule_broken_in_the_file_that_is_read(
    change: Callable[[str], str], rules: set[str], tmp_path: Path
) -> None:
    assert broken_rules(change(SITE), tmp_path) >= rules
    assert bool(broken_rules(change(SITE), tmp_path)) == bool(rules)


def test_strata_and_results_are_those_of_the_file() -> None:
    (bore,) = grounds_of_ags(SITE, "site.ags")
    strata = [(stratum.values["name"].typed, stratum.values["thickness"].typed) for stratum in bore.strata]
    results = [(one.test, one.location, one.depth, one.values) for one in results_of_ags(SITE, "site.ags")]

    assert bore.values["ground_level"].typed == "0.42 m"
    assert strata == [("Peat", "2.10 m"), ("Soft clay", "4.25 m")]
    assert results == [
        ("vane", "B1", 1.0, {"c_fv": 14.0}),
        ("vane", "B1", 3.0, {"c_fv": 11.0}),
        ("cone", "C1", 3.0, {"q_c": 320.0, "u_2": 52.0}),
        ("strength", "B1", 3.1, {"c_u": 12.0}),
    ]


def test_headings_and_units_of_the_file_are_those_of_the_dictionary() -> None:
    groups = read_groups(SITE, "site.ags")

    for name in ("LOCA", "GEOL", "ABBR", "IVAN", "SCPT", "TRIT"):
        known = {heading: HEADINGS[name][heading] for heading in groups[name].headings if heading in HEADINGS[name]}
        assert {heading: groups[name].units[heading] for heading in known} == known
        assert HEADINGS[name].keys() - known.keys() <= {"GEOL_LEG"}


def test_units_are_those_of_the_row_unit() -> None:
    """Cone resistance in kPa, as the form allows where a file says so in UNIT: a thousandth of the number in MPa."""
    columns = '"UNIT","","","m","MPa","MPa"'
    changed = SITE.replace(columns, columns.replace("MPa", "kPa"))
    (cone,) = [one for one in results_of_ags(changed, "site.ags") if one.test == "cone"]

    assert cone.values == {"q_c": 0.32, "u_2": 0.052}


def test_a_reading_that_is_only_bounded_is_no_number() -> None:
    """The dictionary's own example of a vane that was not strong enough: text or number."""
    with pytest.raises(InputErrors, match=r'IVAN_IVAN: must be a number .*got ">80 kPa"'):
        results_of_ags(SITE.replace('"1","14"', '"1",">80"'), "site.ags")


def test_every_heading_that_is_read_stands_in_the_dictionary_with_a_unit_that_is_known() -> None:
    for group, _, depth, columns in AGS_GROUPS:
        assert HEADINGS[group][depth] == "m"
        for heading in columns:
            unit = HEADINGS[group][heading]
            assert units.factor(AGS_UNITS.get(unit, unit), "kPa") > 0
    for group, depths, result, _ in TESTS:
        assert {*depths, result} <= HEADINGS[group].keys()
