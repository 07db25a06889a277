"""Groups of AGS 4 files as readings: what is taken, what is passed over and said, what is refused at its line."""

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from calc.inputs import InputErrors
from calc.inputs.ground_file.ags_results import results_of_ags
from calc.inputs.ground_file.result_rows import Result
from calc.inputs.ground_file.results_file import read_results
from tests.inputs.written_ags import SPECIMEN, consolidation, group
from tests.site.mutated_files import mutated

SITE = Path(__file__).with_name("site.ags")
VANES = group("IVAN", "LOCA_ID,IVAN_DPTH,IVAN_IVAN", ",m,kPa", "B1,1.0,14")
LIMITS = f"{SPECIMEN},LLPL_LL,LLPL_PL,LLPL_PI"
DIFFERENCE = "must be the difference of LLPL_LL and LLPL_PL within their last digits"
CHEMISTRY = f"{SPECIMEN},GCHM_CODE,GCHM_METH,GCHM_TTYP,GCHM_RESL,GCHM_UNIT"


def read(*groups: str) -> list[Result]:
    return results_of_ags("\n".join(groups), "f.ags")[0]


def told(*groups: str) -> list[str]:
    return [str(one) for one in results_of_ags("\n".join(groups), "f.ags")[1]]


def refused(*groups: str) -> list[str]:
    with pytest.raises(InputErrors) as caught:
        read(*groups)
    return str(caught.value).splitlines()


def test_the_area_ratio_of_a_cone_is_that_of_its_push() -> None:
    pushes = group("SCPG", "LOCA_ID,SCPG_TESN,SCPG_CAR", ",,", "C1,1,0.81", "C1,2,", "C2,1,0.75")
    rows = ("C1,1,3,0.3,0.05", "C1,2,3,0.3,0.05", "C2,1,3,0.3,0.05", "C3,1,3,0.3,0.05")
    cones = group("SCPT", "LOCA_ID,SCPG_TESN,SCPT_DPTH,SCPT_RES,SCPT_PWP2", ",,m,MPa,MPa", *rows)
    found = read(pushes, cones)

    assert [one.values.get("a") for one in found] == [0.81, None, 0.75, None]
    assert refused(pushes.replace("0.75", "wide"), cones) == [
        'f.ags:6:1: SCPG_CAR: must be a number that can be, got "wide"'
    ]


def test_what_is_no_reading_is_said_with_its_rows() -> None:
    assert told(SITE.read_text(encoding="utf-8")) == [
        "ESCG_PCP: blank, not used (row 165)",
        "PTST_COND: specimen not undisturbed, not used (row 172)",
        "LLPL_PI: blank, not used (row 133)",
        "CONG_TYPE: no test of the type OEDOMETER in CONG, not used (row 158)",
    ]


@pytest.mark.parametrize(
    ("unit", "number", "k"),
    [("m/s", "2.0E-9", 2e-9), ("cm/s", "2.0E-7", 2e-9), ("m/s", "2E-09", 2e-9), ("mm/s", "0.000002", 2e-9)],
)
def test_permeability_comes_in_the_unit_of_its_line(unit: str, number: str, k: float) -> None:
    (one,) = read(group("PTST", f"{SPECIMEN},PTST_K", f",m,,m,{unit}", f"B1,3.00,1,3.10,{number}"))

    assert one.values["k"] == pytest.approx(k * 86400)
    assert one.depth == 3.1


def test_a_depth_comes_in_the_unit_of_its_line_and_falls_back_on_the_sample() -> None:
    one, other = read(group("TRIT", f"{SPECIMEN},TRIT_CU", ",cm,,m,kN/m2", "B1,300,1,3.10,12", "B1,400,1,,14"))

    assert (one.depth, other.depth, other.id) == (3.1, 4.0, "B1 400 strength")


def test_a_torvane_is_no_field_vane() -> None:
    """No correction of a field vane holds for it."""
    rows = ("B1,1,BOREHOLE,14", "B1,2,TORVANE,30", "B1,3,,15")
    text = group("IVAN", "LOCA_ID,IVAN_DPTH,IVAN_TYPE,IVAN_IVAN", ",m,,kPa", *rows)

    assert [one.values["c_fv"] for one in read(text)] == [14.0, 15.0]
    assert told(text) == ["IVAN_TYPE: TORVANE is no test of this kind, not used (row 5)"]


def test_of_many_rows_without_a_number_the_first_are_named() -> None:
    rows = [f"B1,{z},{'' if z % 2 else 14}" for z in range(1, 41)]

    assert told(group("IVAN", "LOCA_ID,IVAN_DPTH,IVAN_IVAN", ",m,kPa", *rows)) == [
        "IVAN_IVAN: blank, not used (20 rows: 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, …)"
    ]


