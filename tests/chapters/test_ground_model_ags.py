"""Results in AGS 4 files: the same estimates as by a table, index tests, oedometer tests as laboratories give them."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.commands.common import show_cautions
from calc.engine.sheet import Sheet
from calc.inputs import InputErrors
from tests.chapters.readings_case import Row, chapter_of, read_case, strengths
from tests.chapters.test_ground_model import cones, numbers, oedometers, preconsolidated, vane, vanes
from tests.chapters.test_ground_model_doubts import found
from tests.inputs.written_ags import SPECIMEN, consolidation, group

approx = pytest.approx
Make = Callable[..., Sheet]
VANES = group("IVAN", "LOCA_ID,IVAN_DPTH,IVAN_IVAN", ",m,kPa", *(f"B1,{z},{x}" for z, x in zip(
    range(3, 7), (20, 21, 23, 22), strict=True)))  # fmt: skip
LIMITS = (f"{SPECIMEN},LLPL_LL,LLPL_PI", ",m,,m,%,")
MODULUS = {"parameter": "E_oed_ref", "test": "oedometer"}
FITS = "E_oed_ref_clay_oedometer"
LOADS = "25/2.000/1.940/0.80 50/1.940/1.820/1.6 100/1.820/1.580/1.7 200/1.580/1.310/1.1"


@pytest.fixture
def make(tmp_path: Path) -> Make:
    return lambda rows, *values, **more: chapter_of(tmp_path, rows, *values, **more)


@pytest.fixture
def refused(tmp_path: Path) -> Callable[..., str]:
    def text(rows: list[Row] | str, *values: dict[str, Any], **more: Any) -> str:
        with pytest.raises(InputErrors) as caught:
            read_case(tmp_path, rows, *values, **more)
        return str(caught.value)

    return text


def pressures(*stated: tuple[str, str]) -> Callable[[Any], None]:
    """The project states these preconsolidation pressures."""

    def change(document: Any) -> None:
        document["section"][0]["ground_model"]["sigma_p"] = [
            {"test": test, "value": value, "source": "sheet 7."} for test, value in stated
        ]

    return change


def within(length: str) -> Callable[[Any], None]:
    """Index tests count up to this difference in depth."""

    def change(document: Any) -> None:
        document["section"][0]["ground_model"]["index_distance"] = length

    return change


def as_ags(rows: list[Row]) -> str:
    """The rows of a table in the groups of an AGS 4 file, void ratios by an initial one of 2."""
    of: dict[str, list[Row]] = {}
    for row in rows:
        of.setdefault(row["test"], []).append(row)

    def specimens(test: str, column: str, factor: float = 1) -> list[str]:
        return [f"B1,1,1,{row['depth']},{factor * float(row[column]):.15g}" for row in of[test]]

    chemistry = [f"B1,1,1,{row['depth']},OGM,{row['organic']},%" for row in of["organic"]]
    tests = {row["depth"]: f"B1,1,1,{row['depth']}" for row in of["oedometer"]}
    loads = [
        f"B1,1,1,{row['depth']},{row['stress']},{2 - 3 * float(row['strain']) / 100:.15f}" for row in of["oedometer"]
    ]
    return "\n".join([
        group("IVAN", "LOCA_ID,IVAN_DPTH,IVAN_IVAN", ",m,kPa",
              *(f"B1,{row['depth']},{row['c_fv']}" for row in of["vane"])),
        group("LLPL", f"{SPECIMEN},LLPL_PI", ",m,,m,", *specimens("vane", "I_P")),
        group("SCPG", "LOCA_ID,SCPG_CAR", ",", "B1,0.75"),
        group("SCPT", "LOCA_ID,SCPT_DPTH,SCPT_RES,SCPT_PWP2", ",m,MPa,kPa",
              *(f"B1,{row['depth']},{row['q_c'] / 1000},{row['u_2']}" for row in of["cone"])),
        group("TRIT", f"{SPECIMEN},TRIT_CU", ",m,,m,kN/m2", *specimens("strength", "c_u")),
        group("ESCG", f"{SPECIMEN},ESCG_PCP", ",m,,m,kPa", *specimens("preconsolidation", "sigma_p")),
        group("PTST", f"{SPECIMEN},PTST_K", ",m,,m,cm/s", *specimens("permeability", "k", 100)),
        group("GCHM", f"{SPECIMEN},GCHM_CODE,GCHM_RESL,GCHM_UNIT", ",m,,m,,,", *chemistry),
        group("CONG", f"{SPECIMEN},CONG_TYPE,CONG_IVR", ",m,,m,,", *(f"{one},OEDOMETER,2.0" for one in tests.values())),
        group("CONS", f"{SPECIMEN},CONS_INCF,CONS_INCE", ",m,,m,kPa,", *loads),
    ])  # fmt: skip


def test_a_table_and_an_ags_file_of_the_same_readings_give_the_same_estimates(tmp_path: Path) -> None:
    rows = [
        *strengths(), *vanes(44), *cones(), *oedometers(),
        *({"test": "preconsolidation", "depth": 3 + k, "sigma_p": x} for k, x in enumerate((42, 47, 44, 46))),
        *({"test": "permeability", "depth": 3 + k, "k": x} for k, x in enumerate(("2e-9", "4e-10"))),
        {"test": "organic", "depth": 4, "organic": 12},
    ]  # fmt: skip
    values: tuple[dict[str, Any], ...] = (
        {}, vane(), {"test": "cone", "N_kt": {"value": 15, "source": "s"}},
        {"parameter": "sigma_p", "test": "preconsolidation"}, MODULUS,
    )  # fmt: skip
    # In a table rows name their layer; in the other form they belong to the one at their depth.
    plain = [{**row, "layer": ""} for row in rows]

    def stated(document: Any) -> None:
        preconsolidated(document)
        pressures(*((f"B1 {3 + k} oedometer", "20 kPa") for k in range(4)))(document)

    by_table = chapter_of(tmp_path, plain, *values, change=preconsolidated)
    by_ags = chapter_of(tmp_path, as_ags(rows), *values, change=stated)

    for one, other in zip(by_table.verdicts, by_ags.verdicts, strict=True):
        assert (one.key, one.state) == (other.key, other.state)
        assert one.effect == approx(other.effect)
        assert one.utilisation == approx(other.utilisation, rel=1e-9)
    for key, scope in by_table.scopes.items():
        for name in scope.values:
            assert by_ags.scopes[key][name].array == approx(scope[name].array, rel=1e-9)
    plots = [[panel.series[0].values for panel in sheet.page.figures[-1].panels] for sheet in (by_table, by_ags)]  # type: ignore[union-attr]
    assert plots[0] == [approx(series) for series in plots[1]]


# Vanes and index tests


def test_an_index_test_at_the_depth_of_a_vane_is_its_own(make: Make) -> None:
    limits = group(
        "LLPL", *LIMITS, *(f"B1,{z},1,,74,{I_P}" for z, I_P in zip(range(3, 7), (42, 44, 46, 48), strict=True))
    )
    sheet = make(VANES + limits, vane())

    assert numbers(sheet, "I_P", "c_u_clay_vane") == approx([0.42, 0.44, 0.46, 0.48])
    note = next(table for table in sheet.page.tables if table.key == "readings-c_u_clay_vane").note
    assert "Index tests: B1 3 index (row 11) for B1 3 vane; B1 4 index (row 12) for B1 4 vane" in note
    notes = {step.symbol: step.note for step in sheet.steps if step.scope == "c_u_clay_vane"}
    assert [notes[name] for name in ("c_fv", "I_P", "z_j")] == [
        "heading IVAN_IVAN of data.ags", "heading LLPL_PI of data.ags", "heading IVAN_DPTH of data.ags",
    ]  # fmt: skip


def test_a_vane_without_index_is_refused_or_takes_that_of_the_entry(make: Make, refused: Callable[..., str]) -> None:
    limits = group("LLPL", *LIMITS, "B1,3,1,3.1,74,40", *(f"B1,{z},1,,74,44" for z in range(4, 7)))
    assert 'got "B1 3 vane": no I_P' in refused(VANES + limits, vane())

    sheet = make(VANES + limits, vane(I_P={"value": 0.5, "source": "s"}))
    assert numbers(sheet, "I_P", "c_u_clay_vane") == approx([0.5, 0.44, 0.44, 0.44])


def test_the_nearest_index_test_of_the_layer_counts_as_far_as_the_project_says(make: Make) -> None:
    """For 3 m the one in the peat at 2.4 m is nearer than that at 3.8 m, but of another layer."""
    rows = ("B1,2,1,2.4,90,70", "B1,3,1,3.8,74,40", "B1,5,1,5.4,74,46", "B1,6,1,6.2,74,")
    sheet = make(VANES + group("LLPL", *LIMITS, *rows), vane(), change=within("0.8 m"))

    assert numbers(sheet, "I_P", "c_u_clay_vane") == approx([0.40, 0.40, 0.46, 0.46])
    limit = make(VANES + group("LLPL", *LIMITS, *rows), vane(correction="liquid limit"), change=within("0.8 m"))
    assert numbers(limit, "w_L", "c_u_clay_vane") == approx([0.74] * 4)


def test_of_two_index_tests_alike_in_distance_that_of_the_own_hole_counts(make: Make) -> None:
    """Floating point has 4 - 3.78 above 4.22 - 4."""

    def two(document: Any) -> None:
        document["section"][0]["ground_model"]["locations"] = ["B1", "B2"]
        within("0.5 m")(document)

    rows = [
        f"{hole},{z},1,{z + dz:.2f},74,{I_P}"
        for z in range(3, 7) for hole, dz, I_P in (("B2", 0.22, 60), ("B1", -0.22, 40))
    ]  # fmt: skip
    sheet = make(VANES + group("LLPL", *LIMITS, *rows), vane(), change=two)

    assert numbers(sheet, "I_P", "c_u_clay_vane") == approx([0.40] * 4)


# Oedometer tests


def four(loads: str, **more: str) -> str:
    """Four tests with these loads, as one pair of groups."""
    texts = [consolidation(loads, place=f"B1,3.00,1,{3 + k}", **more).split('"GROUP","CONS"\n') for k in range(4)]
    parts: list[list[str]] = [[], []]
    for text in texts:
        for part, lines in zip(parts, text, strict=True):
            part += [line for line in lines.splitlines() if line not in part]
    return "\n".join([*parts[0], '"GROUP","CONS"', *parts[1]])


def at(pressure: str) -> Callable[[Any], None]:
    return pressures(*((f"B1 {3 + k} oedometer", pressure) for k in range(4)))


def test_strains_follow_from_void_ratios_and_the_pressure_that_the_project_states(make: Make) -> None:
    """e 2.000 is 3 parts of height: 1.940 to 1.820 of 25 to 50 kPa is 4 % of strain, so 625 kPa."""
    sheet = make(four(LOADS), MODULUS, change=at("25 kPa"))
    scope = f"{FITS}_1"

    assert numbers(sheet, "eps_1", scope) == approx([0.02, 0.06, 0.14])
    assert numbers(sheet, "E_Di", scope) == approx([25 / 0.04, 50 / 0.08, 100 / 0.09])
    assert float(numbers(sheet, "sigma_pi", scope)) == 25
    note = next(table for table in sheet.page.tables if table.key == f"readings-{FITS}").note
    assert "pressures that the project states: B1 3 oedometer 25.0 kPa (sheet 7); B1 4" in note
    heads = next(table for table in sheet.page.tables if table.key == f"increments-{FITS}").head
    assert [head.symbol for head in heads if head.symbol] == [
        "sigma_pi", "sigma_1", "sigma_2", "e_t0", "e_1", "e_2", "eps_1", "eps_2", "E_Di", "p_Di",
    ]  # fmt: skip


def test_a_higher_preconsolidation_pressure_takes_fewer_increments(make: Make, refused: Callable[..., str]) -> None:
    sheet = make(four(LOADS), MODULUS, change=at("26 kPa"))

    assert numbers(sheet, "sigma_1", f"{FITS}_1").tolist() == [50, 100]
    assert "fewer than 2 load increments" in refused(four(LOADS), MODULUS, change=at("51 kPa"))


def test_unloading_and_reloading_are_said_and_leave_the_virgin_line_alone(make: Make) -> None:
    """The loop ends at the stress that it began at; the next increment starts from the void ratio reached there."""
    loop = "25/2.000/1.940/ 50/1.940/1.820/ 12/1.820/1.840/ 50/1.840/1.810/ 100/1.810/1.580/ 200/1.580/1.310/"
    sheet = make(four(loop), MODULUS, change=at("20 kPa"))
    scope = f"{FITS}_1"

    assert numbers(sheet, "sigma_1", scope).tolist() == [25, 50, 100]
    assert numbers(sheet, "e_1", scope) == approx([1.940, 1.810, 1.580])
    note = next(table for table in sheet.page.tables if table.key == f"readings-{FITS}").note
    assert "Rows of unloading and reloading are not used: 13–14, 19–20" in note


def test_an_increment_from_below_the_largest_stress_before_is_no_first_loading(make: Make) -> None:
    loop = "25/2.0/1.94/ 50/1.94/1.82/ 12/1.82/1.84/ 100/1.84/1.58/ 200/1.58/1.31/"
    sheet = make(four(loop), MODULUS, change=at("20 kPa"))

    assert numbers(sheet, "sigma_1", f"{FITS}_1").tolist() == [25, 100]


def test_without_void_ratios_the_reported_compressibility_counts_on_the_low_side(
    make: Make, refused: Callable[..., str]
) -> None:
    text = four(LOADS, head="OEDOMETER,UNDISTURBED,")
    sheet = make(text, MODULUS, change=at("25 kPa"))
    by_void_ratio = make(four(LOADS), MODULUS, change=at("25 kPa"))

    assert numbers(sheet, "E_Di", f"{FITS}_1") == approx([1000 / 1.6, 1000 / 1.7, 1000 / 1.1])
    assert (numbers(sheet, "E_Di", f"{FITS}_1") <= numbers(by_void_ratio, "E_Di", f"{FITS}_1") * 1.01).all()
    text_of = found(sheet, f"compressibility-{FITS}").text  # type: ignore[union-attr]
    assert "B1 3 oedometer, B1 4 oedometer" in text_of
    assert "below the increments the modulus of the fit can be too high" in text_of
    assert found(by_void_ratio, f"compressibility-{FITS}") is None
    assert "on the low side, which is unsafe here" in refused(text, MODULUS | {"unsafe": "low"}, change=at("25 kPa"))
    gap = four(LOADS.replace("/1.7", "/"), head="OEDOMETER,UNDISTURBED,")
    assert "no coefficient of volume compressibility in an increment" in refused(gap, MODULUS, change=at("25 kPa"))


def test_a_void_ratio_that_does_not_fall_gives_no_modulus(refused: Callable[..., str]) -> None:
    loads = "25/2.000/1.940/ 50/1.940/1.940/ 100/1.940/1.580/ 200/1.580/1.310/"

    assert "a void ratio that does not fall" in refused(four(loads), MODULUS, change=at("25 kPa"))


def test_a_pressure_is_stated_once_and_where_the_file_has_none(refused: Callable[..., str]) -> None:
    missing = refused(four(LOADS), MODULUS)
    assert 'got "B1 3 oedometer": no preconsolidation pressure, which ground_model.sigma_p may state' in missing

    strange = refused(four(LOADS), MODULUS, change=pressures(("B1 9 oedometer", "25 kPa")))
    assert "sigma_p[1].test: must be the id of an oedometer test of data.ags that has no sigma_p there" in strange
    twice = refused(four(LOADS), MODULUS, change=pressures(*[("B1 3 oedometer", "25 kPa")] * 2))
    assert "sigma_p[2].test: must be used once only" in twice
    given = refused(oedometers(), MODULUS, change=pressures(("O1", "25 kPa")))
    assert "sigma_p[1].test: must be the id of an oedometer test of data.csv that has no sigma_p there" in given


# What is said


def test_rows_without_a_reading_stand_on_the_page_and_in_an_error_where_they_leave_none(
    make: Make, refused: Callable[..., str]
) -> None:
    text = VANES + group("SCPT", "LOCA_ID,SCPT_DPTH,SCPT_RES", ",m,MPa", "B1,3,0.3")
    sheet = make(text, vane(I_P={"value": 0.5, "source": "s"}))

    told = "SCPT_PWP2: no such heading in the group SCPT, which is not used (row 8)"
    assert sheet.page.notes[1] == f"Rows of data.ags that hold no reading: {told}."
    cone = {"test": "cone", "N_kt": {"value": 15, "source": "s"}}
    assert f"got 0 in data.ags; {told}" in refused(text, cone)


def test_rows_without_a_reading_are_told_on_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    more = group("SCPT", "LOCA_ID,SCPT_DPTH,SCPT_RES,SCPT_PWP2", ",m,MPa,MPa", "B1,3,0.3,", "B1,4,0.3,")
    show_cautions(read_case(tmp_path, VANES + more))
    told = "caution: SCPT_PWP2: blank, not used (2 rows: 11–12)"

    assert capsys.readouterr().err == f"{tmp_path / 'data.ags'}:11:1: {told}\n"


def test_loss_on_ignition_is_named_beside_organic_content(make: Make) -> None:
    rows = ("B1,3,1,3,OGM,12,%", "B1,4,1,4,LOI,15,%", "B1,4,1,4,LOI,16,%")
    text = group("GCHM", f"{SPECIMEN},GCHM_CODE,GCHM_RESL,GCHM_UNIT", ",m,,m,,,", *rows)
    figure = make(text).page.figures[0]

    assert np.allclose(figure.panels[0].series[0].values, [12, 15, 16])  # type: ignore[union-attr]
    assert figure.note.endswith("nothing is derived from them. Rows of loss on ignition: 5–6.")
