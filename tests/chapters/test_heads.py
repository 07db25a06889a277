"""Heads over depth from the project file to every chapter that takes a stress or a pressure from the ground.

Values V1 of the project's methods were computed once from the stated equations: nine metres of 15 kN/m³, water 0.40 m
below the ground, the aquifer 1.20 m above it.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.heads import BELOW, BOTTOM, HEADS
from calc.engine.figure import Profile
from calc.engine.sheet import Sheet
from tests.chapters.filter_cases import filtered
from tests.chapters.head_case import BASE, FACTORS, GAMMA_W, at_rest, clay, everything, head
from tests.chapters.settled import keys, state
from tests.chapters.timed import first_chapters, layers, timed, verdicts

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
approx = pytest.approx
FIRST, FINAL = "0 columns built", "2 Final"
ARTESIAN = head((BASE, "1.20 m"))
OPEN = {**FACTORS, "seals": False}


def factors(**more: Any) -> Change:
    return lambda document: document.update(uplift={**OPEN, **more})


def second_state(level: str = "0.20 m") -> Change:
    """A high water in the last stage."""

    def change(document: Any) -> None:
        document["water"]["high"] = level
        document["stage"][1]["water"] = "high"
        document["section"][0]["initial_water"] = "mean"

    return change


def closed(document: Any) -> None:
    document["plug"] = {
        "needed": True, "reason": "invented", "length": "1.0 m", "permeability": "1e-9 m/s", "gamma_sat": "20 kN/m^3",
        "shear": "5 kPa", "seepage_max": "5e-9 m/s", "gamma_dst": 1.1, "gamma_stb": 0.9,
        "gamma_shear": 1.4, "source": "invented",
    }  # fmt: skip


def over_depth(ground: Sheet, name: str, *, point: str = BOTTOM, stage: str = FINAL) -> tuple[np.ndarray, np.ndarray]:
    scope = ground.scopes[HEADS]
    found = scope[name].at(point=point)
    found = found.at(stage=stage) if "stage" in found.axis_names else found
    return scope["z_p"].at(point=point).array, found.array


def test_stresses_reproduce_v1_1_and_v1_2(first: Chapters) -> None:
    """At the base 34.9 instead of 50.6 kPa; at 2, 4, 6 and 8 m by the line between the sublayers."""
    ground = first(clay(ARTESIAN))["ground"]
    z, u = over_depth(ground, "u_p")
    _, at_rest = over_depth(ground, "u_hp")
    _, total = over_depth(ground, "sigma_tp")
    _, effective = over_depth(ground, "sigma_ip")

    assert (z[-1], total[-1], at_rest[-1], u[-1]) == approx((9.0, 135.0, 84.366, 100.062), abs=5e-4)
    assert effective[-1] == approx(34.938, abs=5e-4)
    assert total[-1] - at_rest[-1] == approx(50.634, abs=5e-4)
    assert np.interp([2, 4, 6, 8], z, effective) == approx([11.384, 18.114, 24.843, 31.573], abs=5e-4)
    assert np.interp([2, 4, 6, 8], z, total - at_rest) == approx([14.304, 24.684, 35.064, 45.444], abs=5e-4)
    assert (np.diff(ground["sigma_v0s"].at(stage=FINAL).array) > 0).all()


def test_heads_at_the_water_level_give_the_digits_of_water_at_rest(first: Chapters) -> None:
    """Law, over all chapters up to that on consolidation."""
    plain, level = first(timed(clay())), first(timed(clay(head((BASE, "-0.40 m")))))

    for chapter, sheet in plain.items():
        other = level[chapter]
        for name, scope in [("", sheet), *sheet.scopes.items()]:
            mine, theirs = scope.values, other.scopes[name].values if name else other.values
            for symbol in mine.keys() & theirs.keys():
                equal = np.allclose(mine[symbol].array, theirs[symbol].array, rtol=1e-12, atol=1e-12, equal_nan=True)
                assert equal, f"{chapter} {name} {symbol}"
        there = verdicts(other)
        for verdict in sheet.verdicts:
            expected = None if verdict.utilisation is None else approx(verdict.utilisation, rel=1e-12)
            assert there[verdict.key].utilisation == expected


def test_the_same_rise_at_every_depth_is_the_same_pressure_everywhere(first: Chapters) -> None:
    """Law: both heads of a jump at the base, and so everything below it, rise by 0.5 m."""
    low, high = (first(clay(head((BASE, "-0.40 m"), (BASE, value))))["ground"] for value in ("0.70 m", "1.20 m"))
    rise = over_depth(high, "u_p", point=BELOW)[1] - over_depth(low, "u_p", point=BELOW)[1]

    assert rise[-1] == approx(0.5 * GAMMA_W)
    assert rise[:-1] == approx(0.0)


def test_pore_pressure_is_continuous_where_no_jump_is_given(first: Chapters) -> None:
    ground = first(clay(head(("-3 m", "0.1 m"), ("-6 m", "0.3 m"), (BASE, "1.2 m"))))["ground"]
    below, above = over_depth(ground, "u_p", point=BELOW)[1], over_depth(ground, "u_p")[1]
    top = over_depth(ground, "u_p", point="top of the sublayer")[1]

    assert below == approx(above)
    assert top[1:] == approx(above[:-1])


def test_perched_water_ends_at_the_base_of_what_holds_it(first: Chapters) -> None:
    """Perched down to 2.4 m, dry to 5 m, water at rest below with its own level: no suction between."""
    points = (("-2.0 m", "-1.6 m"), ("-2.4 m", "-3.0 m"), ("-5.0 m", "-5.0 m"), (BASE, "-5.0 m"))
    ground = first(clay(head(*points)))["ground"]
    z, u = over_depth(ground, "u_p")

    assert np.interp([2.0, 3.0, 5.0, 9.0], z, u) == approx([0.4 * GAMMA_W, 0.0, 0.0, 4.0 * GAMMA_W])
    assert (u >= 0).all()
    assert state(ground, "uplift") == "not verified"
    assert "No head lies above water at rest." in verdicts(ground)["uplift"].note


def test_underdrained_ground_carries_more_and_loads_the_columns(first: Chapters) -> None:
    """The head falls by 3 m to the base: support of the soil and stress of the column rise alike."""
    rest, drained = first(clay()), first(clay(head((BASE, "-3.40 m"))))

    for name in ("sigma_v0s", "sigma_v0c"):
        more = drained["ground"][name].at(stage=FINAL).array[-1] - rest["ground"][name].at(stage=FINAL).array[-1]
        assert 2.7 * GAMMA_W < more < 3.0 * GAMMA_W
    assert (drained["ground"]["p_W"].array == 0).all()
    assert drained["ground"].scopes[HEADS]["i_col"].array == approx(0)


def test_a_state_that_is_pumped_and_recovers_keeps_the_lower_support_and_loads_by_the_fall(first: Chapters) -> None:
    """Artesian before and after, pumped in the first stage: support never above that of the artesian state."""

    def pumped(document: Any) -> None:
        document["water"]["low"] = "-0.40 m"
        document["stage"][0]["water"] = "low"
        document["section"][0]["initial_water"] = "mean"

    ground = first(clay(ARTESIAN, pumped, closed, at_rest("low", "-0.40 m")))["ground"]

    assert ground["sigma_v0s"].array == approx(np.tile(ground["sigma_v0s"].array[0], (3, 1)))
    assert ground["p_W"].array == approx([0.0, 1.6 * GAMMA_W, 0.0])


def test_both_bounds_of_columns_without_a_plug_and_the_first_with_one(first: Chapters) -> None:
    """Without a plug the drained head loads the cell; a plug leaves the head, and loads nothing."""
    rest, opened, sealed = first(clay()), first(clay(ARTESIAN)), first(clay(ARTESIAN, closed))
    settled = [one["unit_cell"].scopes["settlement"]["s"].at(stage=FINAL, position="centre", load="G+Q",
               stiffness="long-term").array for one in (rest, sealed, opened)]  # fmt: skip
    deep = [one["unit_cell"].scopes["ring"]["F_R"] for one in (rest, sealed, opened)]
    ring = [np.nanmax(one.at(layer=one.labels("layer")[-1]).array) for one in deep]

    assert opened["ground"]["p_W"].array == approx([0.0, 1.6 * GAMMA_W, 1.6 * GAMMA_W])
    assert (sealed["ground"]["p_W"].array == 0).all()
    assert settled[0] < settled[1] < settled[2]
    assert ring[0] < ring[1] < ring[2]
    # The least stress ratio is that of heads that stay: the load of the fall raises it.
    ratios = opened["unit_cell"].scopes["least_ratio"]
    assert ratios["n_min"].array[1:] == approx(np.fmin(ratios["n_minFk"].array, ratios["n_minSk"].array)[1:])
    assert (ratios["n_minSk"].array < ratios["n_minS"].array)[1:].all()
    kept = opened["unit_cell"].scopes["heads_kept_settlement"]["s"].array
    assert kept == approx(sealed["unit_cell"].scopes["settlement"]["s"].array)
    assert "n_minSk" not in rest["unit_cell"].scopes["least_ratio"].values


def test_preconsolidation_is_that_of_the_state_it_is_stated_for(first: Chapters) -> None:
    """As V1.7 at the middle of the lowest sublayer: it is absolute, and the trap is the ratio of the other state."""

    def stated(name: str) -> tuple[float, float]:
        water = (second_state("-0.40 m"), at_rest("high", "-0.40 m"))
        run = first(timed(clay(ARTESIAN, *water), layers(OCR=1.2, OCR_water=name)))
        return run["consolidation"].scopes["strength"]["sigma_pc"].array[-1], run["ground"]["z"].array[-1]

    (rest, z), (artesian, _) = stated("high"), stated("mean")
    level = -0.4 + 1.6 * (z - 0.4) / 8.6

    assert rest == approx(1.2 * (15 * z - GAMMA_W * (z - 0.4)))
    assert artesian == approx(1.2 * (15 * z - GAMMA_W * (z + level)))


def of_clay(document: Any) -> None:
    """The gradings of the clay alone."""
    document["filters"]["soil"] = [one for one in document["filters"]["soil"] if one["layer"] == "clay"]


def two_layers(upper: float) -> Change:
    """The nine metres in two layers of the same clay, the upper one this thick."""

    def change(document: Any) -> None:
        (soil,) = document["section"][0]["layer"]
        lower = {**soil, "key": "lower", "name": "Lower clay", "thickness": f"{9 - upper} m"}
        soil["thickness"] = f"{upper} m"
        document["section"][0]["layer"] = [soil, lower]

    return change


def test_fall_is_the_largest_at_both_ends_of_a_sublayer(first: Chapters) -> None:
    """The head jumps by 1.5 m at 3 m and falls below it: the columns drain 1.2 + 0.4 m there, 0.6 m at the base."""
    jump = head(("-3 m", "-0.3 m"), ("-3 m", "1.2 m"), (BASE, "0.2 m"))
    fall = first(clay(two_layers(3.0), jump))["ground"]["p_W"].array

    assert fall == approx([0.0, 1.6 * GAMMA_W, 1.6 * GAMMA_W])


def test_water_at_rest_raises_no_question_of_uplift(first: Chapters) -> None:
    found = verdicts(first()["ground"])

    assert not found["uplift"].applies
    assert not found["hydraulic_heave"].applies


def test_steady_flow_reproduces_v1_3_and_says_where_heads_are_others(first: Chapters) -> None:
    even = first(clay(ARTESIAN, k="1e-9 m/s"))["ground"]
    other = first(clay(head(("-8 m", "-0.2 m"), (BASE, "1.20 m")), k="1e-9 m/s"))["ground"]
    flow = even.scopes["flow"]

    assert flow["i_l"].array[..., -1] == approx(0.18605, abs=5e-6)
    assert flow["F_i"].array[..., -1] == approx(2.8437, abs=5e-5)
    assert flow["Dh_l"].array.sum(axis=-1) == approx(1.6)
    assert "heads-other-flow" not in keys(even)
    assert "heads-other-flow" in keys(other)
    assert "heads-flow" in keys(first(clay(ARTESIAN))["ground"])
    assert any(table.key == "flow" for table in even.page.tables)


def test_figure_follows_the_head(first: Chapters) -> None:
    ground = first(clay(ARTESIAN, factors()))["ground"]
    (drawn,) = [figure for figure in ground.page.figures if figure.key == HEADS]
    assert isinstance(drawn, Profile)
    effective, pressure, stress = drawn.panels
    labels = [one.label for one in (*effective.series, *pressure.series, *stress.series)]

    assert labels == ["soil", "column", "by heads", "at rest", "total"]
    assert pressure.series[0].values[-1] == approx(100.062, abs=5e-4)
    assert effective.series[0].values[-1] == approx(34.938, abs=5e-4)
    assert stress.series[0].values[-1] == approx(135.0, abs=5e-4)
    assert not any(figure.key == HEADS for figure in first()["ground"].page.figures)


def test_a_head_that_rises_under_the_same_water_level_is_said(first: Chapters) -> None:
    recovered = (at_rest("mean", "-0.40 m"), head((BASE, "1.20 m"), water="high"))
    found = first(timed(clay(second_state("-0.40 m"), *recovered), layers(OCR_water="mean")))["consolidation"]

    assert "risen-water" in keys(found)
    assert "risen-water" not in keys(first(timed(clay(ARTESIAN)))["consolidation"])


def test_aquifer_that_drains_through_the_columns_leaves_their_head_loss_open(tmp_path: Path) -> None:
    run = first_chapters(tmp_path, "filters")
    opened, sealed = (run(filtered(clay(ARTESIAN, of_clay, *more, k="2e-9 m/s")))["filters"] for more in ([], [closed]))
    (found,) = [limitation for limitation in opened.limitations if limitation.key == "drain-aquifer"]

    assert found.turns == ("head_loss",)
    assert "drain-aquifer" not in keys(sealed)
    assert verdicts(sealed)["plug_uplift"].case["stage"] == FIRST
    assert sealed.scopes["plug"]["Dh"].array == approx(1.6)


def test_cohesion_from_the_sleeve_under_a_fall_of_heads_is_said(tmp_path: Path) -> None:
    def counted(document: Any) -> None:
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m", "sleeve_cohesion": True}

    run = first_chapters(tmp_path, "stability")

    assert "sleeve-heads" in keys(run(clay(ARTESIAN, counted))["stability"])
    assert "sleeve-heads" not in keys(run(clay(ARTESIAN, counted, closed))["stability"])


LOWER, HIGHER, SAME = "lower", "higher", "the same"
CONSUMERS = [
    ("ground", "", "sigma_v0s", LOWER),
    ("ground", "", "sigma_v0c", SAME),  # water in the column at rest: it loads the sleeve most
    ("unit_cell", "", "sigma_r0", LOWER),  # K* times the stress of this state of the water
    ("unit_cell", "", "E_oed0", LOWER),
    ("unit_cell", "ring", "F_R", HIGHER),
    ("unit_cell", "settlement", "s", HIGHER),
    ("unit_cell", "elastic_plastic", "s_EP", HIGHER),
    ("consolidation", "strength", "sigma_pc", LOWER),
    ("consolidation", "strength", "sigma_v0s", LOWER),
    ("consolidation", "strength_check", "c_uh", LOWER),
    ("bearing", "toe", "sigma_v0t", LOWER),  # below the base stands the aquifer
    ("bearing", "toe", "sigma_Rd", LOWER),
    ("bearing", "squeeze", "gamma_ceff", LOWER),  # water rises in columns without a plug
    ("bearing", "squeeze", "p_Rxd", LOWER),
    ("stability", "embedment", "V_toe", LOWER),
    ("stability", "split", "sigma_vs", LOWER),
    ("stability", "slip_drained", "F_Bi", LOWER),
    ("stability", "blocks_drained", "F_bl", LOWER),
    ("stability", "slip", "F_Bi", LOWER),  # the undrained soil has its strength; the columns lose friction
    ("bearing", "soft_layers", "c_utb", SAME),  # undrained strength is measured, and follows no head
    ("bearing", "edge_bearing", "q_u", SAME),
    ("thrust", "sliding", "T_spr", SAME),  # fill above the ground, undrained strength at its top
    ("load_transfer", "shells", "E_A", SAME),  # fill above the heads
    ("reinforcement", "across_lift", "T_G", SAME),
]


@pytest.fixture
def with_everything(chapters: Chapters) -> tuple[dict[str, Sheet], dict[str, Sheet]]:
    return chapters(clay(everything)), chapters(clay(everything, ARTESIAN, factors()))


@pytest.mark.slow
def test_every_consumer_follows_the_head_or_says_why_not(
    with_everything: tuple[dict[str, Sheet], dict[str, Sheet]],
) -> None:
    """One pair of runs of all chapters; what is the same names its reason beside it."""
    rest, artesian = with_everything
    for chapter, scope, name, expected in CONSUMERS:
        values = [(run[chapter].scopes[scope] if scope else run[chapter])[name].array for run in (rest, artesian)]
        mine, other = (float(np.nanmean(value)) for value in values)
        found = SAME if other == approx(mine, rel=1e-9) else LOWER if other < mine else HIGHER
        assert found == expected, f"{chapter} {scope} {name}: {mine:g} to {other:g}"


@pytest.mark.slow
def test_what_cannot_follow_turns_its_verdicts(with_everything: tuple[dict[str, Sheet], dict[str, Sheet]]) -> None:
    _, artesian = with_everything
    turned = {limitation.key: limitation.turns for sheet in artesian.values() for limitation in sheet.limitations}

    assert set(turned["heads-rates"]) >= {"ratio_before"}
    assert "heads-bound" in turned
    assert "pressure-heads" in turned
    table = next(table for table in artesian["stability"].page.tables if table.key == "handed-stages")
    column = [one.words for one in table.head].index("head of the aquifer")
    assert {row[column] for row in table.rows} == {"1.20"}
