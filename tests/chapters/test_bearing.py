"""The chapter of bearing and squeezing, from the project file to its verdicts, by hand calculations."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.engine.sheet import Sheet, Verdict, settle_turns
from tests.chapters.timed import timed

Chapters = Callable[..., dict[str, Sheet]]
FINAL = "2 Final"
FIRST, SECOND = "EN 1997-1 DA1-1", "EN 1997-1 DA1-2"
A_C = np.pi * 0.4**2
A_E = A_C / (3**0.5 / 2 * 1.97**2)
SOIL = 0.7 * 11 + 1.8 * (11.2 - 9.81) + 4 * (14.5 - 9.81)  # effective weight of the soft layers by hand, kPa
COLUMN = 0.7 * 18 + 5.8 * (20 - 9.81)
SHARE = 1 / (1 + 2 * A_E)  # stress ratio 3


def found(sheet: Sheet, key: str) -> Verdict:
    return next(verdict for verdict in sheet.verdicts if verdict.key == key)


def below(document: Any) -> None:
    common = {"gamma_sat": "20 kN/m^3", "E": "50 MPa"}
    document["section"][0]["layer_below"] = [
        {"key": "sand-below", "name": "Sand", "thickness": "3 m", **common},
        {"key": "clay-below", "name": "Clay", "thickness": "4 m", **common, "E": "20 MPa"},
    ]


def test_toe_pressure_and_resistance_by_hand(chapters: Chapters) -> None:
    """Annex D written out with numbers: 35 degrees, no cohesion, embedment 0.5 m, square of the toe's area."""
    done = chapters()
    scope = done["bearing"].scopes["toe"]
    cell = done["unit_cell"].scopes["tension"]["Dsigma_vc"].at(stage=FINAL)
    ring = (
        done["unit_cell"].scopes["ring"]["Dsigma_vc"].at(stage=FINAL, combination="factored actions", point="mid-depth")
    )
    lowest = cell.labels("layer")[-1]
    for factor_set, factor, permanent, variable in ((FIRST, 1.0, 1.35, 1.5), (SECOND, 1.25, 1.0, 1.0)):
        phi = np.arctan(np.tan(np.radians(35)) / factor)
        N_q = np.exp(np.pi * np.tan(phi)) * np.tan(np.pi / 4 + phi / 2) ** 2
        q, gamma = SOIL + 0.5 * (20.5 - 9.81), 20.5 - 9.81
        weight = 0.5 * gamma * A_C**0.5 * 2 * (N_q - 1) * np.tan(phi) * 0.7
        G, GQ = (float(cell.at(factor_set=factor_set, layer=lowest, load=load).array) for load in ("G", "G+Q"))
        weight_of_column = COLUMN + 0.5 * (20 - 9.81)
        effects = permanent * (weight_of_column + G) + variable * (GQ - G)
        factored = ring.at(factor_set=factor_set, layer=lowest)
        pressure = max(effects, permanent * weight_of_column + float(factored.array))

        at = {"factor_set": factor_set, "stage": FINAL}
        assert scope["sigma_Rd"].at(**at).array == pytest.approx(q * N_q * (1 + np.sin(phi)) + weight)
        assert scope["sigma_td"].at(**at).array == pytest.approx(pressure)


def test_column_that_is_not_mobilised_carries_its_whole_cell(chapters: Chapters) -> None:
    def supported(document: Any) -> None:
        document["columns"]["K_star"] = 2.0
        document["stage"][0]["fill_height"] = "0.1 m"

    scope = chapters(supported)["bearing"].scopes["toe"]

    assert scope["Dsigma_vcG"].at(stage="1 First lift", factor_set=FIRST).array == pytest.approx(1.9 / A_E)


def test_clay_under_the_toes_is_verified_undrained_too(chapters: Chapters) -> None:
    """1.2 · (2 + π) · 150 / 1.4 and the overburden, by hand, in the set that factors strengths."""

    def clay(document: Any) -> None:
        document["section"][0]["bearing_layer"]["c_u"] = "150 kPa"

    bearing = chapters(clay)["bearing"]
    resistance = bearing.scopes["toe_undrained"]["sigma_Rd"].at(factor_set=SECOND, stage=FINAL)

    overburden = SOIL + 0.5 * (20.5 - 9.81)
    assert resistance.array == pytest.approx(1.2 * (np.pi + 2) * 150 / 1.4 + overburden)
    assert found(bearing, "toe_bearing_undrained").effect_symbol == "sigma_td"


def test_field_that_is_too_narrow_fails(chapters: Chapters) -> None:
    def narrow(document: Any) -> None:
        document["field"] = {"beyond_left": "1 m", "beyond_right": "9 m"}

    bearing = chapters(narrow)["bearing"]

    assert found(bearing, "column_rows_left").state == "fail"
    assert found(bearing, "column_rows_right").state == "pass"


