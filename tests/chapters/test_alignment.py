"""Settlement along the alignment: what stands, what must fail, and what is left open."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.alignment.settlements import AFTER, GRADIENT_HAND, GRADIENT_LATER, HAND
from calc.chapters.alignment.steps import alignment
from calc.chapters.shared.frame import AS_GIVEN
from calc.engine.sheet import Sheet, Verdict
from tests.chapters.alignment_case import ROAD, Change, ends, follow, run, transition

BETWEEN = transition("0+100")
LIMITS = {"gradient_hand_over": 0.02, "gradient_residual": 0.005}
PLAIN = [*ends("0+000", "0+200"), BETWEEN]


def thinner(section: Any) -> None:
    """Soft ground of 2.5 m in place of 6.5 m, which settles much less."""
    section["layer"][1]["thickness"] = "0.5 m"
    section["layer"][0]["thickness"] = "2.0 m"


def two(second: Change | None, transitions: list[dict[str, Any]] | None = None, **limits: Any) -> Change:
    return follow(("0+000 to 0+100", None), ("0+100 to 0+200", second), transitions=transitions or PLAIN,
                  **(limits or LIMITS))  # fmt: skip


def verdicts(sheet: Sheet) -> dict[str, Verdict]:
    return {verdict.key: verdict for verdict in sheet.verdicts}


def at_joint(sheets: dict[str, Sheet], key: str, scope: str = GRADIENT_LATER, symbol: str = "i_f") -> float:
    value = sheets["alignment"].scopes[scope][symbol].at(transition=f"section {key} at 0+100")
    return float(value.array.max())


def test_two_sections_that_settle_alike_have_no_gradient_between_them(tmp_path: Path) -> None:
    _, found = run(tmp_path, two(None))

    assert at_joint(found["A"], "B") == at_joint(found["B"], "A") == 0.0
    assert at_joint(found["A"], "B", GRADIENT_HAND, "i_ho") == 0.0
    assert {verdict.state for verdict in found["A"]["alignment"].verdicts} == {"pass"}


def test_a_step_over_a_short_length_fails_and_over_a_long_one_stands(tmp_path: Path) -> None:
    """The same difference of settlement over 1 m and over 80 m, against 1:200 after hand-over."""
    states = {}
    for length in ("1 m", "80 m"):
        _, found = run(tmp_path, two(thinner, [*ends("0+000", "0+200"), transition("0+100", length)]))
        states[length] = {key: verdict.state for key, verdict in verdicts(found["A"]["alignment"]).items()}
        assert states[length] == {key: verdict.state for key, verdict in verdicts(found["B"]["alignment"]).items()}

    assert states["1 m"] == {"gradient_hand_over": "fail", "gradient_residual": "fail"}
    assert states["80 m"] == {"gradient_hand_over": "pass", "gradient_residual": "pass"}


def test_a_length_that_the_mean_slope_would_pass_fails_by_the_slope_in_the_middle(tmp_path: Path) -> None:
    """The mean slope is three quarters of 1:200, the slope in the middle of both parabolas one and a half of it."""
    _, found = run(tmp_path, two(thinner))
    apart = at_joint(found["A"], "B") * 20 / 2
    length = apart / (0.75 * LIMITS["gradient_residual"])
    _, found = run(tmp_path, two(thinner, [*ends("0+000", "0+200"), transition("0+100", f"{length:.3f} m")]))

    made = verdicts(found["A"]["alignment"])["gradient_residual"]
    assert made.state == "fail"
    assert made.effect == pytest.approx(1.5 * LIMITS["gradient_residual"], rel=1e-4)


def test_both_sections_of_a_transition_have_its_gradient_and_so_has_the_mirrored_alignment(tmp_path: Path) -> None:
    _, found = run(tmp_path, two(thinner))
    mirrored = follow(("0+100 to 0+200", None), ("0+000 to 0+100", thinner), transitions=PLAIN, **LIMITS)
    _, other = run(tmp_path, mirrored)

    gradient = at_joint(found["A"], "B")
    assert gradient > 0
    assert {at_joint(found["B"], "A"), at_joint(other["A"], "B"), at_joint(other["B"], "A")} == {gradient}


def test_gradient_is_the_difference_of_recorded_settlements_over_the_length(tmp_path: Path) -> None:
    """Residual settlements of the chapter on consolidation, with that below the toes, by hand: twice over 20 m."""
    _, found = run(tmp_path, two(thinner))
    left = {
        key: [float((own["consolidation"].scopes[name]["s_res"].at(scenario=AS_GIVEN)).array)
              + float(own["bearing"].scopes["rest"]["s_bre"].array) for name in ("residual", "residual_plastic")]
        for key, own in found.items()
    }  # fmt: skip

    value = found["A"]["alignment"].scopes[GRADIENT_LATER]["i_f"]
    for k, method in enumerate(value.labels("method")):
        case = {
            "scenario": AS_GIVEN,
            "date": "end of design life",
            "method": method,
            "transition": "section B at 0+100",
        }
        assert value.number(case) == pytest.approx(2 * abs(left["A"][k] - left["B"][k]) / 20)


def test_settlement_since_hand_over_grows_up_to_the_residual_settlement(tmp_path: Path) -> None:
    """What is worked out at a date goes over into what the chapter on consolidation has for the end."""
    _, found = run(tmp_path, two(None))
    sheet = found["A"]["alignment"]
    value = sheet.scopes[AFTER]["s_fs"]

    assert value.labels("date") == (
        "1 year after hand-over", "3 years after hand-over", "10 years after hand-over", "30 years after hand-over",
        "end of design life",
    )  # fmt: skip
    assert (value.array[:, 1:] >= value.array[:, :-1]).all()
    assert (value.array[:, 0] > 0).all()


def test_the_last_day_of_the_design_life_has_the_residual_settlement(tmp_path: Path) -> None:
    """A design life of 30 years and a day: after 30 years all but nothing is left to come."""

    def short(document: Any) -> None:
        document["basis"]["design_life"] = "30.003 a"

    _, found = run(tmp_path, two(None), short)
    value = found["A"]["alignment"].scopes[AFTER]["s_fs"].array

    assert value[:, -2] == pytest.approx(value[:, -1], rel=1e-3)


def test_a_structure_and_untreated_ground_count_as_stated_at_the_end_of_the_design_life(tmp_path: Path) -> None:
    abutment = transition("0+200", "10 m", to="structure", name="abutment", settlement_hand_over="10 mm",
                          settlement_residual="5 mm", source="design")  # fmt: skip
    _, found = run(tmp_path, two(None, [transition("0+000", **ROAD), BETWEEN, abutment]))
    sheet = found["B"]["alignment"]
    own = {name: sheet.scopes[name][symbol] for name, symbol in ((HAND, "s_hoa"), (AFTER, "s_fa"))}
    value = sheet.scopes[GRADIENT_LATER]["i_f"].at(transition="abutment at 0+200")

    assert value.at(date="10 years after hand-over").valid.any() == False  # noqa: E712 - an array of truth values
    assert value.reason == "stated for the end of the design life alone"
    end = own[AFTER].at(date="end of design life")
    assert value.at(date="end of design life").array == pytest.approx(2 * (end.array - 0.005) / 10)
    hand = sheet.scopes[GRADIENT_HAND]["i_ho"].at(transition="abutment at 0+200")
    assert hand.array == pytest.approx(2 * (own[HAND].array - 0.010) / 10)
    assert verdicts(sheet)["gradient_residual"].state == "fail"
    assert found["A"]["alignment"].axes["transition"] == ("untreated ground at 0+000", "section B at 0+100")


def test_what_passes_while_an_end_is_open_is_not_verified_and_what_fails_fails(tmp_path: Path) -> None:
    missing = "Not given: the transition at 0+200 (field alignment.transition)."
    open_end = [ends("0+000", "0+200")[0], BETWEEN]
    _, found = run(tmp_path, two(None, open_end))
    made = verdicts(found["B"]["alignment"])["gradient_residual"]
    assert (made.state, made.note, made.required) == ("not verified", missing, True)
    assert made.effect == 0.0
    assert verdicts(found["A"]["alignment"])["gradient_residual"].state == "pass"

    _, found = run(tmp_path, two(thinner, [open_end[0], transition("0+100", "1 m")]))
    assert verdicts(found["B"]["alignment"])["gradient_residual"].state == "fail"


def test_without_the_table_or_a_limit_nothing_is_asked(tmp_path: Path) -> None:
    _, found = run(tmp_path, follow(("north abutment", None), ("0+100 to 0+200", None), transitions=None))
    for own in found.values():
        assert [(verdict.stamp, verdict.note) for verdict in own["alignment"].verdicts] == [
            ("not required", "No limit is given (field alignment).")
        ] * 2
        assert not own["alignment"].page.tables

    _, found = run(tmp_path, two(None, PLAIN, gradient_residual=0.005))
    assert [verdict.stamp for verdict in found["A"]["alignment"].verdicts] == ["not required", "pass"]
    assert "i_ho" in found["A"]["alignment"].scopes[GRADIENT_HAND]


def test_a_section_that_is_not_run_or_lacks_its_settlement_in_time_leaves_the_question_open(tmp_path: Path) -> None:
    def bare(section: Any) -> None:
        for layer in section["layer"]:
            del layer["c_h"]

    _, found = run(tmp_path, two(bare))
    why = "Not given: settlement in time with secondary compression (chapter on consolidation)."
    assert verdicts(found["A"]["alignment"])["gradient_residual"].note == f"Section B: {why}"
    own = verdicts(found["B"]["alignment"])["gradient_residual"]
    assert (own.state, own.note, own.effect) == ("not verified", why, None)

    def without_ground_below(section: Any) -> None:
        del section["layer_below"]

    _, found = run(tmp_path, two(without_ground_below))
    lacking = "Not given: settlement of the ground below the toes in time (chapter on bearing)."
    assert verdicts(found["B"]["alignment"])["gradient_residual"].note == lacking


def test_a_part_of_the_sections_says_which_one_is_not_run(tmp_path: Path) -> None:
    design, found = run(tmp_path, two(None))
    alone = replace(design, sections=design.sections[:1])
    done = {key: one for key, one in found["A"].items() if key != "alignment"}

    made = verdicts(alignment(alone, alone.sections[0], done))["gradient_residual"]

    assert made.state == "not verified"
    assert made.note == "The section on the other side of 0+100 is not part of this run."


def test_unlike_rates_on_both_sides_are_told_and_turn_what_they_would_turn(tmp_path: Path) -> None:
    """Sections alike pass by 0; c_h at both ends of its range, one on each side, would part them more over 1 m."""

    def range_of_rates(document: Any) -> None:
        document["consolidation"] |= {"c_h_low": 0.3, "c_h_high": 3.0}

    turned = {}
    for length in ("1 m", "90 m"):
        _, found = run(tmp_path, two(None, [*ends("0+000", "0+200"), transition("0+100", length)]), range_of_rates)
        sheet = found["A"]["alignment"]
        one = next(one for one in sheet.limitations if one.key == "alignment-crossed")
        assert "With lower cₕ in one section and upper cₕ in the next" in one.text
        turned[length] = [made.key for made in sheet.verdicts if sheet.turning[one.key](made)]

    assert turned == {"1 m": ["gradient_hand_over", "gradient_residual"], "90 m": []}


def test_lower_edge_of_a_crest_that_falls_is_told_and_turns_what_it_would_turn(tmp_path: Path) -> None:
    """Sections alike at their higher edges pass by 0; the lower edge of B settles less, which parts them over 1 m."""

    def falls(section: Any) -> None:
        section["embankment"] = {"height_left": "5.4 m"}

    turned = {}
    for length in ("1 m", "90 m"):
        _, found = run(tmp_path, two(falls, [*ends("0+000", "0+200"), transition("0+100", length)]))
        for key in "AB":
            sheet = found[key]["alignment"]
            one = next(one for one in sheet.limitations if one.key == "alignment-crest")
            turned[key, length] = [made.key for made in sheet.verdicts if sheet.turning[one.key](made)]
            assert at_joint(found[key], "BA"["AB".index(key)]) < 1e-12
    both = ["gradient_hand_over", "gradient_residual"]

    assert turned == {("A", "1 m"): both, ("B", "1 m"): both, ("A", "90 m"): [], ("B", "90 m"): []}


def test_sections_that_are_handed_over_at_different_dates_are_told(tmp_path: Path) -> None:
    def later(section: Any) -> None:
        section["consolidation"] = {"drainage": "top", "hand_over": "900 d"}

    _, found = run(tmp_path, two(later))
    (said,) = [one.text for one in found["A"]["alignment"].limitations if one.key == "alignment-dates"]
    assert "(day 500 in section A, day 900 in section B)" in said
    _, found = run(tmp_path, two(None))
    assert "alignment-dates" not in [one.key for one in found["A"]["alignment"].limitations]


def test_a_table_has_every_transition_once(tmp_path: Path) -> None:
    _, found = run(tmp_path, two(thinner))
    for own in found.values():
        (table,) = own["alignment"].page.tables
        assert sorted(row[0] for row in table.rows) in (
            ["section A to section B at 0+100", "section A to untreated ground at 0+000",
             "section B to untreated ground at 0+200"],
            ["section A to untreated ground at 0+000", "section B to section A at 0+100",
             "section B to untreated ground at 0+200"],
        )  # fmt: skip
        joint = next(row for row in table.rows if "0+100" in row[0])
        assert float(joint[-1]) == pytest.approx(100 * at_joint(found["A"], "B"), abs=0.006)
        assert next(row for row in table.rows if "0+000" in row[0])[4:-1] == ["–"] * 4


def test_a_section_alone_is_compared_with_nothing_unless_the_project_asks(tmp_path: Path) -> None:
    one = ("0+000 to 0+100", None)
    _, found = run(tmp_path, follow(one, transitions=None))
    assert found["A"]["alignment"].steps == []
    assert found["A"]["alignment"].page.figures == []

    _, found = run(tmp_path, follow(one, transitions=ends("0+000", "0+100"), **LIMITS))
    assert [verdict.state for verdict in found["A"]["alignment"].verdicts] == ["pass", "pass"]
    assert [one.key for one in found["A"]["alignment"].limitations] == [
        "alignment-uniform", "alignment-below",
    ]  # fmt: skip
    assert [figure.key for figure in found["A"]["alignment"].page.figures] == ["long_section", "long_section_later"]


def limitation(sheet: Sheet, key: str) -> tuple[str, list[str]]:
    """What a limitation says, and the verdicts that it turns."""
    one = next(one for one in sheet.limitations if one.key == f"alignment-{key}")
    return one.text, [made.key for made in sheet.verdicts if sheet.turning[one.key](made)]


def over(length: str, second: Change | None = None) -> Change:
    return two(second, [*ends("0+000", "0+200"), transition("0+100", length)])


def reduced(section: Any) -> None:
    section["consolidation"] = {"drainage": "top", "hand_over": "500 d",
                                "secondary_reduction": {"value": 0.5, "source": "trial"}}  # fmt: skip


def all_reduced(document: Any) -> None:
    for section in document["section"]:
        reduced(section)


def test_what_the_factor_on_secondary_compression_takes_away_is_that_of_its_own_chapter(tmp_path: Path) -> None:
    """A is reduced by half and B is not: B loses nothing; over a long way nothing turns."""
    made = [*ends("0+000", "0+999"), transition("0+500", "400 m")]
    _, found = run(tmp_path, follow(("0+000 to 0+500", reduced), ("0+500 to 0+999", None), transitions=made, **LIMITS))
    whole = found["A"]["consolidation"].scopes["secondary_unreduced"]
    later, life = (float(whole[name].array) for name in ("Ds_seco", "Ds_secw"))

    kept = found["A"]["alignment"].kept["taken_away"]
    # Both methods may lose as much after hand-over; that of the chapter is one of them.
    same = np.isclose(kept[AFTER][0, -1], later, rtol=1e-6)
    assert np.isclose(kept[HAND][0, same], life - later, rtol=1e-6).sum() == 1
    assert (np.diff(kept[AFTER], axis=1) > 0).all()
    assert not found["B"]["alignment"].kept["taken_away"][AFTER].any()
    for key in "AB":
        text, turned = limitation(found[key]["alignment"], "secondary")
        assert "Without it, on both sides of a transition" in text
        assert turned == []


def test_the_factor_turns_a_verdict_beside_ground_that_does_not_move(tmp_path: Path) -> None:
    """Untreated ground that settles as the section does passes by little; without the factor the section moves more."""
    _, found = run(tmp_path, two(None), all_reduced)
    sheet = found["A"]["alignment"]
    values = {name: sheet.scopes[of][name].array for of, name in ((HAND, "s_hoa"), (AFTER, "s_fa"))}
    alike = {
        "settlement_hand_over": f"{1000 * values['s_hoa'].mean():.3f} mm",
        "settlement_residual": f"{1000 * values['s_fa'][:, -1].mean():.3f} mm",
    }
    more = sheet.kept["taken_away"][AFTER][:, -1].min()
    apart = values["s_fa"][:, -1].max() - values["s_fa"][:, -1].min()
    length = 2 * (apart + 0.5 * more) / LIMITS["gradient_residual"]
    made = [transition("0+000", f"{length:.2f} m", **{**ROAD, **alike}), BETWEEN, ends("0+000", "0+200")[1]]
    _, found = run(tmp_path, two(None, made), all_reduced)

    assert verdicts(found["A"]["alignment"])["gradient_residual"].state == "pass"
    assert "gradient_residual" in limitation(found["A"]["alignment"], "secondary")[1]


def test_without_a_factor_nothing_is_said_of_it(tmp_path: Path) -> None:
    _, found = run(tmp_path, two(None))
    assert "alignment-secondary" not in [one.key for one in found["A"]["alignment"].limitations]


def test_the_residual_part_below_the_toes_on_one_side_only_is_told_and_turns_what_it_would_turn(tmp_path: Path) -> None:
    """Sections alike pass by 0; with the part on one side alone they differ by it, by hand over a millimetre short."""
    _, found = run(tmp_path, two(None))
    part = float(found["A"]["bearing"].scopes["rest"]["s_bre"].array)
    assert part > 0
    limit = LIMITS["gradient_residual"]
    turned = {}
    for share, expected in ((0.9, ["gradient_residual"]), (1.1, [])):
        _, found = run(tmp_path, over(f"{share * 2 * part / limit:.4f} m"))
        text, turned[share] = limitation(found["A"]["alignment"], "below")
        assert f"{100 * limit / share:.2f} % by that after it" in text
        assert [one for one in turned[share] if one == "gradient_residual"] == expected
        scopes = found["A"]["alignment"].scopes
        crossed = max(float(scopes[f"crossed_{GRADIENT_LATER}_{one}"]["i_x"].array.max()) for one in ("low", "high"))
        both = 100 * (crossed + limit / share)
        assert f"{both:.2f} % by that after it" in limitation(found["A"]["alignment"], "crossed")[0]


def test_radius_is_printed_where_the_gradient_changes(tmp_path: Path) -> None:
    _, found = run(tmp_path, two(thinner))
    scope = found["A"]["alignment"].scopes[GRADIENT_HAND]
    joint = {"scenario": AS_GIVEN, "method": "standard", "transition": "section B at 0+100"}
    gradient = scope["i_ho"].number(joint)
    assert gradient
    assert scope["R_ho"].number(joint) == pytest.approx(20 / (2 * gradient))

    _, found = run(tmp_path, two(None))
    alike = found["A"]["alignment"].scopes[GRADIENT_LATER]["R_f"]
    assert alike.number({**joint, "date": "end of design life"}) is None
    assert "no change of gradient" in alike.reason