def test_the_test_zone_of_a_field_permeability_counts_by_its_middle() -> None:
    head = "LOCA_ID,FGHG_TOP,FGHG_BASE,FGHG_TESN,FGHG_IPRM"
    (one,) = read(group("FGHG", head, ",m,m,,m/s", "B1,12.20,12.95,1,5.1E-9"))

    assert one.id == "B1 12.20-12.95 permeability"
    assert one.depth == pytest.approx(12.575)


def test_rows_without_depth_or_number_are_said_and_the_others_kept() -> None:
    text = group("IPRG", "LOCA_ID,IPRG_TOP,IPRG_BASE,IPRG_IPRM", ",m,m,m/s", "B1,1,,1E-9", "B1,1,2,", "B1,2,3,1E-9")

    assert told(text) == ["IPRG_TOP: no depth, not used (row 4)", "IPRG_IPRM: blank, not used (row 5)"]
    assert [one.row for one in read(text)] == [6]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (VANES.replace("IVAN_IVAN", "IVAN_IVAR"), "IVAN_IVAN: no such heading in the group IVAN"),
        (group("SCPT", "LOCA_ID,SCPT_DPTH,SCPT_RES", ",m,MPa", "C1,1,0.3"), "SCPT_PWP2: no such heading"),
        (group("PTST", "LOCA_ID,PTST_K", ",m/s", "B1,1E-9"), "SPEC_DPTH: no such heading"),
        (group("IPRG", "LOCA_ID,IPRG_TOP,IPRG_IPRM", ",m,m/s", "B1,1,1E-9"), "IPRG_BASE: no such heading"),
        (group("LLPL", "LOCA_ID,LLPL_PI", ",", "B1,44"), "SPEC_DPTH: no such heading"),
        (group("GCHM", CHEMISTRY.replace("_UNIT", "_NAME"), ",m,,m,,,,,", "B1,3,1,3,OGM,,,4,%"), "GCHM_UNIT: no such"),
        (consolidation("25/2/1.9/").replace("CONS_INCF", "CONS_INCG"), "CONS_INCF: no such heading"),
    ],
)
def test_a_group_without_its_heading_is_said_and_a_file_of_nothing_else_refused(text: str, why: str) -> None:
    (line,) = told(text, group("TRIT", f"{SPECIMEN},TRIT_CU", ",m,,m,kPa", "B1,3,1,3,12"))
    (error,) = refused(text)

    assert line.startswith(why)
    assert error.startswith("f.ags:1:1: file: must hold results in one of the groups IVAN")
    assert line in error


@pytest.mark.parametrize(
    ("text", "error"),
    [
        (VANES.replace('"kPa"', '"m"'),
         'f.ags:3:1: IVAN_IVAN: must have a unit that converts to kPa in the line UNIT, got "m"'),
        (group("IVAN", "LOCA_ID,IVAN_DPTH,IVAN_IVAN", ",m,kPa", "B1,1,14", types="ID,2DP,DT"),
         'f.ags:4:1: IVAN_IVAN: must have a type of numbers in the line TYPE, got "DT"'),
        (group("IVAN", "LOCA_ID,IVAN_DPTH,IVAN_IVAN", ",m,kPa", "B1,one,14"),
         'f.ags:4:1: IVAN_DPTH: must be a number that can be, got "one"'),
        (group("PTST", f"{SPECIMEN},PTST_K", ",m,,m,m/s", "B1,3,1,3,-1E-9"),
         'f.ags:4:1: PTST_K: must be a number that can be, got "-1E-9"'),
        (group("LLPL", LIMITS, ",m,,m,%,%,kPa", "B1,3,1,3,74,30,44"),
         'f.ags:3:1: LLPL_PI: must have the unit "%" or none in the line UNIT, got "kPa"'),
        (group("LLPL", LIMITS, ",m,,m,,%,", "B1,3,1,3,74,30,44"),
         'f.ags:3:1: LLPL_LL: must have the unit "%" in the line UNIT, got ""'),
        (group("LLPL", LIMITS, ",m,,m,%,%,", "B1,3,1,3,74,30,30"),
         f"f.ags:4:1: LLPL_PI: {DIFFERENCE}, got 30 of 74 and 30"),
        (group("GCHM", CHEMISTRY, ",m,,m,,,,,", "B1,3,1,3,OGM,,,4.2,mg/kg"),
         'f.ags:4:1: GCHM_UNIT: must be % for GCHM_CODE OGM, got "mg/kg"'),
        (consolidation("25/2.00/1.90/ 50/1.80/1.70/"),
         'f.ags:9:1: CONS_IVR: must be CONS_INCE of the row before within their last digits, 1.90, got "1.80"'),
        (consolidation("25/2.00/1.90/ 50/1.90/none/"),
         'f.ags:9:1: CONS_INCE: must be a number that can be, got "none"'),
        (consolidation("25/2/1.9/").replace('"m","kPa","",""', '"m","kPa","","%"'),
         'f.ags:7:1: CONS_INCE: must have no unit in the line UNIT, got "%"'),
        (consolidation("25/2.00/1.90/").replace("2.000", "two"),
         'f.ags:4:1: CONG_IVR: must be a number that can be, got "two"'),
        (group("LLPL", LIMITS, ",m,,m,%,%,", ",3,1,3,74,30,44"),
         'f.ags:4:1: LOCA_ID: must be a printable text of 1 to 60 signs, got ""'),
    ],
)  # fmt: skip
def test_what_is_wrong_is_refused_once_at_its_line(text: str, error: str) -> None:
    assert refused(text) == [error]


