"""The AGS 4 reader held to the published format: a whole file of edition 4.1.1, its dictionary, a checker of its rules.

`site.ags` is invented. The checker is that of python-ags4, with the dictionaries that it brings.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
import python_ags4
from python_ags4 import AGS4

from calc.inputs import InputErrors
from calc.inputs.ground_file.ags import TESTS, grounds_of_ags, read_groups
from calc.inputs.ground_file.ags_kinds import (
    CHEMISTRY,
    CONSOLIDATION,
    INDICES,
    KINDS,
    OEDOMETER,
    OF_INCREMENT,
    ORGANIC,
    UNDISTURBED,
)
from calc.inputs.ground_file.ags_results import factor_of, has_numbers, results_of_ags
from calc.inputs.ground_file.results_file import read_results
from tests.references.reader import table

# Lines end as rule 2a of the format has it.
SITE = Path(__file__).with_name("site.ags").read_text(encoding="utf-8").replace("\n", "\r\n")
EXAMPLE = Path(__file__).parents[2] / "projects" / "fen-track"
DICTIONARY = table("ags_dictionary")
EDITIONS = ("4_0_3", "4_0_4", "4_1", "4_1_1", "4_2")
HEADINGS: dict[str, dict[str, str]] = {
    **DICTIONARY["headings"], **DICTIONARY["from_4_1"], **DICTIONARY["from_4_2"],
}  # fmt: skip
OF_TESTS = (
    *KINDS,
    INDICES,
    CHEMISTRY,
    CONSOLIDATION,
)
NUMBERS = {
    **{heading: name for kind in OF_TESTS for heading, name in kind.columns.items()},
    **OF_INCREMENT,
    "CONG_IVR": "e_0",
    "SCPG_CAR": "a",
}


ABSENT = {"GEOL_LEG", "IVAN_TYPE", "TRIG_COND", "ESCG_COND", "CONS_CVRT", "CONS_CVLG"}
approx = pytest.approx


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
    broken = broken_rules(change(SITE), tmp_path)

    assert broken >= rules
    assert bool(broken) == bool(rules)


def test_checker_finds_no_rule_broken_in_the_file_of_the_example() -> None:
    """As it lies there, with its ends of lines; every row of it that is read is a reading."""
    file = EXAMPLE / "ground-data.ags"
    found = AGS4.check_file(str(file))

    assert found.keys() == {"Summary of data", "Metadata"}
    assert found["Metadata"][3]["desc"] == "Standard_dictionary_v4_1_1.ags"
    assert read_results(EXAMPLE, file.name).passed == ()


def test_strata_and_results_are_those_of_the_file() -> None:
    (bore,) = grounds_of_ags(SITE, "site.ags")
    strata = [(stratum.values["name"].typed, stratum.values["thickness"].typed) for stratum in bore.strata]
    results = [(one.test, one.location, one.depth, one.values) for one in results_of_ags(SITE, "site.ags")[0]]

    assert bore.values["ground_level"].typed == "0.42 m"
    assert strata == [("Peat", "2.10 m"), ("Soft clay", "4.25 m")]
    notes = "\n".join(bore.strata[1].notes)
    for line in ("LLPL_PI (for the correction of a vane): 44 at 3.00", "ESCG_PCP (for sigma_p): 61 kPa at 5.30",
                 "PTST_K (for k): 2.2E-9 m/s at 3.30", "IPRG_IPRM (for k): 3.1E-9 m/s at 4.00"):  # fmt: skip
        assert line in notes
    assert results[:4] == [
        ("vane", "B1", 1.0, {"c_fv": 14.0}),
        ("vane", "B1", 3.0, {"c_fv": 11.0}),
        ("cone", "C1", 3.0, {"q_c": 320.0, "u_2": 52.0, "a": 0.81}),
        ("strength", "B1", 3.1, {"c_u": 12.0}),
    ]
    assert results[4:12] == [
        ("preconsolidation", "B1", 5.3, {"sigma_p": 61.0}),
        ("permeability", "B1", 3.3, {"k": approx(2.2e-9 * 86400)}),
        ("permeability", "B1", 4.25, {"k": approx(3.1e-9 * 86400)}),
        ("permeability", "B1", 4.25, {"k": approx(3.1e-9 * 86400)}),
        ("index", "B1", 3.0, {"I_P": 0.44, "w_L": 0.74}),
        ("index", "B1", 4.1, {"w_L": 0.70}),
        ("organic", "B1", 3.0, {"organic": 0.042}),
        ("organic", "B1", 3.0, {"organic": 0.091}),
    ]
    assert results[13] == ("oedometer", "B1", 3.2, {"stress": 50.0, "e_0": 1.7, "e_1": 1.66, "e_2": 1.58})
    assert results[20] == ("oedometer", "B1", 4.2, {"stress": 50.0, "m_v": 0.0011})


def test_headings_and_units_of_the_file_are_those_of_the_dictionary() -> None:
    groups = read_groups(SITE, "site.ags")

    for name in groups.keys() & HEADINGS.keys():
        known = {heading: HEADINGS[name][heading] for heading in groups[name].headings if heading in HEADINGS[name]}
        assert {heading: groups[name].units[heading] for heading in known} == known
        assert HEADINGS[name].keys() - known.keys() <= ABSENT


def test_units_are_those_of_the_row_unit() -> None:
    """Cone resistance in kPa, as the form allows where a file says so in UNIT: a thousandth of the number in MPa."""
    columns = '"UNIT","","","m","MPa","MPa"'
    changed = SITE.replace(columns, columns.replace("MPa", "kPa"))
    (cone,) = [one for one in results_of_ags(changed, "site.ags")[0] if one.test == "cone"]

    assert cone.values == {"q_c": 0.32, "u_2": 0.052, "a": 0.81}


def test_a_reading_that_is_only_bounded_is_no_number() -> None:
    """The dictionary's own example of a vane that was not strong enough: text or number."""
    with pytest.raises(InputErrors, match=r'IVAN_IVAN: must be a number .*got ">80"'):
        results_of_ags(SITE.replace('"1","14"', '"1",">80"'), "site.ags")


