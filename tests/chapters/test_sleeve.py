"""The sleeve: utilisation by hand, both formats of its resistance, one that fails, one never taut."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chain import Run
from calc.engine.figure import Profile
from calc.engine.sheet import Sheet
from tests.chapters.settled import keys, state

Chapters = Callable[..., dict[str, Sheet]]


def test_utilisation_stands_for_every_sublayer(chapters: Chapters) -> None:
    sleeve = chapters()["sleeve"]
    table = next(table for table in sleeve.page.tables if table.key == "utilisation-factors")

    assert len(table.rows) == len(sleeve.axes["layer"])


def test_tension_is_drawn_for_every_stage_up_to_the_verdict_beside_the_strength(chapters: Chapters) -> None:
    sleeve = chapters()["sleeve"]
    verdict = next(verdict for verdict in sleeve.verdicts if verdict.key == "ring_tension")
    figure = next(figure for figure in sleeve.page.figures if figure.key == "tension-factors")

    assert isinstance(figure, Profile)
    (panel,) = figure.panels
    stages = [name for one in panel.series if not one.limit for name in one.label.split(", ")]
    assert stages == [label.partition(" ")[2] for label in sleeve.axes["stage"]]
    largest = max(force for one in panel.series if not one.limit for force in one.values)
    assert largest == pytest.approx(verdict.effect, abs=0.05)  # curves are told apart by 0.1 kN/m
    strengths = [one.values[0] for one in panel.series if one.limit]
    assert any(strength == pytest.approx(verdict.resistance, abs=0.05) for strength in strengths)


def test_sleeve_governs_over_all_sets_stages_and_sublayers(chapters: Chapters) -> None:
    """The printed utilisation recomputed by hand from F_R of the cell and the typed factors."""
    done = chapters()
    verdict = next(verdict for verdict in done["sleeve"].verdicts if verdict.key == "ring_tension")
    tension = done["unit_cell"].scopes["ring"]["F_Ri"].at(stage="2 Final", factor_set="EN 1997-1 DA1-1")
    permanent, whole, factored = (tension.at(combination=one).array for one in ("G", "G+Q", "factored actions"))
    by_hand = np.fmax(1.35 * permanent + 1.5 * (whole - permanent), factored)

    assert verdict.effect == pytest.approx(np.nanmax(by_hand))
    assert verdict.resistance == pytest.approx(400 / (1.5 * 1.1 * 1.05 * 1.4))
    assert verdict.case["stage"] == "2 Final"
    assert verdict.utilisation == pytest.approx((verdict.effect or 0) / (verdict.resistance or 1))


def test_required_strength_has_utilisation_one(chapters: Chapters) -> None:
    scope = chapters()["sleeve"].scopes["factors"]
    required = scope["R_req"]
    worst = float(required.array[required.valid].max())

    def just_strong(document: Any) -> None:
        document["sleeve"]["strength"] = f"{worst:.9f} kN/m"

    verdict = next(verdict for verdict in chapters(just_strong)["sleeve"].verdicts if verdict.key == "ring_tension")
    assert verdict.utilisation == pytest.approx(1.0, rel=1e-9)


def test_both_formats_of_resistance_stand_beside_each_other(chapters: Chapters) -> None:
    def both(document: Any) -> None:
        given = {"RF_CR": 1.5, "RF_ID": 1.1, "RF_W": 1.0, "RF_CH": 1.05, "R1": 1.1, "R2": 1.1}
        document["sleeve"]["iso20432"] = {key: {"value": value, "source": "invented"} for key, value in given.items()}

    def only_iso(document: Any) -> None:
        both(document)
        del document["sleeve"]["factors"]

    sleeve = chapters(both)["sleeve"]
    # Verification value of the format: 400 / (1.5·1.1·1.0·1.05·1.1414) = 202.3 kN/m, computed, not published.
    assert float(sleeve.scopes["iso20432"]["T_D"].array) == pytest.approx(202.3, abs=0.05)
    assert {verdict.key for verdict in sleeve.verdicts} >= {"ring_tension", "ring_tension_iso"}
    assert "ring_tension" not in {verdict.key for verdict in chapters(only_iso)["sleeve"].verdicts}


def test_weak_sleeve_fails_the_run(run_project: Callable[..., Run]) -> None:
    def weak(document: Any) -> None:
        document["sleeve"]["strength"] = "150 kN/m"

    run = run_project(weak)

    assert run.outcome == "fail"
    assert run.governing is not None
    assert run.governing[2].key == "ring_tension"


def test_large_ring_strain_is_a_limitation(chapters: Chapters) -> None:
    def slack(document: Any) -> None:
        for one in document["sleeve"]["stiffness"]:
            one["J"] = "1000 kN/m"

    assert "strain" in keys(chapters(slack)["sleeve"])


def test_sleeve_that_is_never_taut_is_not_verified(chapters: Chapters) -> None:
    def slack(document: Any) -> None:
        document["sleeve"]["oversize"] = "150 mm"
        given = {"RF_CR": 1.5, "RF_ID": 1.1, "RF_W": 1.0, "RF_CH": 1.05, "R1": 1.1, "R2": 1.1}
        document["sleeve"]["iso20432"] = {key: {"value": value, "source": "invented"} for key, value in given.items()}

    sleeve = chapters(slack)["sleeve"]

    assert state(sleeve, "ring_tension") == "not verified"
    assert state(sleeve, "ring_tension_iso") == "not verified"
    assert "does not stretch" in sleeve.page.notes[0]
