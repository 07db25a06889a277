"""The chapter of bearing and squeezing, from the project file to its verdicts, by hand calculations."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.sheet import Sheet, Verdict

Chapters = Callable[..., dict[str, Sheet]]
FINAL = "2 Final"
FIRST, SECOND = "EN 1997-1 DA1-1", "EN 1997-1 DA1-2"
A_C = np.pi * 0.4**2
A_E = A_C / (3**0.5 / 2 * 1.97**2)
SOIL = 0.7 * 11 + 1.8 * (11.2 - 9.81) + 4 * (14.5 - 9.81)  # effective weight of the soft layers by hand, kPa
COLUMN = 0.7 * 18 + 5.8 * (20 - 9.81)
SHARE = 1 / (1 + 2 * A_E)  # stress ratio 3


def found(sheet: Sheet, key: str) -> Verdict:
    return next(one for one in sheet.verdicts if one.key == key)


def reach(document: Any) -> None:
    document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}


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
    lowest = cell.labels("layer")[-1]
    for variant, factor, permanent, variable in ((FIRST, 1.0, 1.35, 1.5), (SECOND, 1.25, 1.0, 1.0)):
        phi = np.arctan(np.tan(np.radians(35)) / factor)
        N_q = np.exp(np.pi * np.tan(phi)) * np.tan(np.pi / 4 + phi / 2) ** 2
        q, gamma = SOIL + 0.5 * (20.5 - 9.81), 20.5 - 9.81
        weight = 0.5 * gamma * A_C**0.5 * 2 * (N_q - 1) * np.tan(phi) * 0.7
        G, GQ = (float(cell.at(variant=variant, layer=lowest, load=load).array) for load in ("G", "G+Q"))
        pressure = permanent * (COLUMN + 0.5 * (20 - 9.81) + G) + variable * (GQ - G)

        at = {"variant": variant, "stage": FINAL}
        assert scope["sigma_Rd"].at(**at).array == pytest.approx(q * N_q * (1 + np.sin(phi)) + weight)
        assert scope["sigma_td"].at(**at).array == pytest.approx(pressure)


def test_column_that_is_not_mobilised_carries_its_whole_cell(chapters: Chapters) -> None:
    def supported(document: Any) -> None:
        document["columns"]["K_star"] = 2.0
        document["stage"][0]["fill_height"] = "0.1 m"

    scope = chapters(supported)["bearing"].scopes["toe"]

    assert scope["Dsigma_vcG"].at(stage="1 First lift", variant=FIRST).array == pytest.approx(1.9 / A_E)


def test_clay_under_the_toes_is_verified_undrained_too(chapters: Chapters) -> None:
    """1.2 · (2 + π) · 150 / 1.4 and the overburden, by hand, in the set that factors strengths."""

    def clay(document: Any) -> None:
        document["section"][0]["bearing_layer"]["c_u"] = "150 kPa"

    bearing = chapters(clay)["bearing"]
    resistance = bearing.scopes["toe_undrained"]["sigma_Rd"].at(variant=SECOND, stage=FINAL)

    overburden = SOIL + 0.5 * (20.5 - 9.81)
    assert resistance.array == pytest.approx(1.2 * (np.pi + 2) * 150 / 1.4 + overburden)
    assert found(bearing, "toe_bearing_undrained").effect_symbol == "sigma_td"


def test_soft_ground_bears_its_share_by_hand(chapters: Chapters) -> None:
    """Uniform line of 25 kPa with the gain of 8; crest 12 m and slopes 1:2 of 6 m: strip of 24 m over 6.5 m."""
    bearing = chapters()["bearing"]
    scope = bearing.scopes["soft"]
    at = {"variant": SECOND, "stage": FINAL}

    assert bearing["p_sE"].at(**at).array == pytest.approx(SHARE * (19 * 6 + 1.3 * 20))
    assert bearing["p_sE"].at(variant=FIRST, stage=FINAL).array == pytest.approx(SHARE * (1.35 * 114 + 1.5 * 20))
    assert float(scope["B_t"].at(stage=FINAL).array) == pytest.approx(24.0)
    assert scope["q_ut"].at(**at).array == pytest.approx((4.14 + 0.5 * 24 / 6.5) * 33 / 1.4)
    assert scope["q_ug"].at(**at).array == pytest.approx((np.pi + 2) * 33 / 1.4)
    assert scope["q_ud"].at(**at).array == pytest.approx((4.14 + 0.5 * 24 / 6.5) * 33 / 1.4)


def test_squeezing_by_hand(chapters: Chapters) -> None:
    """No growth: the block is as thick as the soft ground, 4 c_u + c_u L / D with the strength on the soil's area."""
    bearing = chapters()["bearing"]
    scope, bare = bearing.scopes["squeeze"], bearing.scopes["untreated"]
    at = {"variant": SECOND, "stage": FINAL}
    strength = (1 - A_E) * 33 / 1.4
    resistance, pressure = strength * (4 + 12 / 6.5), 114 + 26

    assert scope["p_Rsq"].at(**at).array == pytest.approx(resistance)
    assert scope["F_sq"].at(**at).array == pytest.approx(resistance / (SHARE * pressure))
    assert scope["F_sq1"].at(**at).array == pytest.approx(resistance / pressure)
    assert scope["F_sqF"].at(**at).array == pytest.approx(strength * (4.14 + 2 * 12 / 6.5) / (SHARE * pressure))
    assert bare["F_sq"].at(**at).array == pytest.approx(25 / 1.4 * (4 + 12 / 6.5) / pressure)
    assert found(bearing, "squeeze").utilisation == pytest.approx(1 / float(scope["F_sq"].array.min()))


