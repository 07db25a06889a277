"""Chapter on consolidation: course, residual settlement, strength gained, degrees asked for, what it leaves open."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.chain import CHAPTERS
from calc.checks.consolidation_model import ground_in_time
from calc.checks.frame import AS_GIVEN, COURSES, HIGH, LOW
from calc.figure import TimeChart, Track
from calc.inputs import read_design
from calc.sheet import Sheet, Verdict
from tests.checks.conftest import BASE

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
TIME = {"c_v": "1 m^2/a", "c_h": "2 m^2/a", "C_alpha": 0.03, "e_0": 3.0, "OCR": 1.1, "S": 0.25, "m_shansep": 0.8,
        "k": "2e-9 m/s", "smear": {"ratio": 2.0, "k_ratio": 3.0}}  # fmt: skip


def timed(*changes: Change, hand_over: str = "500 d", drainage: str = "top") -> Change:
    """The test project with everything that the chapter asks for, then changed."""

    def change(document: Any) -> None:
        document["consolidation"] = {"drainage": drainage, "hand_over": hand_over}
        document["basis"]["limits"]["settlement_residual"] = "0.30 m"
        document["columns"]["fill"]["k"] = "1e-4 m/s"
        for layer in document["section"][0]["layer"]:
            layer.update(TIME)
        for one in changes:
            one(document)

    return change


def layers(**values: Any) -> Change:
    """Every layer with these values; None takes one out."""

    def change(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            for name, value in values.items():
                if value is None:
                    layer.pop(name)
                else:
                    layer[name] = value

    return change


def stage(index: int, **values: Any) -> Change:
    def change(document: Any) -> None:
        document["stage"][index].update(values)

    return change


def tracks(sheet: Sheet) -> tuple[Track, ...]:
    (figure,) = sheet.figures
    assert isinstance(figure, TimeChart)
    return figure.tracks


def verdicts(sheet: Sheet) -> dict[str, Verdict]:
    return {one.key: one for one in sheet.verdicts}


def keys(sheet: Sheet) -> set[str]:
    return {one.key for one in sheet.limitations}


def time_chapter(first: Chapters, *changes: Change, **values: str) -> Sheet:
    return first(timed(*changes, **values))["consolidation"]


@pytest.fixture
def first(tmp_path: Path) -> Chapters:
    """The chapters up to this one."""

    def run(change: Change | None = None) -> dict[str, Sheet]:
        document = tomlkit.parse(BASE.read_text(encoding="utf-8"))
        if change:
            change(document)
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        design = read_design(tmp_path)
        done: dict[str, Sheet] = {}
        for chapter in CHAPTERS[: 1 + [one.key for one in CHAPTERS].index("consolidation")]:
            assert chapter.check is not None
            done[chapter.key] = chapter.check(design, design.sections[0], done).finish()
        return done

    return run


def test_without_its_table_every_question_stays_open(first: Chapters) -> None:
    sheet = first()["consolidation"]

    assert {one.note for one in sheet.verdicts} == {"Not given: the table [consolidation]."}
    assert all(one.state == "not verified" and one.required for one in sheet.verdicts)
    assert set(verdicts(sheet)) == {"settlement_residual", "settlement_with_time", "strength_gain", "degree_before"}
    assert not sheet.scopes


def test_missing_coefficient_is_named(first: Chapters) -> None:
    sheet = time_chapter(first, layers(c_h=None))

    assert {one.note for one in sheet.verdicts} == {"Not given: layer.peat.c_h, layer.clay.c_h."}


def test_stages_without_settlement_leave_it_open(first: Chapters) -> None:
    sheet = time_chapter(first, stage(0, fill_height="0 m"), stage(1, consolidates=False))

    assert {one.note for one in sheet.verdicts} == {"No stage that consolidates brings settlement by the unit cell."}


def test_course_rises_to_the_settlement_of_the_cell_and_faster_water_is_never_later(first: Chapters) -> None:
    done = first(timed())
    scope = done["consolidation"].scopes["course"]
    settled = scope["s_pt"].array
    cell = done["unit_cell"].scopes["settlement"]["s"]

    assert scope["s_pt"].axis_names == ("course", "date")
    assert (np.diff(settled, axis=1) >= -1e-12).all()
    assert settled[0, -1] == pytest.approx(
        cell.at(stage="2 Final", position="centre", load="G+Q", stiffness="end of construction").array, rel=1e-6
    )
    low, given, high = (scope["s_pt"].at(course=one).array for one in (LOW, AS_GIVEN, HIGH))
    assert (low <= given + 1e-12).all()
    assert (given <= high + 1e-12).all()
    assert (scope["U_cur"].array >= scope["U_fin"].array - 1e-12).all()


def test_residual_settlement_is_rest_secondary_and_creep(first: Chapters) -> None:
    sheet = time_chapter(first)
    scope, rest = sheet.scopes["course"], sheet.scopes["residual"]
    names = ("s_pt", "s_sect", "s_cr")
    before, after = (
        {name: float(scope[name].at(course=AS_GIVEN, date=date).array) for name in names}
        for date in ("hand-over", "end of design life")
    )

    assert before["s_cr"] == 0
    assert after["s_cr"] > 0
    assert after["s_sect"] > before["s_sect"] > 0
    assert rest["s_res"].at(course=AS_GIVEN).array == pytest.approx(sum(after.values()) - sum(before.values()))
    assert verdicts(sheet)["settlement_residual"].state == "pass"
    assert verdicts(sheet)["settlement_with_time"].effect == pytest.approx(sum(after.values()))


def test_limits_that_are_not_asked_for_and_missing_coefficients_leave_it_open(first: Chapters) -> None:
    def none(document: Any) -> None:
        document["basis"]["limits"].pop("settlement_residual")
        document["basis"]["limits"].pop("settlement_total")

    free = verdicts(time_chapter(first, none))
    bare = verdicts(time_chapter(first, layers(C_alpha=None, e_0=None)))

    assert not free["settlement_residual"].required
    assert "basis.limits.settlement_total" in free["settlement_with_time"].note
    assert "layer.peat.C_alpha, layer.clay.C_alpha" in bare["settlement_residual"].note
    assert bare["settlement_residual"].state == bare["settlement_with_time"].state == "not verified"


def test_reduction_of_secondary_compression_reduces_it(first: Chapters) -> None:
    def reduced(document: Any) -> None:
        document["consolidation"]["secondary_reduction"] = {"value": 0.5, "source": "trial embankment, invented"}

    whole, half = (time_chapter(first, *changes).scopes["course"]["s_sect"] for changes in ((), (reduced,)))

    assert half.array == pytest.approx(0.5 * whole.array)


@pytest.mark.parametrize(("limit", "words"), [("0.1435 m", "it is met from day"), ("0.01 m", "exceeds the limit")])
def test_residual_settlement_at_low_c_h_is_stated(first: Chapters, limit: str, words: str) -> None:
    def asked(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = limit

    sheet = time_chapter(first, asked, hand_over="200 d")
    (text,) = [one.text for one in sheet.limitations if one.key == "residual-low"]

    assert words in text
    assert any(rest.title == "Coefficient of consolidation as given" for rest in sheet.rests)


def test_residual_settlement_that_no_date_meets_is_said(first: Chapters) -> None:
    def asked(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = "0.002 m"

    sheet = time_chapter(first, asked)
    (text,) = [one.text for one in sheet.limitations if one.key == "residual-low"]

    assert "it is not met later" in text
    assert not sheet.scopes["residual"]["t_res"].valid.any()
    assert sheet.tables[-1].rows[0][-1] == "not reached"


def test_load_taken_off_needs_the_share_of_swelling(first: Chapters) -> None:
    def passing(document: Any) -> None:
        first = dict(document["stage"][0]) | {"name": "Second", "start": "60 d", "traffic": False}
        document["stage"][0]["traffic"] = True
        document["traffic"]["q"] = "80 kPa"
        document["basis"]["psi_2"] = 1.0
        document["stage"].insert(1, first)

    def swelling(document: Any) -> None:
        document["consolidation"]["swelling"] = {"value": 0.1, "source": "oedometer tests, invented"}

    left = time_chapter(first, passing)
    held = time_chapter(first, passing, swelling)

    assert {one.note for one in left.verdicts} == {
        "A step of the programme takes load off. Not given: [consolidation.swelling]."
    }
    assert verdicts(held)["settlement_residual"].state == "pass"


def test_flow_at_both_faces_and_without_vertical_flow(first: Chapters) -> None:
    """Without well resistance, which needs c_v, too."""
    bare = layers(k=None)
    top, both, none = (
        time_chapter(first, bare, *changes, drainage=faces).scopes["course"]["U_fin"].array
        for changes, faces in (((), "top"), ((), "both"), ((layers(c_v=None),), "top"))
    )
    sheet = time_chapter(first, layers(c_v=None))

    assert (both >= top - 1e-12).all()
    assert (top >= none - 1e-12).all()
    assert both[0, 0] > top[0, 0] > none[0, 0]
    assert "no-vertical" in keys(sheet)
    assert "no-well-resistance" in keys(sheet)


def test_smear_and_well_resistance_delay(first: Chapters) -> None:
    whole = time_chapter(first)
    clean = time_chapter(first, layers(smear=None))

    def drained(document: Any) -> None:
        document["filters"] = {
            "drainage": {"ends": "both", "head_loss_max": "1 m", "well_resistance_max": 1.0, "source": "invented"}
        }

    both = time_chapter(first, drained)
    assert "no-smear" in keys(clean) - keys(whole)
    assert (clean.scopes["drainage"]["F_dr"].array < whole.scopes["drainage"]["F_dr"].array).all()
    assert clean.scopes["drainage"]["F_dr"].array == pytest.approx(
        clean.scopes["drainage"]["F_id"].array + clean.scopes["drainage"]["mu_wr"].array
    )
    assert both.scopes["drainage"]["mu_wr"].array == pytest.approx(whole.scopes["drainage"]["mu_wr"].array / 4)


def test_slack_of_the_sleeve_is_stated(first: Chapters) -> None:
    def tight(document: Any) -> None:
        document["sleeve"]["oversize"] = "0 mm"

    assert "slack-in-time" in keys(time_chapter(first))
    assert "slack-in-time" not in keys(time_chapter(first, tight))


def test_rates_of_the_three_forms_stand_side_by_side(first: Chapters) -> None:
    scopes = time_chapter(first).scopes
    governing = scopes["transfer"]

    assert (governing["t_hm90"].array > governing["t_h90"].array).all()
    assert (scopes["transfer_elastic"]["f_tr"].array > governing["f_tr"].array).all()
    assert governing["t_hm"].array * governing["w_h"].array == pytest.approx(1.0)


def test_deviation_of_one_rate_is_stated_by_the_size_of_the_factor(first: Chapters) -> None:
    soft, stiff = time_chapter(first), time_chapter(first, layers(E_oed_ref="20 MPa"))

    assert {"closed-rates", "stiff-rates"} <= keys(soft)
    assert stiff.scopes["transfer"]["f_tr"].array.max() < 2
    assert "stiff-rates" not in keys(stiff)


def test_gain_is_credited_beyond_preconsolidation_alone(first: Chapters) -> None:
    scope = time_chapter(first).scopes["strength"]
    more = time_chapter(first, layers(OCR=2.0)).scopes["strength"]
    stiff = time_chapter(first, layers(OCR=1000)).scopes["strength"]
    gain = scope["Dc_uz"].array

    assert (gain[:2] == 0).all()
    assert gain[2].max() > 0
    assert (more["Dc_uz"].array <= gain).all()
    assert stiff["Dc_uz"].array.max() == 0
    assert scope["Dc_uc"].array == pytest.approx(gain.min(axis=(1, 2)))


def test_gain_by_angle_and_by_given_preconsolidation_pressure(first: Chapters) -> None:
    angle = layers(S=None, m_shansep=None, phi_cu="13 deg")
    scope = time_chapter(first, angle).scopes["strength"]
    ratio = time_chapter(first).scopes["strength"]
    given = time_chapter(first, layers(OCR=None, sigma_p="30 kPa")).scopes["strength"]

    assert scope["Dc_uz"].array == pytest.approx(ratio["Dc_uz"].array / 0.25 * np.tan(np.radians(13)))
    assert given["sigma_pc"].array == pytest.approx(30.0)


def test_one_layer_without_data_gains_nothing(first: Chapters) -> None:
    def bare(document: Any) -> None:
        layer = document["section"][0]["layer"][0]
        for name in ("OCR", "S", "m_shansep"):
            layer.pop(name)

    def angle(document: Any) -> None:
        bare(document)
        document["section"][0]["layer"][1].pop("S")
        document["section"][0]["layer"][1].pop("m_shansep")
        document["section"][0]["layer"][1]["phi_cu"] = "13 deg"

    sheet = time_chapter(first, bare)
    mixed = time_chapter(first, angle)

    assert "no-gain" in keys(sheet)
    assert verdicts(sheet)["strength_gain"].state == "not verified"
    assert "at the start of: 2 Final" in verdicts(sheet)["strength_gain"].note
    gain = mixed.scopes["strength"]["Dc_uz"].array
    assert gain[..., 0].max() == 0
    assert gain[..., -1].max() > 0


def test_gain_typed_is_held_against_the_gain_computed(first: Chapters) -> None:
    free = time_chapter(first, layers(OCR=1.0)).scopes["strength"]["Dc_uc"].array[2]
    enough = stage(1, c_u_gain=f"{0.9 * free:.6f} kPa")
    too_much = stage(1, c_u_gain=f"{1.1 * free:.6f} kPa")

    passed = verdicts(time_chapter(first, layers(OCR=1.0), enough))["strength_gain"]
    failed = verdicts(time_chapter(first, layers(OCR=1.0), too_much))["strength_gain"]

    assert free > 0
    assert (passed.state, failed.state) == ("pass", "fail")
    assert passed.utilisation == pytest.approx(0.9, rel=1e-5)
    assert passed.case["stage"] == "2 Final"


def test_gain_computed_is_credited_in_bearing_and_stability(chapters: Chapters) -> None:
    def computed(document: Any) -> None:
        document["stage"][1]["c_u_gain"] = "consolidation"

    done = chapters(timed(layers(OCR=1.0), computed))
    free = done["consolidation"].scopes["strength"]["Dc_uc"].array
    verdict = verdicts(done["consolidation"])["strength_gain"]

    assert verdict.state == "pass"
    assert "computed" in verdict.note
    assert done["bearing"]["Dc_u"].array == pytest.approx([0.0, 0.0, free[2]])
    assert done["stability"].scopes["undrained"]["Dc_u"].array == pytest.approx([0.0, 0.0, free[2]])
    assert ("stage 2 Final: as computed for its start") in {one.text for one in done["basis"].rests}
    table = next(one for one in done["stability"].tables if one.key == "handed-stages")
    assert table.rows[-1][-1] == f"{free[2]:.2f}"


def test_gain_computed_without_coefficients_credits_nothing(chapters: Chapters) -> None:
    def computed(document: Any) -> None:
        document["stage"][1]["c_u_gain"] = "consolidation"

    done = chapters(timed(computed, layers(c_h=None)))

    assert done["bearing"]["Dc_u"].array == pytest.approx(0.0)


def test_no_gain_counted_on_is_settled(first: Chapters) -> None:
    def none(document: Any) -> None:
        for name in ("c_u_gain", "c_u_gain_source"):
            document["stage"][1].pop(name)

    assert verdicts(time_chapter(first, none))["strength_gain"].note == "No stage counts on a gain of strength."


def test_degree_asked_for_at_the_start_of_a_stage(first: Chapters) -> None:
    scope = time_chapter(first).scopes["strength"]
    reached = float(scope["U_st"].at(stage="2 Final").array)
    low, high = (verdicts(time_chapter(first, stage(1, degree_min=reached * one))) for one in (0.9, 1.05))

    assert 0.2 < reached < 0.95
    assert low["degree_before"].state == "pass"
    assert high["degree_before"].state == "fail"
    assert verdicts(time_chapter(first))["degree_before"].required is False
    early = time_chapter(first, stage(0, consolidates=False), stage(1, degree_min=0.5))
    assert "before the start of: 2 Final" in verdicts(early)["degree_before"].note


def test_longer_wait_gives_more_degree_and_strength(first: Chapters) -> None:
    scopes = [
        time_chapter(first, layers(OCR=1.0), stage(1, start=start)).scopes["strength"]
        for start in ("60 d", "130 d", "300 d")
    ]

    for name in ("U_st", "Dc_uc"):
        values = [float(scope[name].at(stage="2 Final").array) for scope in scopes]
        assert values == sorted(values)
        assert values[0] < values[-1]


def test_ring_tension_and_pore_pressure_in_time(first: Chapters) -> None:
    done = first(timed())
    scope = done["consolidation"].scopes["tension"]
    cell = done["unit_cell"].scopes["settlement"]["F_Ri"]
    last = cell.at(stage="2 Final", position="centre", load="G+Q", stiffness="short-term").array

    assert scope["F_Rt"].at(course=AS_GIVEN, date="end of design life").array == pytest.approx(last, rel=1e-6)
    assert (scope["F_Rt"].array <= last + 1e-9).all()
    assert scope["u_mt"].at(date="end of design life").array == pytest.approx(0.0, abs=1e-6)
    end = scope["u_mt"].at(date="end of 1 First lift")
    assert (end.at(course=LOW).array >= end.at(course=HIGH).array).all()


def test_tables_and_figure_show_every_date_and_course(first: Chapters) -> None:
    sheet = time_chapter(first)
    tables = {one.key: one for one in sheet.tables}
    filled, settled = tracks(sheet)

    assert [row[0] for row in tables["course"].rows] == list(sheet.axes["date"])
    assert [row[0] for row in tables["sensitivity"].rows] == list(COURSES)
    assert len(tables["degrees"].rows) == len(tables["rates"].rows) == len(sheet.axes["layer"])
    assert tables["gains"].rows[-1][0] == "least"
    assert filled.curves[0].y[-1] == 6.0
    assert [curve.label for curve in settled.curves] == ["c_h as given", "c_h low", "c_h high"]


def test_platform_that_loads_counts_in_the_filling_diagram(first: Chapters) -> None:
    def platform(document: Any) -> None:
        document["platform"] = {"thickness": "0.8 m", "gamma": "18 kN/m^3", "role": "load"}

    def without_secondary(document: Any) -> None:
        layers(C_alpha=None, e_0=None)(document)

    sheet = time_chapter(first, platform, without_secondary)

    assert tracks(sheet)[0].curves[0].y[-1] == pytest.approx(6.8)


def test_one_stage_alone_and_a_last_one_that_passes(first: Chapters) -> None:
    """Filling in one step; nothing is asked before it. A state that passes does not load the ground for long."""

    def single(document: Any) -> None:
        del document["stage"][0]
        for name in ("c_u_gain", "c_u_gain_source"):
            document["stage"][0].pop(name)

    sheet = time_chapter(first, single)
    short = time_chapter(first, stage(1, consolidates=False))

    assert sheet.axes["date"] == ("end of 1 Final", "hand-over", "end of design life")
    assert "end of 2 Final" in short.axes["date"]
    assert verdicts(sheet)["settlement_with_time"].state == "pass"
    assert short.scopes["course"]["s_pf"].array < sheet.scopes["course"]["s_pf"].array


def test_model_without_the_table_is_refused(run_project: Callable[..., Any]) -> None:
    run = run_project()
    (part,) = run.sections

    with pytest.raises(LookupError, match="no table consolidation"):
        ground_in_time(run.design, part.section, {sheet.key: sheet for sheet in part.sheets})


def test_platform_as_the_only_step_is_the_end_of_filling(first: Chapters) -> None:

    def change(document: Any) -> None:
        timed()(document)
        document["platform"] = {"thickness": "0.8 m", "gamma": "18 kN/m^3", "role": "load"}
        document["stage"][0]["fill_height"] = "0 m"
        document["stage"][1]["consolidates"] = False

    sheet = first(change)["consolidation"]

    assert sheet.scopes["course"]["t_en"].array == pytest.approx(44.0)