def test_without_a_line_of_units_no_number_is_read() -> None:
    must = 'in the line UNIT, got ""'
    assert refused(VANES.replace('"UNIT","","m","kPa"\n', "")) == [
        f"f.ags:1:1: IVAN_DPTH: must have a unit that converts to m {must}",
        f"f.ags:1:1: IVAN_IVAN: must have a unit that converts to kPa {must}",
    ]


def test_a_limit_that_is_no_number_is_not_compared() -> None:
    (one,) = read(group("LLPL", LIMITS, ",m,,m,%,%,%", "B1,3,1,3,74,NP,44"))

    assert one.values == {"I_P": 0.44, "w_L": 0.74}


@pytest.mark.parametrize(("index", "stands"), [("43", True), ("45", True), ("42", False), ("46", False)])
def test_a_plasticity_index_is_the_difference_of_its_limits_as_far_as_they_are_written(
    index: str, *, stands: bool
) -> None:
    """74 and 30 stand for 73.5 to 74.5 and 29.5 to 30.5: 43 to 45, and half a unit of the index itself."""
    text = group("LLPL", LIMITS, ",m,,m,%,%,", f"B1,3,1,3,74,30,{index}")

    if stands:
        assert read(text)[0].values["I_P"] == pytest.approx(float(index) / 100)
    else:
        assert len(refused(text)) == 1


def test_codes_of_other_determinands_are_no_organic_content() -> None:
    text = group("GCHM", CHEMISTRY, ",m,,m,,,,,", "B1,3,1,3,OGM,,,4.2,%", "B1,3,1,3,TOC,,,2,%", "B1,3,1,3,LOI,,,,%")

    assert [(one.id, one.values) for one in read(text)] == [("B1 3 organic", {"organic": 0.042})]
    assert told(text) == ["GCHM_RESL: blank, not used (row 6)"]


def test_two_specimens_at_one_depth_are_two_readings_and_a_row_given_again_is_refused() -> None:
    """Alike in number, they are told apart by the keys of the form alone."""
    head = (f"{SPECIMEN},TRIT_TESN,TRIT_CU", ",m,,m,,kPa")
    one, two = read(group("TRIT", *head, "B1,3,1,3,1,12", "B1,3,1,3,2,12"))

    assert (one.id, two.id) == ("B1 3 strength", "B1 3 strength 2")
    assert refused(group("TRIT", *head, "B1,3,1,3,1,12", "B1,3,1,3,1,12")) == [
        'f.ags:5:1: file: must give each reading once (first in row 4), got "B1 3 strength"'
    ]


def test_a_remoulded_triaxial_specimen_is_said_and_not_used() -> None:
    states = ("B1,3,1,3,Remoulded ", "B1,4,1,4,Undisturbed", "B1,5,1,5,COMPACTED", "B1,6,1,6,")
    general = group("TRIG", f"{SPECIMEN},TRIG_COND", ",m,,m,", *states)
    text = group("TRIT", f"{SPECIMEN},TRIT_CU", ",m,,m,kPa", "B1,3,1,3,12", "B1,4,1,4,14", "B1,5,1,5,40", "B1,6,1,6,15")

    assert [one.depth for one in read(general, text)] == [4.0, 6.0]
    assert told(general, text) == ["TRIG_COND: specimen not undisturbed, not used (2 rows: 12, 14)"]


