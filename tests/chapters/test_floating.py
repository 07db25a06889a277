"""Columns that end in soft ground, from project file to verdicts: shaft and toe, settlement, time, stability."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.bearing.below_in_time import Undrained, undrained_layers
from calc.engine.sheet import Sheet
from calc.inputs.tables.ground import LayerBelow
from tests.chapters.settled import state
from tests.chapters.timed import Change, Chapters, first_chapters, keys, reach, timed, verdicts

approx = pytest.approx
FINAL = {"stage": "2 Final", "position": "centre", "load": "G+Q", "stiffness": "long-term"}
CLAY = {"key": "clay-below", "name": "Clay below", "thickness": "4 m", "gamma_sat": "16 kN/m^3", "E": "3 MPa",
        "c_v": "1 m^2/a"}  # fmt: skip
SAND = {"key": "sand-below", "name": "Sand below", "thickness": "3 m", "gamma_sat": "20 kN/m^3", "E": "60 MPa",
        "drains": True}  # fmt: skip
SHAFT = {"alpha": 0.6, "K": 0.8, "delta": "20 deg", "N_c": 9.0, "toe_share": 0.5, "c_u": "20 kPa", "soft_below": "4 m",
         "source": "invented"}  # fmt: skip


def on_soft_ground(document: Any) -> None:
    """The toes stand in soft ground, and nothing counts on more load on the columns than on the soil."""
    document["columns"]["embedment"] = "0 m"
    document["section"][0]["bearing_layer"].update(firm=False, phi="24 deg", c="2 kPa", gamma_sat="16 kN/m^3",
                                                   gamma="15.5 kN/m^3")  # fmt: skip
    document["section"][0]["layer_below"] = [CLAY, SAND]
    document["columns"]["spacing"] = "1.60 m"
    document["traffic"]["q"] = "5 kPa"
    document["embankment"]["height"] = "1.8 m"
    for stage, height in zip(document["stage"], ("0.5 m", "1.8 m"), strict=True):
        stage.update(n_stability=1, fill_height=height)
    for name in ("c_u_gain", "c_u_gain_source"):
        document["stage"][1].pop(name)


def floating(*changes: Change, **values: Any) -> Change:
    """The test project on floating columns with these values of the table, then changed."""

    def change(document: Any) -> None:
        timed(on_soft_ground, reach)(document)
        document["columns"]["floating"] = {**SHAFT, **values}
        for one in changes:
            one(document)

    return change


def end_bearing(document: Any) -> None:
    """The same without the table: the toes do not move."""
    timed(on_soft_ground, reach)(document)


@pytest.fixture(name="first")
def _first(tmp_path: Path) -> Chapters:
    return first_chapters(tmp_path, "bearing")


def final(sheet: Sheet, scope: str, name: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    value = sheet.scopes[scope][name]
    return np.asarray(value.at(**{axis: label for axis, label in FINAL.items() if axis in value.axis_names}).array)


def height(given: str) -> Change:
    def change(document: Any) -> None:
        document["embankment"]["height"] = given
        document["stage"][1]["fill_height"] = given

    return change


def test_what_shaft_and_toe_pass_on_by_hand(first: Chapters) -> None:
    """Half of 9 · 20 kPa, and the overburden less the weight of the column: 32.0 and 72.0 kPa by hand."""
    cell = first(floating())["unit_cell"]
    scope = cell.scopes["shaft"]
    soil = 0.7 * 11 + 1.8 * (11.2 - 9.81) + 4 * (14.5 - 9.81)
    column = 0.7 * 18 + 5.8 * (20 - 9.81)
    tau = np.minimum(0.6 * 25, 0.8 * cell["sigma_v0s"].array[-1] * np.tan(np.radians(20)))

    assert scope["Dsigma_B"].array == approx(np.full(3, 90 + soil - column))
    assert scope["tau_sh"].array[-1] == approx(tau)
    assert scope["Dsigma_sh"].array[-1] == approx(4 * tau * cell["h"].array / 0.8)


def test_settlement_within_the_sharing_length_is_that_of_the_soil_alone(first: Chapters) -> None:
    cell = first(floating())["unit_cell"]
    share, column, soil = (final(cell, "settlement", name) for name in ("f_lt", "s_ic", "s_iu"))
    plain = first(end_bearing)["unit_cell"]

    assert share[-1] == 1.0
    assert share[0] == 0.0
    assert column == approx(final(plain, "settlement", "s_i"))
    assert final(cell, "settlement", "s") == approx(((1 - share) * column + share * soil).sum())
    assert final(cell, "elastic_plastic", "s_EP") > final(plain, "elastic_plastic", "s_EP")
    assert final(cell, "settlement", "s_pen") == approx((share * (soil - column)).sum())


def test_a_share_of_the_toe_that_its_penetration_does_not_mobilise_is_stated(first: Chapters) -> None:
    """Half of the bearing at 92 mm of penetration is there, of the 40 needed; with a short sharing length it is not."""
    held, loose = first(floating())["unit_cell"], first(floating(c_u="45 kPa", toe_share=0.9))["unit_cell"]

    assert final(held, "settlement", "s_Bn") == approx(0.5 * 0.8 / 10)
    assert final(held, "settlement", "s_pen") > final(held, "settlement", "s_Bn")
    assert final(loose, "settlement", "s_pen") < final(loose, "settlement", "s_Bn")
    assert "toe-share" not in keys(held)
    assert "toe-share" in keys(loose)


def test_toes_in_ever_stronger_ground_settle_as_on_a_firm_layer_to_the_digit(first: Chapters) -> None:
    strong = first(floating(c_u="5000 kPa", toe_share=1.0))
    plain = first(end_bearing)

    for scope, name in (("settlement", "s"), ("elastic_plastic", "s_EP"), ("elastic", "s_el"), ("ring", "F_Ri")):
        one, other = (done["unit_cell"].scopes[scope][name] for done in (strong, plain))
        assert np.array_equal(one.array, other.array, equal_nan=True)
    assert strong["unit_cell"].scopes["settlement"]["l_t"].array.max() == 0.0


def test_a_low_bank_stands_on_shaft_and_toe_and_a_high_one_on_weak_ground_must_fail(first: Chapters) -> None:
    low = first(floating())
    weak = first(floating(height("6 m"), c_u="5 kPa", N_c=6.2, alpha=0.2, K=0.3))

    assert state(low["unit_cell"], "sharing_length") == "pass"
    assert {state(low["bearing"], key) for key in ("shaft_and_toe", "shaft_and_toe_undrained")} == {"pass"}
    assert state(weak["unit_cell"], "sharing_length") == "fail"
    assert state(weak["bearing"], "shaft_and_toe_undrained") == "fail"


def test_resistance_of_shaft_and_toe_by_hand(first: Chapters) -> None:
    """DA1-2: c_u over 1.4, tan δ over 1.25; the toe with the whole of 9 c_u and the overburden."""
    done = first(floating())
    scope = done["bearing"].scopes["toe_undrained"]
    case = {"factor_set": "EN 1997-1 DA1-2", "stage": "2 Final"}
    stress, h = done["ground"]["sigma_v0s"].array[-1], done["ground"]["h"].array
    tau = np.minimum(0.6 * 25 / 1.4, 0.8 * stress * np.tan(np.radians(20)) / 1.25)
    soil = 0.7 * 11 + 1.8 * (11.2 - 9.81) + 4 * (14.5 - 9.81)

    assert scope["sigma_Rd"].number(case) == approx(9 * 20 / 1.4 + soil + (4 * tau * h / 0.8).sum())
    largest = done["unit_cell"].scopes["tension"]["Dsigma_vc"].at(**case, load="G+Q").array.max()
    assert scope["Dsigma_vcGQ"].number(case) == approx(largest)
    assert "toe-annex-d" not in keys(done["bearing"])


def test_a_longer_column_never_settles_more_in_even_ground(first: Chapters) -> None:
    """12 m of one clay of constant modulus over stiff sand, columns of 5, 7 and 9 m, below them the clay alone."""

    def long(length: float) -> float:
        def change(document: Any) -> None:
            ground = document["section"][0]
            clay = ground["layer"][1]
            clay.update(thickness=f"{length} m", m=0.0, E_oed_ref="1500 kPa", c_u="20 kPa")
            ground["layer"] = [clay]
            rest = {**CLAY, "thickness": f"{12 - length} m", "E": "1500 kPa"}
            ground["layer_below"] = [rest, {**SAND, "E": "10000 MPa"}]

        done = first(floating(change, soft_below=f"{12 - length} m"))
        return float(done["bearing"].scopes["below"]["s_tot"].array.max())

    found = [long(length) for length in (5.0, 7.0, 9.0)]

    assert found == sorted(found, reverse=True)
    assert found[0] > 1.1 * found[2]


def test_column_that_carries_the_whole_load_somewhere_is_taken_with_it(first: Chapters) -> None:
    """A sublayer that the cell does not bring to its active state has no number: the whole load of the cell counts."""
    done = first(floating(lambda document: document["columns"].update(K_star=2.0), height("0.9 m")))
    cell, toe = done["unit_cell"].scopes["tension"]["Dsigma_vc"], done["bearing"].scopes["toe"]
    case = {"factor_set": "EN 1997-1 DA1-1", "stage": "2 Final"}

    assert not cell.at(**case, load="G+Q").valid.all()
    assert toe["Dsigma_vcGQ"].number(case) == approx(toe["sigma_cw"].number(case))


def test_soft_ground_thicker_than_the_block_is_wide_is_not_verified(first: Chapters) -> None:
    """The block is 12 + 2 · 9 m wide."""
    thick = {**CLAY, "thickness": "31 m"}
    sheet = first(floating(lambda document: document["section"][0].update(layer_below=[thick, SAND]),
                           soft_below="31 m"))["bearing"]  # fmt: skip

    assert state(first(floating())["bearing"], "soft_below_block") == "pass"
    assert verdicts(sheet)["soft_below_block"].state == "not verified"
    assert "no" in verdicts(sheet)["soft_below_block"].note


def test_soft_ground_reaches_down_to_firm_ground_with_its_own_strength(first: Chapters) -> None:
    """Layers of 25 kPa over 4 m of 20 kPa: the line below them all falls to the weaker ground, 10.5 m deep."""
    sheet = first(floating())["bearing"]

    assert float(sheet["t_soft"].array) == approx(10.5)
    assert float(sheet["c_umk"].array) == approx(20.0)
    assert float(np.nanmax(sheet.scopes["untreated"]["D_sq"].array)) == approx(10.5)


def test_wedge_below_floating_columns_has_none(first: Chapters) -> None:
    """Where the soil alone is open and no wedge holds without columns, nothing is verified; else that wedge decides."""
    flat = first(floating(height("3 m"), slip, slopes("1:8"), c_u="16 kPa"))["bearing"]
    weak = first(floating(height("3 m"), slip, slopes("1:2"), c_u="16 kPa"))["bearing"]

    for key in ("squeeze_lift", "squeeze"):
        decided = verdicts(flat)[key]
        assert (decided.state, decided.effect_symbol) == ("pass", "p_x")
        assert state(weak, key) == "not verified"
    assert "do not stand in a firm layer" in verdicts(weak)["squeeze"].note


def slip(document: Any) -> None:
    document["slip"] = {"water_mode": "vertical", "min_depth": "2 m", "drained": False}


def slopes(run: str) -> Change:
    return lambda document: document["embankment"].update(slope_left=run, slope_right=run)


def below(*given: dict[str, Any]) -> Change:
    return lambda document: document["section"][0].update(layer_below=list(given))


def rest(first: Chapters, *changes: Change, **values: Any) -> float:
    return float(first(floating(*changes, **values))["bearing"].scopes["rest"]["s_bre"].array)


def test_what_is_left_below_the_toes_lies_between_drained_and_slow_ground(first: Chapters) -> None:
    whole = float(first(floating())["bearing"].scopes["below"]["s_b"].array.max())
    fast = rest(first, below({**CLAY, "c_v": "1e5 m^2/a"}, SAND))
    slow = rest(
        first, below(*({**one, "drains": False, "c_v": "1e-6 m^2/a"} for one in (CLAY, SAND))), soft_below="7 m"
    )
    drained = rest(first, below({**CLAY, "drains": True}, SAND))
    both = rest(first)
    one = rest(first, below(CLAY, {**SAND, "drains": False, "c_v": "1000 m^2/a"}), soft_below="7 m")

    assert fast == approx(drained, rel=1e-6)
    assert slow == approx(whole, rel=1e-3)
    assert drained < both < one < whole


def test_excess_weight_of_the_columns_loads_the_ground_below_and_that_within_the_sharing_length(
    first: Chapters,
) -> None:
    """Weights of soil and column down to the toes by hand, as in the first test."""
    done = first(floating())
    cell, below, rest_of = done["unit_cell"], done["bearing"].scopes["below"], done["bearing"].scopes["rest"]
    soil = 0.7 * 11 + 1.8 * (11.2 - 9.81) + 4 * (14.5 - 9.81)
    weight = float(cell["a_E"].array) * (0.7 * 18 + 5.8 * (20 - 9.81) - soil)
    load = float(final(cell, "settlement", "Dsigma_0"))
    last = final(cell, "settlement", "Dsigma_0lt")[-1] - load

    assert below["Dsigma_t"].array == approx(load + weight)
    assert float(rest_of["p_fin"].array) == approx(load + weight)
    assert 0.9 * weight < last < weight


def test_sublayers_within_the_sharing_length_consolidate_as_soil_alone(first: Chapters) -> None:
    floats, plain = first(floating()), first(end_bearing)
    share = floats["consolidation"].scopes["transfer"]["f_lt"].array
    one, other = (done["consolidation"].scopes["transfer"]["f_tr"].array for done in (floats, plain))

    assert (one[share > 0] == 1.0).all()
    assert one[share == 0] == approx(other[share == 0])
    assert other.min() > 1.0
    assert {0.0, 1.0} <= set(share.tolist())


def test_readings_within_the_sharing_length_are_those_of_soil_alone(tmp_path: Path) -> None:
    """There all of the load is pore pressure at loading, and drains without load transfer; above it nothing moves."""
    until = first_chapters(tmp_path, "monitoring")
    floats, plain = until(floating()), until(end_bearing)
    transfer = floats["consolidation"].scopes["transfer"]
    share, load = transfer["f_lt"].array, final(floats["unit_cell"], "settlement", "Dsigma_0lt")
    one, other = (done["monitoring"].scopes["expected"]["u_ob"].array.max(axis=(0, 1)) for done in (floats, plain))

    assert transfer["u_e0"].array[share > 0] == approx(load[share > 0])
    assert transfer["u_e0"].array[share == 0] == approx(float(plain["consolidation"].scopes["transfer"]["u_e0"].array))
    assert (one[share > 0] > 1.3 * other[share > 0]).all()
    assert one[share == 0] == approx(other[share == 0])


def test_no_date_of_hand_over_is_printed_and_what_is_left_out_below_is_said(first: Chapters) -> None:
    """Ground below the toes settles after hand-over too; no stress ratio is relied on, so that none is to be proven."""
    done, plain = first(floating(low)), first(end_bearing)
    date = done["consolidation"].scopes["residual"]["t_res"]

    assert not date.valid.any()
    assert "below the toes" in date.reason
    assert plain["consolidation"].scopes["residual"]["t_res"].valid.any()
    assert any("no date is given" in limitation.text for limitation in done["consolidation"].limitations)
    assert "secondary-below" in keys(done["bearing"])
    assert "secondary-below" not in keys(plain["bearing"])
    assert "stress-ratio-proof" in keys(plain["bearing"])
    assert not {"stress-ratio-proof", "soft-early"} & keys(done["bearing"])


def low(document: Any) -> None:
    """A limit that the residual settlement with lower c_h exceeds."""
    document["basis"]["limits"]["settlement_residual"] = "1 mm"


def test_degree_below_the_toes_by_hand(first: Chapters) -> None:
    """4 m between toes and sand, half of it the path; the load lies from day 158 to hand-over on day 500."""
    time = first(floating())["bearing"].scopes["below_time"]
    U = time["U_db"].array
    factor = 1.0 / 365.25 * (500 - 158) / 2.0**2

    assert time["T_vb"].array[:4] == approx(np.full(4, factor), rel=1e-3)
    assert U[:4] == approx(np.full(4, np.sqrt(4 * factor / np.pi)), abs=0.005)
    assert U[4:].tolist() == [1.0] * 3


def test_stretches_lie_between_planes_where_water_leaves() -> None:
    def layer(key: str, thickness: float, c_v: float | None) -> LayerBelow:
        return LayerBelow.model_construct(key=key, name=key, thickness=thickness, gamma_sat=16.0, E=1e3,
                                          drains=c_v is None, c_v=c_v)  # fmt: skip

    sand = layer("sand", 1.0, None)
    found = undrained_layers((layer("a", 2.0, 0.3), layer("b", 4.0, 0.2), sand, sand, layer("c", 5.0, 0.1)))

    assert found == [Undrained(3.0, 0.2), Undrained(3.0, 0.2), None, None, Undrained(5.0, 0.1)]


def test_slip_surfaces_pass_below_the_toes_with_the_strength_there(tmp_path: Path) -> None:
    """The same section over weaker ground from the toes down: circles and blocks have less, and reach down to it."""
    search = {"water_mode": "vertical", "min_depth": "3 m", "drained": False, "centres": 4, "levels": 4, "slices": 10}
    run = first_chapters(tmp_path, "stability")

    def over(strength: str) -> Sheet:
        def change(document: Any) -> None:
            document["slip"] = dict(search)
            document["basis"]["factor_sets"] = ["EN 1997-1 DA1-2"]

        return run(floating(change, height("2.5 m"), c_u=strength))["stability"]

    weak, firm = over("6 kPa"), over("60 kPa")
    for scope, name in (("slip", "F_Bi"), ("blocks", "F_bl")):
        least, most = (float(one.scopes[scope][name].at(stage="2 Final").array.min()) for one in (weak, firm))
        assert least < 0.8 * most

    assert float(weak.scopes["slip_places"]["z_bot"].array) == approx(0.4 - 10.5)
    assert float(weak["V_toe"].array) == 0.0
    assert not any(
        limitation.key.startswith("slip-edge") and "touches" in limitation.text for limitation in weak.limitations
    )


def test_readings_expected_below_the_toes_follow_in_time(tmp_path: Path) -> None:
    """At hand-over no more has come than by the bearing chapter, which gives all load the age of its last step."""
    run = first_chapters(tmp_path, "monitoring")
    slow, fast = (run(floating(below({**CLAY, "c_v": c_v}, SAND))) for c_v in ("1 m^2/a", "1e5 m^2/a"))
    readings, time = slow["monitoring"].scopes["expected"], slow["bearing"].scopes["below_time"]
    settled = float(readings["s_bob"].at(date="hand-over").array)
    held = float(max(time["s_bhS"].array.max(), time["s_bhH"].array.max()))
    quick = fast["monitoring"].scopes["expected"]

    assert held <= settled * (1 + 1e-9)
    assert settled < float(readings["s_b"].array)
    assert np.all(np.diff(readings["s_bob"].array) >= -1e-12)
    assert quick["r_bo"].at(date="end of design life").array == approx(1.0)
    assert quick["r_bo"].at(date="hand-over").array == approx(
        quick["p_ob"].at(date="hand-over").array / quick["p_fin"].array
    )
