"""Extrusion in every stage, for a study: the wedge with what its columns rely on, or the soil alone, is one number."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.chain import Run, run_section
from calc.engine.sheet import Sheet, Verdict
from calc.inputs import read_design
from calc.study.replay import Replay
from tests.chapters.test_extrusion import soft
from tests.chapters.timed import Change, base_document, reach, sheets_of, verdicts

STATES = (("squeeze", "soft"), ("squeeze_lift", "soft_lift"))
Both = Callable[..., tuple[Sheet, Sheet]]


@pytest.fixture
def both(tmp_path: Path) -> Both:
    """The chapter on bearing as it is calculated, and with extrusion in every stage."""

    def made(*changes: Change) -> tuple[Sheet, Sheet]:
        document = base_document()
        for change in (reach, soft, *changes):
            change(document)
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        design = read_design(tmp_path)
        asked = replace(design, sections=(design.sections[0].with_wedge_in_every_stage(),))
        plain, every = (sheets_of(one, "bearing")["bearing"] for one in (design, asked))
        return plain, every

    return made


def strength(top: str) -> Change:
    """Ground with this strength all over, without a gain."""

    def change(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = top
        for stage in document["stage"]:
            stage.pop("c_u_gain", None)
            stage.pop("c_u_gain_source", None)

    return change


def least(sheet: Sheet, scope: str, symbol: str, stage: str) -> float:
    value = sheet.scopes[scope][symbol]
    value = value.at(stage=stage) if "stage" in value.axis_names else value
    return float(value.array[value.valid].min())


def rated(verdict: Verdict) -> dict[str, float]:
    """The utilisation of a verdict by stage."""
    assert verdict.utilisations is not None
    every = verdict.utilisations.largest("stage")
    labels = every.labels("stage")
    return {label: float(every.array[k]) for k, label in enumerate(labels) if every.valid[k]}


def passes(verdict: Verdict) -> bool:
    return verdict.state == "pass"


@pytest.mark.parametrize("top", ["18 kPa", "25 kPa", "35 kPa", "60 kPa"])
def test_it_passes_where_the_calculation_passes_and_has_a_number_in_every_stage(top: str, both: Both) -> None:
    """From ground that fails with its columns to ground that needs none."""
    plain, every = (verdicts(sheet) for sheet in both(strength(top)))

    for state, _ in STATES:
        assert passes(every[state]) == passes(plain[state])
        assert set(rated(every[state])) == {"1 First lift", "2 Final"}


@pytest.mark.parametrize("top", ["18 kPa", "25 kPa", "60 kPa"])
@pytest.mark.parametrize(("state", "alone"), STATES)
def test_it_is_the_better_of_the_soil_alone_and_the_worst_of_what_the_wedge_needs(
    top: str, state: str, alone: str, both: Both
) -> None:  # fmt: skip
    _, every = both(strength(top))

    verdict = verdicts(every)[state]
    assert verdict.sides is not None
    for stage, utilisation in rated(verdict).items():
        effect, resistance = (value.at(stage=stage) for value in (verdict.sides[0], every.scopes[state]["p_Rxd"]))
        assert effect.axis_names == resistance.axis_names
        wedge = float((resistance.array / effect.array)[effect.valid].min())
        ring = every.scopes["ring_reserve"]
        needed = np.nanmax(ring["F_Rd"].at(stage=stage).array) + 60.0 * float(ring["r_c"].array)
        sleeve = float(ring["R_Bd"].at(stage=stage).array) / needed
        needed = np.nanmax(every.scopes["wedge_held"]["T_ex"].at(stage=stage).array)
        held = least(every, "wedge_held", "T_acr", stage) / needed
        soil = least(every, alone, "F_so", stage)
        assert 1 / utilisation == pytest.approx(max(min(wedge, sleeve, held), soil), rel=1e-12)


def test_a_condition_that_leaves_the_calculation_without_a_number_is_one_here(both: Both) -> None:
    """Reinforcement that holds too little, with ground that does not bear its share: no verdict, and a fail."""

    def slack(document: Any) -> None:
        document["reinforcement"][0]["strength"] = "20 kN/m"

    plain, every = (verdicts(sheet) for sheet in both(strength("25 kPa"), slack))

    assert plain["squeeze"].state == "not verified"
    assert every["squeeze"].state == "fail"


def test_without_reinforcement_the_columns_never_count(both: Both) -> None:
    def bare(document: Any) -> None:
        del document["reinforcement"]

    plain, every = (verdicts(sheet) for sheet in both(strength("25 kPa"), bare))

    assert every["squeeze"].state == plain["squeeze"].state == "not verified"
    assert every["squeeze"].note == plain["squeeze"].note


def test_a_gain_of_strength_leaves_it_to_the_wedge(both: Both) -> None:
    """A stress field of the soil alone ends beyond the gain."""

    def gains(document: Any) -> None:
        document["stage"][1] |= {"c_u_gain": "1 kPa", "c_u_gain_source": "invented"}

    _, every = both(strength("60 kPa"), gains)

    soil = least(every, "soft", "F_so", "2 Final")
    assert rated(verdicts(every)["squeeze"])["2 Final"] > 1 / soil


def test_a_stage_with_a_gain_is_the_wedges_by_both_stress_ratios(both: Both) -> None:
    """A gain that the load on the cell does not bring: the soil alone bears its share, the wedge fails there."""

    def steep(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            layer["c_u"], layer["c_u_growth"] = "20 kPa", "2 kPa/m"
        document["stage"][1] |= {"c_u_gain": "60 kPa", "c_u_gain_source": "invented", "n_stability": 1.0}
        document["embankment"] |= {"slope_left": "1:1.5", "slope_right": "1:1.5"}
        document["field"] = {"beyond_left": "4 m", "beyond_right": "4 m", "thrust_in_ground": 0.9}
        document["reinforcement"][0]["strength"] = document["sleeve"]["strength"] = "900 kN/m"

    plain, every = (verdicts(sheet)["squeeze"] for sheet in both(steep))

    assert plain.state == every.state == "fail"
    assert every.utilisation == pytest.approx(plain.utilisation, rel=1e-12)


def test_a_gain_before_the_reinforcement_lies_leaves_it_not_verified(both: Both) -> None:
    """Neither the soil alone nor a wedge without reinforcement counts there: there is no number, as calculated."""

    def late(document: Any) -> None:
        document["reinforcement"][0]["level"] = "3.00 m"
        document["stage"][0] |= {"c_u_gain": "4 kPa", "c_u_gain_source": "invented"}

    plain, every = (verdicts(sheet) for sheet in both(strength("40 kPa"), late))

    for state, _ in STATES:
        assert every[state].state == plain[state].state == "not verified"
        assert every[state].note == plain[state].note


def test_thin_ground_before_the_reinforcement_lies_leaves_it_not_verified(both: Both) -> None:
    """Nor does the soil alone settle anything where circles may miss the mechanism of least load."""

    def late(document: Any) -> None:
        document["reinforcement"][0]["level"] = "3.00 m"
        for layer, thickness, top in zip(document["section"][0]["layer"], (0.5, 2.0), (30.0, 60.0), strict=True):
            layer |= {"thickness": f"{thickness} m", "c_u": f"{top} kPa", "c_u_growth": "60 kPa/m"}

    plain, every = (verdicts(sheet) for sheet in both(strength("30 kPa"), late))

    assert every["squeeze"].state == plain["squeeze"].state == "not verified"
    assert every["squeeze"].note == plain["squeeze"].note


def test_without_reinforcement_soil_that_bears_its_share_settles_it_as_calculated(both: Both) -> None:
    def bare(document: Any) -> None:
        del document["reinforcement"]

    plain, every = (verdicts(sheet) for sheet in both(strength("60 kPa"), bare))

    for state, _ in STATES:
        assert (every[state].state, every[state].note) == (plain[state].state, plain[state].note)
        assert passes(every[state])


def test_ground_that_numbers_make_thin_is_left_to_the_wedge_by_the_record(both: Both, tmp_path: Path) -> None:
    """Less strength and a faster increase together, neither by itself: there the soil alone settles nothing more."""

    def nearly_thin(document: Any) -> None:
        for layer, thickness, top in zip(document["section"][0]["layer"], (0.5, 2.0), (50.0, 69.0), strict=True):
            layer |= {"thickness": f"{thickness} m", "c_u": f"{top} kPa", "c_u_growth": "38 kPa/m"}
        del document["slip"]
        document["sleeve"]["strength"] = "160 kN/m"

    both(strength("50 kPa"), nearly_thin)
    design = read_design(tmp_path)
    section = design.sections[0].with_wedge_in_every_stage()
    asked = replace(design, sections=(section,))
    name, paths = "bearing/squeeze", ("layer.peat.c_u", "layer.peat.c_u_growth", "layer.clay.c_u_growth")
    replay = Replay(Run(asked, (run_section(asked, section),)), asked, section.key, [name], paths)

    values = {"layer.peat.c_u": 48.8, "layer.peat.c_u_growth": 39.0, "layer.clay.c_u_growth": 39.0}
    one_by_one = [replay({path: np.array([value])})[name][0] for path, value in values.items()]
    together = replay({path: np.array([value]) for path, value in values.items()})[name][0]

    assert max(one_by_one) < 1 < together
    replay.confirm(values)
