"""Chapter on consolidation: course, rates, residual settlement, what it leaves open."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import AS_GIVEN, HIGH, LOW, SCENARIOS
from calc.chapters.shared.ground_in_time import ground_in_time
from calc.package.results import results
from tests.chapters.timed import Change, Chapters, keys, layers, stage, time_chapter, timed, tracks, verdicts


def test_without_its_table_every_question_stays_open(first: Chapters) -> None:
    sheet = first()["consolidation"]

    assert {verdict.note for verdict in sheet.verdicts} == {"Not given: consolidation (field consolidation)."}
    assert all(verdict.state == "not verified" and verdict.required for verdict in sheet.verdicts)
    assert set(verdicts(sheet)) == {"settlement_residual", "settlement_with_time", "strength_gain", "degree_before",
                                    "ratio_before"}  # fmt: skip
    assert not sheet.scopes


def test_missing_coefficient_is_named(first: Chapters) -> None:
    sheet = time_chapter(first, layers(c_h=None))

    assert {verdict.note for verdict in sheet.verdicts} == {
        "Not given: coefficient of horizontal consolidation of “Peat”, “Organic clay” (field layer.c_h)."
    }


def test_stages_without_settlement_leave_it_open(first: Chapters) -> None:
    sheet = time_chapter(first, stage(0, fill_height="0 m"), stage(1, consolidates=False))

    assert {verdict.note for verdict in sheet.verdicts} == {
        "No stage with consolidation gives settlement by the unit cell."
    }


def test_course_rises_to_the_settlement_of_the_cell_and_faster_water_is_never_later(first: Chapters) -> None:
    done = first(timed())
    scope = done["consolidation"].scopes["course"]
    settled = scope["s_pt"].array
    cell = done["unit_cell"].scopes["settlement"]["s"]

    assert scope["s_pt"].axis_names == ("scenario", "date")
    assert (np.diff(settled, axis=1) >= -1e-12).all()
    assert settled[0, -1] == pytest.approx(
        cell.at(stage="2 Final", position="centre", load="G+Q", stiffness="end of construction").array, rel=1e-6
    )
    low, given, high = (scope["s_pt"].at(scenario=one).array for one in (LOW, AS_GIVEN, HIGH))
    assert (low <= given + 1e-12).all()
    assert (given <= high + 1e-12).all()
    assert (scope["U_cur"].array >= scope["U_fin"].array - 1e-12).all()


def test_load_taken_off_needs_the_share_of_swelling(first: Chapters) -> None:
    def passing(document: Any) -> None:
        first = dict(document["stage"][0]) | {"name": "Second", "start": "60 d", "traffic": False}
        document["stage"][0]["traffic"] = True
        document["traffic"]["q"] = "80 kPa"
        document["basis"]["psi_2"] = 1.0
        document["stage"].insert(1, first)

    def swelling(document: Any) -> None:
        document["consolidation"]["swelling"] = {"value": 0.1, "source": "oedometer tests, invented"}
        document["consolidation"]["early_traffic"] = "the load is a preload, invented"

    left = time_chapter(first, passing)
    held = time_chapter(first, passing, swelling)

    (note,) = {verdict.note for verdict in left.verdicts}
    assert note.startswith("A step of the programme lowers the final settlement")
    assert note.endswith("Not given: swelling (field consolidation.swelling).")
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


def test_sleeve_without_tension_counts_for_nothing(first: Chapters) -> None:
    """Slack that the first lift does not use up: what it adds consolidates as beside a column without sleeve."""

    def oversize(text: str) -> Any:
        def change(document: Any) -> None:
            document["sleeve"]["oversize"] = text

        return change

    tight, loose = (time_chapter(first, oversize(one)) for one in ("0 mm", "45 mm"))
    start = {"scenario": AS_GIVEN, "date": "start of 2 Final"}

    assert "slack-in-time" in keys(loose) - keys(tight)
    assert (loose.scopes["transfer_slack"]["f_tr"].array < loose.scopes["transfer"]["f_tr"].array).all()
    assert loose.scopes["course"]["U_cur"].at(**start).array < tight.scopes["course"]["U_cur"].at(**start).array


def test_rates_of_the_three_forms_stand_side_by_side(first: Chapters) -> None:
    scopes = time_chapter(first).scopes
    governing = scopes["transfer"]

    assert (governing["t_hm90"].array > governing["t_h90"].array).all()
    assert (scopes["transfer_elastic"]["f_tr"].array > governing["f_tr"].array).all()
    assert governing["t_hm"].array * governing["w_h"].array == pytest.approx(1.0)


def test_deviation_of_one_rate_is_stated_by_the_size_of_the_factor(first: Chapters) -> None:
    soft, stiff = time_chapter(first), time_chapter(first, layers(E_oed_ref="20 MPa"))

    assert "stiff-rates" in keys(soft)
    assert "closed-rates" not in keys(soft)
    assert stiff.scopes["transfer"]["f_tr"].array.max() < 2
    assert "stiff-rates" not in keys(stiff)
    assert "closed-rates" in keys(stiff)


def test_ring_tension_and_pore_pressure_in_time(first: Chapters) -> None:
    done = first(timed())
    scope = done["consolidation"].scopes["tension"]
    cell = done["unit_cell"].scopes["settlement"]["F_Ri"]
    last = cell.at(stage="2 Final", position="centre", load="G+Q", stiffness="short-term").array

    assert scope["F_Rt"].at(scenario=AS_GIVEN, date="end of design life").array == pytest.approx(last, rel=1e-6)
    assert (scope["F_Rt"].array <= last + 1e-9).all()
    assert scope["u_mt"].at(date="end of design life").array == pytest.approx(0.0, abs=1e-6)
    end = scope["u_mt"].at(date="end of 1 First lift")
    assert (end.at(scenario=LOW).array >= end.at(scenario=HIGH).array).all()


def test_tables_and_figure_show_every_date_and_course(first: Chapters) -> None:
    sheet = time_chapter(first)
    tables = {table.key: table for table in sheet.page.tables}
    filled, settled = tracks(sheet)

    assert [row[0] for row in tables["course"].rows] == list(sheet.axes["date"])
    assert [row[0] for row in tables["sensitivity"].rows] == list(SCENARIOS)
    assert len(tables["degrees"].rows) == len(tables["rates"].rows) == len(sheet.axes["layer"])
    assert tables["gains"].rows[-1][0] == "least"
    assert filled.curves[0].y[-1] == 6.0
    assert [curve.label for curve in settled.curves] == ["cₕ best estimate", "cₕ lower", "cₕ upper"]


def test_figure_shows_the_limits_that_are_given_from_hand_over_on(first: Chapters) -> None:
    def limits(total: str | None, rest: str | None) -> Change:
        def change(document: Any) -> None:
            given = {"settlement_total": total, "settlement_residual": rest}
            document["basis"]["limits"] = {name: value for name, value in given.items() if value}

        return change

    both = tracks(time_chapter(first, limits("1.2 m", "0.2 m")))[1]
    handed = next(y for x, y in zip(both.curves[0].x, both.curves[0].y, strict=True) if x == 500.0)

    assert [(level.value, level.late) for level in both.levels] == [
        (1200.0, True),
        (pytest.approx(handed + 200.0), True),
    ]
    assert tracks(time_chapter(first, limits(None, None)))[1].levels == ()


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
    assert [one for one in short.axes["date"] if "Final" in one] == ["start of 2 Final"]
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


def test_closed_forms_of_the_first_step_lie_near_the_procedure(first: Chapters) -> None:
    """One rate is quicker at the end and the vertical degree is a mean: a few per cent of the whole."""
    scope = time_chapter(first).scopes["by_hand"]
    alone = time_chapter(first, layers(c_v=None)).scopes["by_hand"]

    assert scope["U_t"].array == pytest.approx(scope["U_z"].array, abs=0.06)
    assert "U_t" not in alone
    assert alone["U_h"].array == pytest.approx(alone["U_z"].array, abs=0.06)


@pytest.mark.parametrize("change", [timed(), timed(layers(c_v=None)), timed(layers(C_alpha=None, e_0=None))])
def test_every_step_can_be_written_with_what_it_rests_on(run_project: Callable[..., Any], change: Any) -> None:
    (section,) = results(run_project(change))["sections"]
    steps = next(one for one in section["checks"] if one["key"] == "consolidation")["steps"]

    assert {step["symbol"] for step in steps} >= {"s_pt", "U_cur", "s_res", "Dc_uc", "F_Rt", "u_mt"}
