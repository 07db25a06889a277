"""Tension of the layers across that stability and the extruding wedge count on, by hand from strength and stiffness."""

from collections.abc import Callable
from math import log10
from typing import Any

import pytest

from calc.chapters.bearing.wedge_limits import STATES
from calc.engine.sheet import Sheet
from tests.chapters.mats import layer, verdict
from tests.chapters.slip_case import across, no_gain, searched, weak
from tests.chapters.test_bearing import FINAL
from tests.chapters.test_extrusion import field, soft
from tests.chapters.timed import reach

Chapters = Callable[..., dict[str, Sheet]]
LIFT = "1 First lift"
STRENGTH = 900 / 1.1**5  # before the partial factor of the material
J_LONG, J_END = 4000.0, 5000.0 - 1000.0 * log10(100.0) / log10(36525.0)
TRANSFER = {"full_arching_difference": "40 mm", "K_arching": 0.75, "load_shape": "triangular", "source": "invented"}


def strained(strain: float | None) -> Callable[[Any], None]:
    """This strain is allowed; the last stage is placed on day 100."""

    def change(document: Any) -> None:
        document["load_transfer"] = dict(TRANSFER) if strain is None else {**TRANSFER, "strain": strain}
        document["stage"][1]["start"], document["stage"][1]["duration"] = "80 d", "20 d"

    return change


@pytest.mark.parametrize("strain", [0.05, 0.2])
def test_stability_counts_no_more_than_the_strain_allowed_gives(chapters: Chapters, strain: float) -> None:
    """5 % of 4000 kN/m is less than the strength, 20 % is more; filling has the stiffness of its end, day 100."""
    stability = chapters(searched(weak, across, strained(strain)))["stability"]
    tension = stability.scopes["mobilised_0"]["T_mob"]

    for stage, gamma, stiffness in ((FINAL, 1.4, J_LONG), (LIFT, 1.3, J_END)):
        expected = min(STRENGTH / gamma, stiffness * strain)
        assert float(tension.at(stage=stage).array) == pytest.approx(expected, rel=1e-9)
        used = stability.scopes["slip"]["T_av"].at(stage=stage).array
        assert (used <= expected + 1e-9).all()
    assert "mobilised-strain" not in {limitation.key for limitation in stability.limitations}


def test_strength_is_derived_once_where_it_is_needed_first(chapters: Chapters) -> None:
    """The chapter on the reinforcement takes every value over; the lower of two formats is what stability counts."""
    iso = {name: {"value": 1.2, "source": "invented"} for name in ("RF_CR", "RF_ID", "RF_W", "RF_CH", "R1", "R2")}

    def both(document: Any) -> None:
        document["reinforcement"][0]["iso20432"] = iso

    done = chapters(searched(weak, across, strained(None), both))
    derived = [step for sheet in done.values() for step in sheet.steps if step.symbol in {"R_rd", "T_rDd", "R_rl"}]
    formulas = [step.key.split("/")[1:] for step in derived if step.formula]
    by_iso = 900 / (1.2**4 * (1 + (2 * 0.2**2) ** 0.5)) / 1.4

    assert [(chapter, scope) for chapter, scope, _ in formulas] == [("bearing", "strength_0")] * 3
    taken = [step for step in derived if step.scope == "across_strength"]
    assert [step.origins[0].path.split("/")[1:] for step in taken] == formulas[:2]
    assert float(done["bearing"].scopes["strength_0"]["T_rDd"].at(stage=FINAL).array) == pytest.approx(by_iso)
    counted = done["stability"].scopes["mobilised_0"]["T_mob"].at(stage=FINAL)
    assert float(counted.array) == pytest.approx(min(by_iso, STRENGTH / 1.4))


def test_a_smaller_strain_allowed_lowers_the_safety(chapters: Chapters) -> None:
    small, large = (
        chapters(searched(weak, across, strained(one)))["stability"].scopes["slip"]["F_Bi"].at(stage=FINAL).array
        for one in (0.01, 0.05)
    )

    assert (small < large).all()


def test_without_a_strain_allowed_the_strain_of_the_strength_stands_beside_the_verdicts(chapters: Chapters) -> None:
    stability = chapters(searched(across, strained(None), no_gain))["stability"]
    (limit,) = [limitation for limitation in stability.limitations if limitation.key == "mobilised-strain"]

    assert float(stability.scopes["mobilised_0"]["T_mob"].at(stage=FINAL).array) == pytest.approx(STRENGTH / 1.4)
    assert f"up to {100 * STRENGTH / 1.3 / J_LONG:.1f} %" in limit.text
    assert "global_stability" in limit.turns
    assert verdict(stability, "global_stability").state == "pass"


def test_without_reinforcement_no_strain_is_missed(chapters: Chapters) -> None:
    assert "mobilised-strain" not in {
        limitation.key for limitation in chapters(searched(no_gain))["stability"].limitations
    }


def test_the_wedge_counts_the_same_tension(chapters: Chapters) -> None:
    """Two layers, 5 % of 4000 kN/m each; 0.2 % does not hold the thrust."""

    def two(document: Any) -> None:
        document["reinforcement"].append(layer("two", "across", level="0.80 m"))

    def run(*changes: Callable[[Any], None]) -> Sheet:
        def change(document: Any) -> None:
            for one in (reach, soft, field(hold_top=0.5), two, lambda made: made.pop("slip"), *changes):
                one(document)

        return chapters(change)["bearing"]

    enough, little, free = run(strained(0.05)), run(strained(0.002)), run(strained(None))

    assert float(enough.scopes["wedge_held"]["T_acr"].at(stage=FINAL).array) == pytest.approx(2 * J_LONG * 0.05)
    # Thrust and strength print at the case in which the wedge governs, where something is placed.
    governing = max((verdict(enough, key) for key, _ in STATES), key=lambda one: one.utilisation or 0.0).case
    for name in ("wedge_held", "ring_reserve"):
        assert enough.page.case(name)["stage"] == governing["stage"]
    held, case = enough.scopes["wedge_held"], enough.page.case("wedge_held")
    assert None not in [value.number(case) for value in held.values.values()]
    assert verdict(enough, "squeeze").utilisation is not None
    assert "does not carry thrust" in verdict(little, "squeeze").note
    assert float(free.scopes["wedge_held"]["T_acr"].at(stage=FINAL).array) == pytest.approx(2 * STRENGTH / 1.4)
    (limit,) = [limitation for limitation in free.limitations if limitation.key == "mobilised-strain"]
    assert set(limit.turns) >= {key for key, _ in STATES}


def test_filling_beyond_the_last_value_given_has_its_stiffness(chapters: Chapters) -> None:
    """Values to day 60 only, and the filling ends on day 100: the last one counts, nothing is carried on beyond it."""

    def early(document: Any) -> None:
        document["reinforcement"][0]["stiffness"] = [
            {"name": "short", "time": "1 d", "J": "5000 kN/m"}, {"name": "long", "time": "60 d", "J": "4000 kN/m"},
        ]  # fmt: skip

    tension = chapters(searched(weak, across, strained(0.05), early))["stability"].scopes["mobilised_0"]["T_mob"]

    assert float(tension.at(stage=LIFT).array) == pytest.approx(4000 * 0.05)