def test_settlement_below_the_toes_by_hand(chapters: Chapters) -> None:
    """114 kPa and 0.3 · 20 on a strip of 24 m; sublayers of 1 m under 50 MPa to 3 m and 20 MPa to 7 m, summed here."""
    bearing = chapters(below)["bearing"]
    load = 114 + 6
    z = np.arange(7) + 0.5
    modulus = np.where(z < 3, 50_000, 20_000)
    spread = (load * 24 / (24 + z) / modulus).sum()
    angle = 2 * np.arctan(24 / (2 * z))
    half = (load / np.pi * (angle + np.sin(angle)) / modulus).sum()
    final = {"stage": FINAL}

    assert bearing.scopes["below"]["s_bS"].at(**final).array == pytest.approx(spread)
    assert bearing.scopes["below"]["s_bH"].at(**final).array == pytest.approx(half)
    settled = float(bearing.scopes["below"]["s_L"].at(**final).array)
    verdict = found(bearing, "settlement_below_toe")
    assert verdict.effect == pytest.approx(settled + max(spread, half))
    assert verdict.resistance == pytest.approx(1.2)


def test_settlement_without_a_limit_is_printed_for_judgement(chapters: Chapters) -> None:
    def free(document: Any) -> None:
        below(document)
        del document["basis"]["limits"]["settlement_total"]

    verdict = found(chapters(free)["bearing"], "settlement_below_toe")

    assert (verdict.state, verdict.required) == ("not verified", False)


def test_make_up_fill_loads_the_ground_below_too(chapters: Chapters) -> None:
    def made_up(document: Any) -> None:
        below(document)
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    plain, more = (chapters(one)["bearing"].scopes["below"] for one in (below, made_up))

    assert (more["Dsigma_t"].array > plain["Dsigma_t"].array).all()


def test_settlement_with_the_ground_below_takes_the_larger_of_the_two_cells(chapters: Chapters) -> None:
    done = chapters(below)
    at = {"stage": FINAL, "position": "centre", "load": "G+Q", "stiffness": "long-term"}
    s = float(done["unit_cell"].scopes["settlement"]["s"].at(**at).array)
    s_EP = float(done["unit_cell"].scopes["elastic_plastic"]["s_EP"].at(**at).array)
    scope = done["bearing"].scopes["below"]

    assert s != s_EP
    assert scope["s_L"].at(stage=FINAL).array == pytest.approx(max(s, s_EP))
    s_b = float(scope["s_b"].at(stage=FINAL).array)
    assert scope["s_tot"].at(stage=FINAL).array == pytest.approx(max(s, s_EP) + s_b)


def test_depth_of_the_layers_below_and_what_is_left_there_are_stated(chapters: Chapters) -> None:
    """7 m of layers; at 6.5 m the half-space still has more stress than the spread, 24 / 30.5 of 120 kPa = 94 kPa."""
    text = next(
        limitation.text for limitation in chapters(below)["bearing"].limitations if limitation.key == "below-toe-depth"
    )
    angle = 2 * np.arctan(24 / 13)

    assert "7 m" in text
    assert f"{120 / np.pi * (angle + np.sin(angle)):.0f} kN/m²" in text


def test_toe_pressure_of_a_clay_prints_at_its_own_case(chapters: Chapters) -> None:
    """Drained and undrained resistance each have the whole chain of the pressure beside them."""

    def clay(document: Any) -> None:
        document["section"][0]["bearing_layer"]["c_u"] = "150 kPa"

    bearing = chapters(clay)["bearing"]

    for key, scope in (("toe_bearing", "toe"), ("toe_bearing_undrained", "toe_undrained")):
        verdict = found(bearing, key)
        assert verdict.step == f"A/bearing/{scope}/sigma_td"
        assert verdict.resistance_step == f"A/bearing/{scope}/sigma_Rd"


def test_what_the_toe_check_leaves_out_is_stated(chapters: Chapters) -> None:
    def waters(document: Any) -> None:
        document["water"] = {"low": "-1.0 m", "mean": "-0.3 m", "high": "0.2 m"}
        document["section"][0]["bearing_layer"]["c_u"] = "150 kPa"

    done = {change: chapters(change) for change in (None, waters)}
    plain, more = (
        {limitation.key: limitation.text for limitation in sheets["bearing"].limitations} for sheets in done.values()
    )
    settle_turns([*done[waters].values()])
    turned = next(
        limitation.turns for limitation in done[waters]["bearing"].limitations if limitation.key == "toe-water-low"
    )
    assert {"toe_bearing", "toe_bearing_undrained", "ring_tension"} <= set(turned)

    assert "No undrained strength is given for the bearing layer" in plain["toe-drained"]
    assert "toe-drained" not in more
    assert not [key for key in plain if key.startswith("toe-water")]
    assert "not verified at the lowest water level given (low), which loads the columns" in more["toe-water-low"]
    assert "(high), which lowers the overburden" in more["toe-water-high"]
    assert "toe-punching" in plain


def test_without_a_course_in_time_nothing_of_a_lift_is_taken_over_by_the_columns(bearing: Callable[..., Sheet]) -> None:
    """A load taken off without a share of swelling leaves the chapter on consolidation open, and its c_h ungiven."""

    def lowered(document: Any) -> None:
        first = dict(document["stage"][0]) | {"name": "Second", "start": "60 d", "traffic": False}
        document["stage"][0]["traffic"] = True
        document["traffic"]["q"] = "80 kPa"
        document["basis"]["psi_2"] = 1.0
        document["stage"].insert(1, first)

    sheet = bearing(timed(lowered))

    assert float(sheet["U_L"].array) == 0.0
    assert sheet["U_L"].axes == ()
