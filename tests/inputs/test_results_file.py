"""The file of results beside the project: CSV, XLSX and AGS 4, its errors by cell, and the rules of its table."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from calc.inputs import InputErrors, read_design
from calc.inputs.ground_file.ags_kinds import GROUPS
from calc.inputs.ground_file.result_rows import NEEDED, Result, ResultsFile
from calc.inputs.ground_file.results_file import read_results
from calc.inputs.ground_file.selection import layer_of
from tests.chapters.readings_case import HEAD, UNITS, read_case, strengths, table

GOOD = """\
id,location,test,layer,depth,c_fv,I_P
,,,,m,MPa,%
V1,B1,vane,,3.0,0.02,45
V2,B1,vane,clay,3.50,0.0215,
"""
AGS = """\
"GROUP","IVAN"
"HEADING","LOCA_ID","IVAN_DPTH","IVAN_IVAN"
"UNIT","","m","kPa"
"TYPE","ID","2DP","0DP"
"DATA","B1","3.00","20"
"DATA","B1","4.00","21"

"GROUP","SCPT"
"HEADING","LOCA_ID","SCPT_DPTH","SCPT_RES","SCPT_PWP2"
"UNIT","","m","MN/m2","kN/m2"
"TYPE","ID","2DP","3DP","0DP"
"DATA","C1","3.00","0.320","-4"
"""
TESTS = ", ".join(f'"{one}"' for one in NEEDED)
Read = Callable[[str, str], ResultsFile]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def made(content: str, name: str = "data.csv") -> ResultsFile:
        (tmp_path / name).write_text(content, encoding="utf-8")
        return read_results(tmp_path, name)

    return made


@pytest.fixture
def refused(read: Read, tmp_path: Path) -> Callable[..., list[str]]:
    def lines(content: str, name: str = "data.csv") -> list[str]:
        with pytest.raises(InputErrors) as caught:
            read(content, name)
        return str(caught.value).replace(f"{tmp_path}/", "").splitlines()

    return lines


def test_numbers_are_taken_into_the_units_inside(read: Read) -> None:
    first, second = read(GOOD, "data.csv").results

    assert (first.id, first.location, first.depth, first.test, first.layer, first.row) == (
        "V1",
        "B1",
        3.0,
        "vane",
        "",
        3,
    )
    assert first.values == {"c_fv": 20.0, "I_P": 0.45}
    assert (second.layer, second.values) == ("clay", {"c_fv": 21.5})


def test_a_workbook_reads_like_its_csv(read: Read, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for line in GOOD.splitlines():
        cells = line.split(",")
        book.active.append([float(cell) if cell.replace(".", "").isdigit() else cell or None for cell in cells])
    book.save(tmp_path / "book.xlsx")

    assert read_results(tmp_path, "book.xlsx").results == read(GOOD, "data.csv").results


def test_ags_gives_vanes_and_cones_with_the_units_of_its_lines(read: Read) -> None:
    vane, _, cone = read(AGS, "data.ags").results

    assert (vane.id, vane.location, vane.depth, vane.values) == ("B1 3.00 vane", "B1", 3.0, {"c_fv": 20.0})
    assert (cone.test, cone.values) == ("cone", {"q_c": 320.0, "u_2": -4.0})


def test_readings_at_one_depth_are_all_kept(read: Read) -> None:
    """Two vanes at one depth of a borehole are two readings; they once stood under one id, and the second was lost."""
    twice = AGS.replace('"DATA","B1","4.00","21"', '"DATA","B1","3.00","21"\n"DATA","B1","3.00","22"')
    found = [(result.id, result.values.get("c_fv")) for result in read(twice, "data.ags").results[:3]]

    assert found == [("B1 3.00 vane", 20.0), ("B1 3.00 vane 2", 21.0), ("B1 3.00 vane 3", 22.0)]


def test_a_row_of_ags_that_repeats_another_or_names_no_place_is_refused(refused: Callable[..., list[str]]) -> None:
    twice = AGS.replace('"DATA","B1","4.00","21"', '"DATA","B1","3.00","20"\n"DATA","","5.00","22"')

    assert refused(twice, "data.ags") == [
        'data.ags:6:1: file: must give each reading once (first in row 5), got "B1 3.00 vane"',
        'data.ags:7:1: LOCA_ID: must be a printable text of 1 to 60 signs, got ""',
    ]


def test_a_depth_at_a_boundary_belongs_to_the_layer_below_it(tmp_path: Path) -> None:
    """0.1 m and 0.2 m add up to more than 0.3 in floating point."""
    layers = read_case(tmp_path, strengths(), {}).sections[0].layers
    thin = [
        layers[0].model_copy(update={"thickness": one, "key": key}) for one, key in ((0.1, "a"), (0.2, "b"), (1, "c"))
    ]
    result = Result("R", "B1", 0.3, "strength", "", 3, {})

    assert layer_of(result, thin) == "c"


def test_everything_that_is_wrong_in_a_table_is_told_at_once(refused: Callable[..., list[str]]) -> None:
    content = GOOD.replace("0.02,45", '"0,02",-4') + "V2,B1,vane,,4,0.02,\n,B1,wave,,x,0.02,\n"

    assert refused(content) == [
        'data.csv:3:6: c_fv: must be a plain number with a point, got "0,02"',
        'data.csv:3:7: I_P: must be above zero and of a size that can be, got "-4"',
        'data.csv:5:1: id: must name one reading, or the loads of one oedometer test (first in row 4), got "V2"',
        'data.csv:6:1: id: must be a printable text of 1 to 60 signs, got ""',
        f'data.csv:6:3: test: must be one of {TESTS}, got "wave"',
        'data.csv:6:5: depth: must be a plain number with a point, got "x"',
    ]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "data.csv:1:1: header: must have a column id, got none"),
        (GOOD.replace("c_fv", "c_vane"), "data.csv:1:6: header: must be one of id, location, test, layer, depth, c_fv"),
        (GOOD.replace("I_P", "c_fv"), 'data.csv:1:7: header: must name each column once, got "c_fv"'),
        (GOOD.replace("B1,vane,clay", "B1,vane,cl漢"),
         'data.csv:4:4: layer: must be a printable text of 1 to 60 signs, got "cl漢"'),
        (GOOD.replace("MPa", "m"), 'data.csv:2:6: c_fv: must hold the units: here one that converts to kPa, got "m"'),
        (GOOD.replace("MPa", "%"), 'data.csv:2:6: c_fv: must hold the units: here one that converts to kPa, got "%"'),
        (GOOD.replace("MPa", "1 kPa"), "data.csv:2:6: c_fv: must hold the units: here one that converts to kPa"),
        (GOOD.replace("MPa,%", "MPa,kPa"), 'data.csv:2:7: I_P: must hold the units: here "%" or "-", got "kPa"'),
        (GOOD.replace(",,,,m", "x,,,,m"), 'data.csv:2:1: id: must hold the units: here none, got "x"'),
        (GOOD.replace("V2,B1", "V1,B1"), "data.csv:4:1: id: must name one reading, or the loads of one oedometer test"),
        (GOOD.replace("0.0215", ""), "data.csv:4:6: c_fv: must be given for a row vane, got nothing"),
        ("\n".join(GOOD.splitlines()[:2]), "data.csv:3:1: file: must hold names of columns"),
    ],
)  # fmt: skip
def test_a_wrong_table_is_refused_at_its_cell(refused: Callable[..., list[str]], content: str, message: str) -> None:
    assert refused(content)[0].startswith(message)


def test_a_wrong_ags_file_is_refused_at_its_line(refused: Callable[..., list[str]]) -> None:
    broken = refused(AGS.replace('"kPa"', '"m"').replace('"0.320"', '"much"'), "data.ags")
    assert broken == [
        'data.ags:3:1: IVAN_IVAN: must have a unit that converts to kPa in the line UNIT, got "m"',
        'data.ags:12:1: SCPT_RES: must be a number that can be, got "much"',
    ]
    assert refused('"GROUP","LOCA"\n"HEADING","LOCA_ID"\n', "data.ags") == [
        f"data.ags:1:1: file: must hold results in one of the groups {', '.join(GROUPS)}, got none"
    ]


def test_what_is_no_such_file_is_refused(tmp_path: Path, refused: Callable[..., list[str]]) -> None:
    (tmp_path / "data.csv").write_bytes(b"id\xff")
    with pytest.raises(InputErrors, match="saved as UTF-8"):
        read_results(tmp_path, "data.csv")
    assert refused("no workbook", "data.xlsx")[0].startswith("data.xlsx:1:1: file: must be a workbook")


@pytest.mark.parametrize(
    "name",
    ["../data.csv", "/etc/data.csv", "sub/data.csv", "data.txt", ".data.csv", "a\\b.csv", "data.csv\n", "gone.csv"],
)
def test_a_path_out_of_the_project_folder_is_refused(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "bank"
    folder.mkdir()
    (tmp_path / "data.csv").write_text(GOOD, encoding="utf-8")

    def named(document: Any) -> None:
        document["section"][0]["ground_model"]["file"] = name

    with pytest.raises(InputErrors, match=r"section\[1\]\.ground_model\.file: must (be the name of|name) a file"):
        read_case(folder, strengths(), {}, change=named)


def test_a_link_out_of_the_project_folder_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "bank"
    folder.mkdir()
    (tmp_path / "data.csv").write_text(GOOD, encoding="utf-8")
    (folder / "link.csv").symlink_to(tmp_path / "data.csv")

    with pytest.raises(ValueError, match=r"lies beside project\.toml"):
        read_results(folder, "link.csv")


def test_sections_name_one_file(tmp_path: Path) -> None:
    def second(document: Any) -> None:
        other = document["section"][0].unwrap()
        other["key"], other["ground_model"]["file"] = "Z", "other.csv"
        document["section"].append(other)

    with pytest.raises(InputErrors, match=r'must be "data.csv" as in the other sections'):
        read_case(tmp_path, strengths(), {}, change=second)


def test_errors_of_the_file_come_with_those_of_the_project(tmp_path: Path) -> None:
    def wrong(document: Any) -> None:
        document["section"][0]["ground_level"] = "0.4"

    (tmp_path / "data.csv").write_text(table([]), encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_case(tmp_path, [{"test": "strength", "depth": 3}], {}, change=wrong)

    assert {error.path for error in caught.value.errors} == {"section[1].ground_level", "c_u"}
    assert HEAD.count(",") == UNITS.count(",")


CASES: list[tuple[dict[str, Any], str, str]] = [
    ({"layer": "loam"}, "layer", "be the key of a layer of the section: peat, clay"),
    ({"parameter": "sigma_p", "test": "preconsolidation"}, "parameter", "be given in the layer clay"),
    ({"test": "oedometer"}, "test", 'be one of "vane", "cone", "strength" for c_u'),
    ({"test": "vane"}, "correction", "be given for this test and method"),
    ({"correction": "own"}, "correction", "be left out: this test and method do not use it"),
    ({"I_P": {"value": 0.4, "source": "s"}}, "I_P", "be left out: this test and method do not use it"),
    ({"area_ratio": {"value": 0.8, "source": "s"}}, "area_ratio", "be left out"),
    ({"test": "vane", "correction": "own"}, "mu", "be given for this test"),
    ({"test": "cone"}, "N_kt", "be given for this test"),
    ({"theta": {"value": "1 m", "source": "s"}}, "averaging", "be given for this test"),
    ({"averaging": "3 m"}, "averaging", "be left out"),
    ({"theta": {"value": "1 m", "source": "s"}, "averaging": "4.1 m"}, "averaging", "thickness of the layer clay, 4 m"),
    ({"mu": {"value": 0.8, "source": "s"}}, "mu", "be left out: this test and method do not use it"),
    ({"estimate": "local", "theta": {"value": "1 m", "source": "s"}, "averaging": "3 m"}, "theta", "for a local value"),
    ({"estimate": "trend", "V": {"value": 0.2, "source": "s"}}, "V", "be left out with a trend"),
    ({"V": {"value": 0.4, "source": "s"}}, "V.value", "be greater than 0 and at most 0.3"),
    ({"test": "vane", "correction": "plasticity", "soil": "peat"}, "correction", "for peat"),
    ({"test": "vane", "correction": "plasticity"}, "test", "go with complete rows; a reading without"),
    ({"left_out": [{"id": "R99", "reason": "r"}]}, "left_out[1].id", "be the id of a reading that would be used"),
    ({"left_out": [{"id": "R1", "reason": "r"}] * 2}, "left_out[2].id", "be used once only"),
    ({"layer": "peat"}, "test", 'select 1 to 100 readings of the layer "peat"'),
]


@pytest.mark.parametrize(("entry", "field", "must"), CASES, ids=[f"{case[1]}: {case[2]}" for case in CASES])
def test_a_value_that_cannot_rest_on_its_tests_is_refused(
    tmp_path: Path, entry: dict[str, Any], field: str, must: str
) -> None:
    rows = [*strengths(), {"test": "vane", "depth": 3, "c_fv": 20}, {"test": "cone", "depth": 3, "q_c": 300, "u_2": 9}]
    with pytest.raises(InputErrors) as caught:
        read_case(tmp_path, rows, entry)
    found = [error.must for error in caught.value.errors if error.path == f"section[1].ground_model.value[1].{field}"]

    assert must in " ".join(found)


def test_a_value_is_given_once_and_its_places_exist(tmp_path: Path) -> None:
    def places(document: Any) -> None:
        document["section"][0]["ground_model"]["locations"] = ["B1", "B9"]

    rows = [*strengths(), {"test": "strength", "depth": 3, "c_u": 9, "layer": "loam"}]
    with pytest.raises(InputErrors) as caught:
        read_case(tmp_path, rows, {}, {}, change=places)
    found = {error.path: (error.must, error.got) for error in caught.value.errors}

    assert found["section[1].ground_model.value[2].test"][0] == "be given once for a layer and parameter"
    assert found["section[1].ground_model.locations[2]"][0] == "be a location of data.csv: B1"
    assert found["section[1].ground_model.file"][1] == '"loam"'
    assert f"{tmp_path / 'data.csv'}:11:1: section[1].ground_model.file: must name layers" in str(caught.value)


@pytest.mark.parametrize(
    ("loads", "words"),
    [
        ([(25, 0, 30), (50, 2, 30), (100, 4, 30)], "fewer than 2 load increments"),
        ([(25, 0, 20), (50, 2, 20), (50, 4, 20), (100, 6, 20)], "a stress that does not rise"),
        ([(25, 0, 20), (50, 3, 20), (100, 2, 20), (200, 6, 20)], "a strain that does not rise"),
        ([(25, 0, 20), (50, 3, 22), (100, 5, 20)], "more than one preconsolidation pressure"),
    ],
)
def test_an_oedometer_test_that_gives_no_line_is_left_out_by_the_project_alone(
    tmp_path: Path, loads: list[tuple[float, float, float]], words: str
) -> None:
    rows = [{"id": "O1", "test": "oedometer", "depth": 3, "stress": s, "strain": e, "sigma_p": p} for s, e, p in loads]
    with pytest.raises(InputErrors, match=words):
        read_case(tmp_path, rows, {"parameter": "E_oed_ref", "test": "oedometer"})


def test_a_reading_belongs_to_the_layer_at_its_depth(tmp_path: Path) -> None:
    """Peat to 2.5 m, clay to 6.5 m: layers are not pooled across a boundary."""
    from calc.inputs.ground_file.selection import selected_readings

    design = read_case(tmp_path, strengths(layer=""), {})
    (section,) = design.sections
    model, file = section.ground_model, design.results_file
    chosen = selected_readings(file, model, model.values[0], section.layers)

    assert [one.first.depth for one in chosen] == [3.0, 4.0, 5.0, 6.0]
    assert read_design(tmp_path).results_file.sha256 == file.sha256  # type: ignore[union-attr]