def test_a_test_with_two_rows_of_general_numbers_is_refused() -> None:
    """A later void ratio before loading, or net area ratio, must not take the place of another one unsaid."""
    test = consolidation("25/2.0/1.9/ 50/1.9/1.8/")
    twice = test.replace('2.000"\n', '2.000"\n"DATA","B1","3.00","1","3.10","OEDOMETER","UNDISTURBED","2.300"\n')
    pushes = group("SCPG", "LOCA_ID,SCPG_TESN,SCPG_CAR", ",,", "C1,1,0.81", "C1,1,0.6")
    cones = group("SCPT", "LOCA_ID,SCPG_TESN,SCPT_DPTH,SCPT_RES,SCPT_PWP2", ",,m,MPa,MPa", "C1,1,2,0.4,0.1")

    assert refused(twice) == ['f.ags:5:1: CONG: must have one row for each test (first in row 4), got "B1 3.00 1 3.10"']
    assert refused(pushes, cones) == ['f.ags:5:1: SCPG: must have one row for each test (first in row 4), got "C1 1"']


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (consolidation("25/2/1.9/", head="SWELL,UNDISTURBED,2.000"), "CONG_TYPE: no test of the type OEDOMETER"),
        (consolidation("25/2/1.9/", head=",,2.000"), "CONG_TYPE: no test of the type OEDOMETER"),
        (consolidation("25/2/1.9/", head="OEDOMETER,REMOULDED,2.000"), "CONG_COND: specimen not undisturbed"),
        (consolidation("25/2/1.9/").split('"GROUP","CONS"')[1], "CONG_TYPE: no test of the type OEDOMETER"),
        (consolidation("25/2.0/1.9/ /1.9/1.8/"), "CONS_INCF: blank in the test, which is not used (2 rows: 13–14)"),
        (consolidation("25/2.0/1.9/ 50/1.9//"), "CONS_INCE: neither void ratios (with CONG_IVR) nor CONS_INMV"),
        (consolidation("25/2.0/1.9/ 50/1.9/1.8/", head="OEDOMETER,,"), "CONS_INCE: neither void ratios"),
    ],
)  # fmt: skip
def test_a_consolidation_test_that_is_no_oedometer_test_is_said_and_not_used(text: str, why: str) -> None:
    if text.startswith("\n"):
        text = '"GROUP","CONS"' + text

    assert why in " ".join(told(VANES, text))
    assert {one.test for one in read(VANES, text)} == {"vane"}


def test_an_oedometer_test_without_void_ratios_has_its_reported_compressibility() -> None:
    """0.8 m²/MN is 0.0008 m²/kN; unloading has none, whatever stands there."""
    loads = "25///0.9 50///0.8 25///none 100///0.5"
    found = read(consolidation(loads, head="OEDOMETER,,"))

    assert [one.values for one in found] == [
        {"stress": 25.0, "m_v": pytest.approx(0.0009)}, {"stress": 50.0, "m_v": pytest.approx(0.0008)},
        {"stress": 25.0}, {"stress": 100.0, "m_v": pytest.approx(0.0005)},
    ]  # fmt: skip


def test_tests_of_two_specimens_at_one_depth_have_ids_of_their_own() -> None:
    text = consolidation("25/2.0/1.9/")
    rows = [line.replace('"B1","3.00","1"', '"B1","3.00","2"') for line in text.splitlines() if line[:6] == '"DATA"']
    head, loads = text.split('"GROUP","CONS"')
    found = read(head + rows[0] + '\n"GROUP","CONS"' + loads + rows[1])

    assert [one.id for one in found] == ["B1 3.10 oedometer", "B1 3.10 oedometer 2"]


def mutated_cells(text: str, draw: random.Random) -> str:
    """One to four cells of any line put in the place of others, or junk."""
    lines = text.splitlines()
    for _ in range(draw.randint(1, 4)):
        at = draw.choice([k for k, line in enumerate(lines) if line])
        cells = lines[at].split(",")
        other = draw.choice([line for line in lines if line]).split(",")
        junk = [f'"{word}"' for word in ("", "x", "-1", "0", "1e9", "NP", "%", "9" * 30, "B1")]
        cells[draw.randrange(len(cells))] = draw.choice([*junk, *other])
        lines[at] = ",".join(cells)
    return "\n".join(lines)


def mutated_bytes(text: str, draw: random.Random) -> bytes:
    return mutated(text.encode(), draw, 2)


@pytest.mark.parametrize(
    ("change", "least"),
    [(lambda text, draw: mutated_cells(text, draw).encode(), 150), (mutated_bytes, 30)],
    ids=["cells", "bytes"],
)
def test_mutated_files_never_end_in_a_traceback(
    change: Callable[[str, random.Random], bytes], least: int, tmp_path: Path
) -> None:
    """400 files with cells or bytes changed: readings, or one clear refusal with its line."""
    good, draw = SITE.read_text(encoding="utf-8"), random.Random(11)  # noqa: S311 - no secret
    kept = 0
    for _ in range(400):
        (tmp_path / "site.ags").write_bytes(change(good, draw))
        try:
            file = read_results(tmp_path, "site.ags")
        except InputErrors as errors:
            assert all(error.line >= 1 and error.must for error in errors.errors)  # noqa: PT017 - either is right
        else:
            kept += 1
            assert all(one.values for one in file.results)
            assert all(map(str, file.passed))

    assert least < kept < 400