def test_only_the_early_state_is_stated_as_a_hold_point(chapters: Chapters) -> None:
    def strong(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = "80 kPa"
        del document["stage"][1]["c_u_gain"]

    keys = {one.key for one in chapters()["bearing"].limitations}

    assert {"squeeze-early", "strength-gain"} <= keys
    assert not {"squeeze-early", "strength-gain"} & {one.key for one in chapters(strong)["bearing"].limitations}


def test_strength_that_grows_squeezes_out_a_shallower_block(chapters: Chapters) -> None:
    """Critical thickness by search over all thicknesses of the block: the closed form finds the same least pressure."""

    def growing(document: Any) -> None:
        for layer, top in zip(document["section"][0]["layer"], (10, 20), strict=True):
            layer["c_u"], layer["c_u_growth"] = f"{top} kPa", "4 kPa/m"

    bearing = chapters(growing)["bearing"]
    at = {"variant": FIRST, "stage": FINAL}
    D = np.linspace(0.05, 6.5, 20_000)
    top, growth = (1 - A_E) * 18, (1 - A_E) * 4
    least = (4 * (top + growth * D / 2) + (top + growth * D) * 12 / D).min()

    assert bearing["rho_uk"].array == pytest.approx(4.0)
    assert bearing.scopes["squeeze"]["p_Rsq"].at(**at).array == pytest.approx(least, rel=1e-6)
    # The strip on growing strength: factor between 1.109 and 1.396 times (2 + π) c + ρ B / 4, here 4 · 24 / 18 = 5.33.
    whole = (np.pi + 2) * 18 + 4 * 24 / 4
    assert bearing.scopes["soft"]["q_ug"].at(**at).array == pytest.approx(whole * 1.3137, rel=1e-3)


def test_columns_must_reach_until_the_ground_bears_the_slope(chapters: Chapters) -> None:
    """Beyond the columns 25 kPa without gain: height h with γ h = 4 c + c n / D · h, by hand; rows of the grid."""
    bearing = chapters(reach)["bearing"]
    scope = bearing.scopes["edge"]
    at = {"variant": SECOND, "stage": FINAL}
    strength = 25 / 1.4
    height = 4 * strength / (19 - strength * 2 / 6.5)

    assert scope["h_e"].at(**at).array == pytest.approx(height)
    assert scope["b_f"].at(**at).array == pytest.approx(2 * (6 - height))
    assert scope["N_r"].at(**at).array == pytest.approx(2 * (6 - height) / (3**0.5 / 2 * 1.97))
    phi = np.arctan(np.tan(np.radians(32.5)) / 1.25)
    assert scope["b_v"].at(**at).array == pytest.approx(6 * np.tan(np.pi / 4 - phi / 2))
    assert scope["p_e"].at(**at).array == pytest.approx(19 * (6 - 9 / 2))
    assert scope["q_ud"].at(**at).array == pytest.approx((np.pi + 2) * strength)
    assert {found(bearing, key).state for key in ("column_rows", "field_for_load", "edge_bearing")} == {"pass"}


def test_height_that_the_ground_bears_is_in_equilibrium(chapters: Chapters) -> None:
    """At the outermost columns the block beyond them is squeezed out by just the fill that stands there."""

    def growing(document: Any) -> None:
        reach(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"], layer["c_u_growth"] = "8 kPa", "1 kPa/m"

    bearing = chapters(growing)["bearing"]
    at = {"variant": FIRST, "stage": FINAL}
    height = float(bearing.scopes["edge"]["h_e"].at(**at).array)
    top, growth = float(bearing["c_u0e"].at(**at).array), float(bearing["rho_ud"].at(**at).array)
    D = np.linspace(0.05, 6.5, 50_000)
    least = (4 * (top + growth * D / 2) + (top + growth * D) * 2 * height / D).min()

    assert least == pytest.approx(1.35 * 19 * height, rel=1e-5)


def test_field_that_is_too_narrow_fails(chapters: Chapters) -> None:
    def narrow(document: Any) -> None:
        document["field"] = {"beyond_left": "1 m", "beyond_right": "9 m"}

    bearing = chapters(narrow)["bearing"]

    assert found(bearing, "column_rows_left").state == "fail"
    assert found(bearing, "column_rows_right").state == "pass"


def test_missing_inputs_are_named(chapters: Chapters) -> None:
    def no_strength(document: Any) -> None:
        reach(document)
        del document["section"][0]["layer"][0]["c_u"]

    open_field, soft = chapters()["bearing"], chapters(no_strength)["bearing"]

    assert "field.beyond_left" in found(open_field, "column_rows").note
    assert {found(open_field, key).state for key in ("column_rows", "field_for_load", "edge_bearing")} == {
        "not verified"
    }
    assert "layer.peat.c_u" in found(soft, "squeeze").note
    assert found(soft, "toe_bearing").state == "pass"
    assert "layer_below" in found(open_field, "settlement_below_toe").note


def test_square_grid_has_rows_at_its_spacing(chapters: Chapters) -> None:
    def square(document: Any) -> None:
        document["columns"]["pattern"] = "square"

    assert float(chapters(square)["bearing"].scopes["edge"]["a_r"].array) == pytest.approx(1.97)


@pytest.mark.parametrize(("field", "share"), [({"hold_top": 0.5}, 0.5), ({"thrust_in_ground": 0.3}, -0.3)])
def test_shear_at_the_top_helps_or_drives(chapters: Chapters, field: dict[str, Any], share: float) -> None:
    def sheared(document: Any) -> None:
        document["field"] = field

    scope = chapters(sheared)["bearing"].scopes["squeeze"]
    strength = (1 - A_E) * 33

    expected = strength * (4 + (1 + share) * 12 / 6.5)
    assert scope["p_Rsq"].at(variant=FIRST, stage=FINAL).array == pytest.approx(expected)


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
    settled = chapters()["unit_cell"].scopes["settlement"]["s"]
    s = float(settled.at(stage=FINAL, position="centre", load="G+Q", stiffness="long-term").array)
    verdict = found(bearing, "settlement_below_toe")
    assert verdict.effect == pytest.approx(s + max(spread, half))
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


def test_loads_that_the_soft_ground_is_not_checked_for_leave_it_open(chapters: Chapters) -> None:
    open_load = found(chapters()["bearing"], "soft_ground_loads")

    assert open_load.state == "not verified"
    assert open_load.required
    assert "make-up fill" in open_load.note