def dictionary(edition: str) -> tuple[dict[str, dict[str, tuple[str, str]]], dict[str, dict[str, str]]]:
    """Units and types of an edition by group and heading, and its codes by heading, from the copy of python-ags4."""
    file = Path(python_ags4.__file__).with_name(f"Standard_dictionary_v{edition}.ags")
    groups = read_groups(file.read_text(encoding="utf-8", errors="replace"), file.name)
    headings: dict[str, dict[str, tuple[str, str]]] = {}
    codes: dict[str, dict[str, str]] = {}
    for _, row in groups["DICT"].rows:
        if row["DICT_TYPE"] == "HEADING":
            headings.setdefault(row["DICT_GRP"], {})[row["DICT_HDNG"]] = (row["DICT_UNIT"], row["DICT_DTYP"])
    for _, row in groups["ABBR"].rows:
        codes.setdefault(row["ABBR_HDNG"], {})[row["ABBR_CODE"]] = row["ABBR_DESC"]
    return headings, codes


@pytest.mark.parametrize("edition", EDITIONS)
def test_headings_units_types_and_codes_match_the_standard_dictionary(edition: str) -> None:
    """Every heading that is read, in each edition; ESCG_PCP is new in 4.1, FGHG takes the place of IPRG in 4.2."""
    headings, codes = dictionary(edition)
    expected = dict(DICTIONARY["headings"])
    if edition >= "4_1":
        expected |= DICTIONARY["from_4_1"]
    if edition == "4_2":
        expected |= DICTIONARY["from_4_2"]
        expected = {name: group for name, group in expected.items() if name not in DICTIONARY["until_4_1_1"]["groups"]}

    assert {name: {heading: headings[name][heading][0] for heading in group} for name, group in expected.items()} == (
        expected
    )
    assert {name: {code: codes[name][code] for code in known} for name, known in DICTIONARY["codes"].items()} == (
        DICTIONARY["codes"]
    )
    for group in expected:
        for heading in expected[group].keys() & NUMBERS.keys():
            assert has_numbers(headings[group][heading][1])


def test_every_heading_that_is_read_stands_in_the_dictionary_with_a_unit_that_is_known() -> None:
    for kind in OF_TESTS:
        group = HEADINGS[kind.group]
        assert {"LOCA_ID", *kind.depth, *kind.columns, *kind.keys} <= group.keys()
        assert {group[heading] for heading in kind.depth} == {"m"}
        assert kind.general is None or kind.general[1].keys() <= HEADINGS[kind.general[0]].keys()
        assert kind.state is None or kind.state[1] in HEADINGS[kind.state[0]]
        for heading, name in kind.columns.items():
            assert heading == "GCHM_RESL" or factor_of(group[heading], name)
    for heading, name in OF_INCREMENT.items():
        assert factor_of(HEADINGS["CONS"][heading], name)
    for name, depths, result, _ in TESTS:
        assert {*depths, result} <= HEADINGS[name].keys()
    assert all(kind.other[1] in DICTIONARY["codes"][kind.other[0]] for kind in OF_TESTS if kind.other[0])
    assert {OEDOMETER} == DICTIONARY["codes"]["CONG_TYPE"].keys()
    assert ORGANIC.keys() == DICTIONARY["codes"]["GCHM_CODE"].keys()
    states = [DICTIONARY["codes"][kind.state[1]].keys() for kind in OF_TESTS if kind.state]
    assert all(codes & UNDISTURBED == {"UNDISTURBED"} and codes - UNDISTURBED for codes in states)
