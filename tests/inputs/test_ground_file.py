"""Ground taken from CSV, XLSX and AGS 4 files: what they say, with its place; what they do not say stays open."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
from click.testing import CliRunner, Result

from calc.cli import main
from calc.inputs import InputErrors, read_design
from calc.inputs.ground_file.read import read_ground

TABLE = """\
section,table,name,top,base,gamma,gamma_sat,phi,c,c_u,E_oed_ref,p_ref,m,nu,K_0,firm,evidence,title,chainage,ground_level,makeup_fill
,,,m,m,kN/m^3,kN/m^3,deg,kPa,kPa,kPa,kPa,,,,,,,,m,
North,,Peat,0,2.1,10.8,11,22,3,15,750,100,0.9,0.4,jaky,,,North bank,0+000 to 0+100,0.4,true
North,layer,Clay,2.1,6.35,14.2,14.5,21,2,,1100,100,1,0.4,0.6,,,,,,
North,bearing_layer,Dense sand,6.35,9,19,20.5,36,0,,,,,,,true,"soundings, report 7",,,,
"""
# The form is that of AGS 4 (Association of Geotechnical and Geoenvironmental Specialists, Electronic transfer of data,
# edition 4, rules 2 to 5): groups of lines HEADING, UNIT, TYPE, DATA, every field in quotes, quotes inside doubled.
AGS = """\
"GROUP","ABBR"
"HEADING","ABBR_HDNG","ABBR_CODE","ABBR_DESC"
"UNIT","","",""
"TYPE","X","X","X"
"DATA","GEOL_GEOL","PT","Peat"

"GROUP","LOCA"
"HEADING","LOCA_ID","LOCA_GL"
"UNIT","","m"
"TYPE","ID","2DP"
"DATA","BH 01/A","0.42"
"DATA","BH 02","0.10"

"GROUP","GEOL"
"HEADING","LOCA_ID","GEOL_TOP","GEOL_BASE","GEOL_DESC","GEOL_GEOL"
"UNIT","","m","m","",""
"TYPE","ID","2DP","2DP","X","PA"
"DATA","BH 01/A","0.00","2.10","Dark brown ""fibrous"" PEAT","PT"
"DATA","BH 01/A","2.10","6.35","Very soft grey CLAY","AL"
"DATA","BH 02","0.00","4.00","LONG","AL"

"GROUP","IVAN"
"HEADING","LOCA_ID","IVAN_DPTH","IVAN_IVAN"
"UNIT","","m","kPa"
"TYPE","ID","2DP","0DP"
"DATA","BH 01/A","1.00","14"
"DATA","BH 01/A","3.00","11"
"DATA","BH 02","1.00","9"
""".replace("LONG", "Very soft dark grey CLAY " * 6)


@pytest.fixture
def new(tmp_path: Path) -> Callable[..., Result]:
    """Write a project with the ground of a file of this name and content."""

    def run(name: str, content: str) -> Result:
        (tmp_path / name).write_text(content, encoding="utf-8")
        return CliRunner().invoke(main, ["new", str(tmp_path / "bank"), "--from", str(tmp_path / name)])

    return run


def test_a_table_that_says_everything_gives_a_project_that_runs(new: Callable[..., Result], tmp_path: Path) -> None:
    assert new("ground.csv", TABLE).exit_code == 0
    (section,) = read_design(tmp_path / "bank").sections
    peat, clay = section.layers

    assert (section.key, section.title, section.ground_level, section.makeup_fill) == ("North", "North bank", 0.4, True)
    assert (peat.key, peat.thickness, peat.gamma, peat.c_u, peat.K_0, peat.m) == ("peat", 2.1, 10.8, 15.0, "jaky", 0.9)
    assert (clay.name, clay.thickness, clay.E_oed_ref, clay.c_u, clay.K_0) == ("Clay", 4.25, 1100.0, None, 0.6)
    assert (section.bearing_layer.firm, section.bearing_layer.evidence) == (True, "soundings, report 7")


def test_the_project_says_where_each_value_stands(new: Callable[..., Result], tmp_path: Path) -> None:
    new("ground.csv", TABLE)
    text = (tmp_path / "bank" / "project.toml").read_text(encoding="utf-8")

    assert 'c_u = "15 kPa" # row 3, column c_u\n' in text
    assert 'thickness = "4.25 m" # row 4, from top 2.1 to base 6.35\n' in text
    assert '# c_v = "… m^2/a"\n' in text


def test_what_a_table_does_not_say_is_asked_for_and_not_made_up(new: Callable[..., Result], tmp_path: Path) -> None:
    new("ground.csv", "name,thickness\n,m\nPeat,2\n")
    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path / "bank")
    asked = {error.path for error in caught.value.errors}

    assert {"section[1].layer[1].E_oed_ref", "section[1].bearing_layer", "section[1].chainage"} <= asked | {
        path.rpartition(".")[0] for path in asked
    }
    assert {error.got for error in caught.value.errors} == {"nothing"}


def test_a_workbook_reads_like_its_csv(tmp_path: Path) -> None:
    (tmp_path / "ground.csv").write_text(TABLE, encoding="utf-8")
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for line in TABLE.splitlines():
        cells = line.replace('"soundings, report 7"', "soundings; report 7").split(",")
        sheet.append([None if not cell else float(cell) if cell.replace(".", "").isdigit() else cell for cell in cells])
    book.save(tmp_path / "ground.xlsx")
    found, typed = (read_ground(tmp_path / f"ground.{ending}")[0].strata[0].values for ending in ("xlsx", "csv"))

    assert {key: one.typed for key, one in found.items()} == {key: one.typed for key, one in typed.items()}


def test_a_semicolon_between_cells_and_a_byte_order_mark_are_read(tmp_path: Path) -> None:
    (tmp_path / "ground.csv").write_text("\ufeff" + TABLE.replace(",", ";"), encoding="utf-8")

    assert [stratum.values["thickness"].typed for stratum in read_ground(tmp_path / "ground.csv")[0].strata if
            "thickness" in stratum.values] == ["2.1 m", "4.25 m"]  # fmt: skip


WRONG = [
    ("name,thicknes\n,m\nPeat,2\n", '1:2: header: must be a field of a layer (near: "thickness"), got "thicknes"'),
    ("name,gamma\n,kN/m3\nPeat,11\n", ('2:2: gamma: must hold the units: here one that converts to kN/m^3, '
     'got "kN/m3": a power without its sign (write "^2" or "^3")')),
    ("name,gamma\nPeat,11\n", ('2:1: name: must hold the units: here none, got "Peat"\n'
     '2:2: gamma: must hold the units: here one that converts to kN/m^3, got "11": another form of text')),
    ("name,phi,OCR\n,deg,\nPeat,70,x\n", ('3:2: phi: must be greater than 0 deg and less than 60 deg, got "70 deg"\n'
     '3:3: OCR: must be a plain number without a unit, got "x"')),
    ('name,gamma\n,kN/m^3\nPeat,"10,8"\n', ('3:2: gamma: must be a number, a space and a unit that converts to '
     'kN/m^3, got "10,8 kN/m^3": a comma in the number (the decimal mark is the point, thousands are not marked)')),
    ("name,top,base\n,m,m\nPeat,0,2\nClay,2.5,2\n", '4:3: base: must be a depth below top, in the same unit, got "2"'),
    ("name,top,base\n,m,m\nPeat,0,2\nClay,2.5,4\n", '4:2: top: must be the base of the layer above (2), got "2.5"'),
    ("name,top,base\n,m,m\nPeat,0.5,2\n", '3:2: top: must be 0 for the first layer, got "0.5"'),
    ("name,top,base\n,m,m\nPeat,0,2.10\nClay,2.0,4\n",
     '4:2: top: must be the base of the layer above (2.10), got "2.0"'),
    ("name,table,top,base\n,,m,m\nPeat,,0,2\nSand,bearing_layer,2.5,4\n",
     '4:3: top: must be the base of the layer above (2), got "2.5"'),
    ("name,thickness,top,base\n,m,m,m\nPeat,3,0,2\n",
     '3:2: thickness: must be left out beside top and base, which give the thickness, got "3"'),
    ("name,top,base\n,m,m\nPeat,0,inf\n", '3:3: base: must be a depth below top, in the same unit, got "inf"'),
    ('name,thickness\n,m\n"Peat,2\n', ("3:1: file: must be a CSV file with every quotation mark closed, "
     "got unexpected end of data")),
    ("name,thickness\n,m\nPeat漢,2\n",
     "3:1: name: must hold characters only that the fonts of the package can print, got U+6F22"),
    ("name,table\n,\nSand,bearing_layer\nSand,bearing_layer\n",
     '4:2: table: must be given once in a section, got "bearing_layer"'),
    ("name\n\n", "3:1: name: must hold names of fields, their units, and a row for each layer, got no layer"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "text"), WRONG)
def test_what_is_wrong_in_a_table_is_told_with_row_and_column(
    new: Callable[..., Result], tmp_path: Path, content: str, text: str
) -> None:
    result = new("ground.csv", content)

    assert result.exit_code == 3
    assert result.stderr.replace(f"{tmp_path}/ground.csv:", "").rstrip("\n") == text
    assert not (tmp_path / "bank").exists()


def test_an_ags_file_gives_strata_and_leaves_tests_as_notes(new: Callable[..., Result], tmp_path: Path) -> None:
    assert new("bore.ags", AGS).exit_code == 0
    text = (tmp_path / "bank" / "project.toml").read_text(encoding="utf-8")
    first, second = tomllib.loads(text)["section"]

    assert (first["key"], first["ground_level"], second["key"]) == ("BH-01-A", "0.42 m", "BH-02")
    assert [(one.get("name"), one["thickness"]) for one in first["layer"]] == [
        ("Peat", "2.10 m"),
        ("Very soft grey CLAY", "4.25 m"),
    ]
    assert second["layer"] == [{"key": "layer-1", "thickness": "4.00 m"}]  # the description is too long for a name
    assert '# GEOL_DESC, line 18: Dark brown "fibrous" PEAT\n# IVAN_IVAN (for c_u): 14 kPa at 1.00, line 26\n' in text
    assert "# IVAN_IVAN (for c_u): 11 kPa at 3.00, line 27\n" in text
    assert "c_u" not in first["layer"][0]


@pytest.mark.parametrize(
    ("old", "new_text", "text"),
    [
        ('"BH 02","1.00","9"', '"BH 02","1.00"', ("28:1: file: must have as many fields as the line HEADING of its "
         "group (3), got 2")),
        ('"2.10","6.35"', '"6.35","2.10"', ("19:1: GEOL: must have GEOL_TOP and a deeper GEOL_BASE in one unit "
         "of length, got 6.35 and 2.10 m")),
        ('"2.10","6.35"', '"2.50","6.35"', ("19:1: GEOL: must have the GEOL_TOP 2.10 (the GEOL_BASE above), "
         "without gap or overlap, got 2.50")),
        ('"2.10","6.35"', '"2.00","6.35"', ("19:1: GEOL: must have the GEOL_TOP 2.10 (the GEOL_BASE above), "
         "without gap or overlap, got 2.00")),
        ('"0.00","2.10"', '"0.30","2.10"', ("18:1: GEOL: must have the GEOL_TOP 0 (for the first stratum), "
         "without gap or overlap, got 0.30")),
        ("Very soft grey", "Very\x7f soft\x85 grey", ("19:1: GEOL_DESC: must hold characters only that the fonts "
         "of the package can print, got U+007F")),
        ('"BH 02","1.00","9"', '"BH 02","1.00","9', ("28:1: file: must have every quotation mark closed, got "
         "unexpected end of data")),
        ('"GROUP","LOCA"', '"GROUP","ABBR"', '7:1: file: must have each group once, got "ABBR"'),
        ('"GROUP","ABBR"', "GROUP ABBR", ('1:1: file: must begin with "GROUP", "HEADING", "UNIT", "TYPE", "DATA", the '
         'first line with GROUP, got "GROUP ABBR"')),
    ],
)  # fmt: skip
def test_what_is_wrong_in_an_ags_file_is_told_with_its_line(
    new: Callable[..., Result], tmp_path: Path, old: str, new_text: str, text: str
) -> None:
    result = new("bore.ags", AGS.replace(old, new_text))

    assert result.exit_code == 3
    assert result.stderr.replace(f"{tmp_path}/bore.ags:", "").splitlines()[0] == text


def test_another_ending_is_wrong_usage_and_no_workbook_an_input_error(
    new: Callable[..., Result], tmp_path: Path
) -> None:
    assert new("bore.txt", "").exit_code == 2
    result = new("bore.xlsx", "no workbook")

    assert result.exit_code == 3
    assert "must be a workbook (XLSX)" in result.stderr


def workbook(path: Path, *rows: list[object]) -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(path)
    return book


def test_a_workbook_whose_stated_size_is_wrong_is_read_to_its_end(tmp_path: Path) -> None:
    """Programs that write workbooks may leave <dimension> at the first cell."""
    file = tmp_path / "bore.xlsx"
    workbook(file, ["name", "thickness"], ["", "m"], ["Peat", 2], ["Clay", 4])
    with ZipFile(file) as whole:
        parts = {name: whole.read(name) for name in whole.namelist()}
    sheet = parts["xl/worksheets/sheet1.xml"]
    parts["xl/worksheets/sheet1.xml"] = sheet.replace(b'<dimension ref="A1:B4"', b'<dimension ref="A1:A1"')
    assert parts["xl/worksheets/sheet1.xml"] != sheet
    with ZipFile(file, "w") as short:
        for name, content in parts.items():
            short.writestr(name, content)

    assert [stratum.values["thickness"].typed for stratum in read_ground(file)[0].strata] == ["2 m", "4 m"]


def test_formulas_without_a_value_and_cells_in_error_are_refused(tmp_path: Path) -> None:
    workbook(tmp_path / "bore.xlsx", ["name", "thickness"], ["", "m"], ["Peat", "=1+1"], ["Clay", "#DIV/0!"])

    with pytest.raises(InputErrors) as caught:
        read_ground(tmp_path / "bore.xlsx")
    stored = "store the values of its formulas (save it in a program for spreadsheets)"
    assert [str(error).rpartition("bore.xlsx:")[2] for error in caught.value.errors] == [
        f"3:2: file: must {stored}, got a formula without a value",
        '4:2: file: must have no cell in error, got "#DIV/0!"',
    ]


@pytest.mark.parametrize("part", ["xl/worksheets/sheet1.xml", "xl/workbook.xml", "[Content_Types].xml"])
def test_a_damaged_workbook_is_refused(new: Callable[..., Result], tmp_path: Path, part: str) -> None:
    file = tmp_path / "whole.xlsx"
    workbook(file, ["name"], [""], ["Peat"])
    with ZipFile(file) as whole, ZipFile(tmp_path / "bore.xlsx", "w") as broken:
        for name in whole.namelist():
            broken.writestr(name, whole.read(name)[: 120 if name == part else None])
    result = CliRunner().invoke(main, ["new", str(tmp_path / "bank"), "--from", str(tmp_path / "bore.xlsx")])

    assert result.exit_code == 3
    assert "bore.xlsx:1:1: file: must be a workbook (XLSX)" in result.stderr
    assert not (tmp_path / "bank").exists()


def test_depths_are_compared_as_numbers(tmp_path: Path) -> None:
    """2.10 and 2.1 are one depth; 0.3 less 0.1 is 0.2. Below a base that is not known nothing can be compared."""
    file = tmp_path / "bore.csv"
    file.write_text(
        "name,table,top,base,thickness\n,,m,m,m\nPeat,,0,0.1,\nClay,,0.10,0.3,\nSand,bearing_layer,0.30,,\n"
        "Marl,layer_below,2,4.50,\nTill,layer_below,,,3\nRock,layer_below,9,11,\n",
        encoding="utf-8",
    )

    found = [
        stratum.values["thickness"].typed for stratum in read_ground(file)[0].strata if "thickness" in stratum.values
    ]
    assert found == ["0.1 m", "0.20 m", "2.50 m", "3 m", "2 m"]


def test_text_of_a_file_stays_data(new: Callable[..., Result], tmp_path: Path) -> None:
    name = 'Clay" \\ # ] = "'
    quoted = name.replace('"', '""')
    assert new("ground.csv", f'name,thickness\n,m\n"{quoted}",2\n').exit_code == 0
    text = (tmp_path / "bank" / "project.toml").read_text(encoding="utf-8")

    assert tomllib.loads(text)["section"][0]["layer"][0]["name"] == name
