"""The extruding wedge where two grids meet: its inner plane at every border, held against R3 written out again."""

from collections.abc import Callable
from math import pi, sqrt, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.chain import run_checks
from calc.chapters.shared.geometry import place_of
from calc.engine.figure import Polygon, Scene
from calc.inputs import read_design
from tests.chapters.zone_case import FINAL, Runs, area_ratio, both, grid, held, of, soft, zone
from tests.willow import high_bank

Change = Callable[[Any], None]

CREST, LAST, RUN = 6.0, 15.0, 2.0  # half the crest, outermost columns and slope of the small test project, m
DENSE, WIDE = 1.7, 2.5  # spacings, m
FACTOR_SET = "EN 1997-1 DA1-2"
KNOWN = ("H_q", "c_u0e", "n_st", "phi_cd", "gamma_ceff", "t_soft", "p_G", "p_E", "gamma_Re", "gamma_Q", "q_st", "q_qp")


def pressure_borne(known: dict[str, float], a: dict[str, float], *, place: float) -> tuple[float, float]:
    """Pressure that a wedge bears and that drives it, kPa; its inner plane stands ``place`` m from the axis.

    Written again from the equilibrium of the wedge as docs/method.md has it, no growth of strength; ``a`` are the area
    ratios at the inner plane, mean of the soil, counted along the base and of the column stress there.
    """
    slope = RUN * known["H_q"]
    toe = CREST + slope  # the final stage
    run, field = toe - place, LAST - place
    left = min(run / slope, (toe + place) / slope, 1.0)  # the other toe stands as far from the axis
    within, c, d = min(field, run), known["c_u0e"], 0.8
    v = max(1 - field / run, 0.0)
    zeta = ((1 - v**1.5) / (1.5 * (1 - v))) ** 2
    column = pi * d**2 / 4

    def share(ratio: float) -> float:
        return 1 / (1 + (known["n_st"] - 1) * ratio)

    def shear(stress: float, depth: float | None = None) -> tuple[float, float]:
        force = stress * column
        lateral = 9 * c * d
        bending = sqrt(2 * force * d / 8 * lateral)
        found = min(force * tan(known["phi_cd"]), bending)
        if depth is not None:
            found = min(found, lateral * depth)
        return found, sqrt(2 * force * d / 8 / lateral)

    least = np.inf
    for depth in np.geomspace(known["t_soft"] / 1000, known["t_soft"], 4000):
        own = left * known["n_st"] * share(a["inner"]) * known["p_G"]
        below = left * known["n_st"] * share(a["base_stress"]) * known["p_G"]
        force, hinge = shear(known["gamma_ceff"] * depth / 2 + own)
        tau_i = force * a["inner"] / column / 2 * max(1 - 0.7 * hinge / depth, 0)
        force, _ = shear(known["gamma_ceff"] * depth + zeta * below, depth)
        tau_b = force * a["base"] / column
        base = (1 - a["mean"]) * c * within + c * (run - within)
        borne = (4 * c + 2 * tau_i + (base + tau_b * within / 2) / depth) / 1.03
        least = min(least, borne)
    rapid = known["gamma_Q"] * (known["q_st"] - known["q_qp"])  # acts on the soil undivided
    return least / known["gamma_Re"], left * (share(a["inner"]) * (known["p_E"] - rapid) + rapid)


def flat(document: Any) -> None:
    """Strength that does not grow, no gain, and no more shear than the wedge has by itself."""
    soft(document)
    for one in document["section"][0]["layer"]:
        one.pop("c_u_growth", None)
    for one in document["stage"]:
        one.pop("c_u_gain", None)
        one.pop("c_u_gain_source", None)


def ratios(inner: float, mean: float, base: float, stress: float) -> dict[str, float]:
    return {"inner": inner, "mean": mean, "base": base, "base_stress": stress}


def planes(own: float, other: float) -> list[tuple[str, float, dict[str, float]]]:
    """Of a zone from 5 m to 12.5 m with the ratio ``other``: label, place and ratios; columns end at 15 m, by hand."""
    low = min(own, other)
    edge = (6.5 * other + 2.5 * own) / 9
    border = (7.5 * other + 2.5 * own) / 10
    most = max(own, other)
    return [
        ("at the crest edge", 6.0, ratios(other, edge, (6.5 * other + 2.5 * low) / 9, most)),
        ("at x = 5 m, left of it", 5.0, ratios(own, border, (7.5 * other + 2.5 * low) / 10, most)),
        ("at x = 5 m, right of it", 5.0, ratios(other, border, (7.5 * other + 2.5 * low) / 10, most)),
        ("at x = 12.5 m, left of it", 12.5, ratios(other, own, own, own)),
        ("at x = 12.5 m, right of it", 12.5, ratios(own, own, own, own)),
    ]


@pytest.mark.parametrize(("own", "other"), [(WIDE, DENSE), (DENSE, WIDE)], ids=["dense zone", "wide zone"])
@pytest.mark.parametrize("side", ["", "_left"])
def test_every_inner_plane_is_the_wedge_written_out_by_hand(
    run_project: Runs, own: float, other: float, side: str
) -> None:  # fmt: skip
    """At the crest edge and on both sides of every border, below the crest and below the slope; on either side."""
    mirrored = side == ""
    left, right = (5, 12.5) if mirrored else (-12.5, -5)
    run = run_project(both(grid(own), zone(left, right, other, mirrored=mirrored), flat, held))
    scope = of(run, "A")["bearing"].scopes[f"squeeze{side}"]

    for label, place, found in planes(area_ratio(own), area_ratio(other)):
        case = {"factor_set": FACTOR_SET, "stage": FINAL, "plane": label if mirrored else _mirrored(label)}
        known = {name: scope[name].number(case) or 0.0 for name in KNOWN}
        borne, drives = pressure_borne(known, found, place=place)

        assert scope["p_Rxd"].number(case) == pytest.approx(borne, rel=2e-5), label
        assert scope["p_sEp"].number(case) == pytest.approx(drives, rel=1e-9), label


@pytest.mark.parametrize(("side", "place", "sign"), [("_right", "x_er", 1), ("_left", "x_el", -1)])
def test_the_wedge_has_the_crest_edge_of_every_stage_where_the_cross_section_has_it(
    run_project: Runs, side: str, place: str, sign: int
) -> None:
    """Two equations of one place, the one from the final crest edge, the other from the toe of the slope."""

    def steeper(document: Any) -> None:
        document["embankment"]["slope_left"] = "1:1.6"

    sheets = of(run_project(both(grid(WIDE), zone(5, 12.5, DENSE), flat, held, steeper)), "A")
    edge, known = sheets["bearing"].scopes[f"wedge_planes{side}"]["x_es"], place_of(sheets["columns"], place)

    filled = [label for label in edge.labels("stage") if edge.number({"stage": label}) is not None]
    assert len(filled) > 1
    for label in filled:
        assert edge.number({"stage": label}) == pytest.approx(
            sign * (known.number({"stage": label}) or 0.0), abs=1e-12
        ), label


def far_planes(own: float, other: float) -> list[tuple[str, float, dict[str, float]]]:
    """Of a zone from -12 m to -7 m with the ratio ``other``, below the left slope alone: planes of the right wedge."""
    mean, base = (5 * other + 22 * own) / 27, (5 * other + 22 * min(own, other)) / 27
    return [
        ("at x = -12 m, left of it", -12.0, ratios(own, mean, base, max(own, other))),
        ("at x = -12 m, right of it", -12.0, ratios(other, mean, base, max(own, other))),
        ("at x = -7 m, left of it", -7.0, ratios(other, own, own, own)),
        ("at x = -7 m, right of it", -7.0, ratios(own, own, own, own)),
    ]


@pytest.mark.parametrize(("own", "other"), [(WIDE, DENSE), (DENSE, WIDE)], ids=["dense zone", "wide zone"])
def test_below_the_other_slope_a_plane_has_the_fill_above_it(run_project: Runs, own: float, other: float) -> None:
    """Written out by hand; beyond the other toe, at 15 m and more, no plane stands."""
    run = run_project(both(grid(own), zone(-12, -7, other, mirrored=False), flat, held))
    scope = of(run, "A")["bearing"].scopes["squeeze_right"]

    for label, place, found in far_planes(area_ratio(own), area_ratio(other)):
        case = {"factor_set": FACTOR_SET, "stage": FINAL, "plane": label}
        borne, drives = pressure_borne({name: scope[name].number(case) or 0.0 for name in KNOWN}, found, place=place)

        assert scope["p_Rxd"].number(case) == pytest.approx(borne, rel=2e-5), label
        assert scope["p_sEp"].number(case) == pytest.approx(drives, rel=1e-9), label
        assert borne / drives > (scope["F_x"].number({**case, "plane": "at the crest edge"}) or 0.0), label


@pytest.mark.parametrize(
    ("border", "berm", "state"), [(-2.0, False, "fail"), (-6.0, False, "pass"), (-6.0, True, "fail")]
)
def test_a_wide_grid_below_the_other_slope_fails_only_where_enough_fill_stands_over_it(
    run_project: Runs, border: float, berm: bool, state: str
) -> None:  # fmt: skip
    """Half a metre below the other slope the wide grid drives with 0.96 of the height, 4.5 m below it with 0.63; with
    all of it, as where a berm stands before that slope, the latter would be refused, too.
    """

    def change(document: Any) -> None:
        document["embankment"]["crest_width"] = "3 m"
        document["sleeve"]["strength"] = "3000 kN/m"
        for one in document["section"][0]["layer"]:
            one["c_u"] = "20 kPa"
        if berm:
            document["embankment"]["berm_left"] = {"width": "3 m", "height": "1 m", "slope": "1:2", "stage": "Final"}

    run = run_project(both(grid(DENSE), zone(-10.5, border, 3.2, mirrored=False), flat, change, held))
    sheet = of(run, "A")["bearing"]
    verdict = next(one for one in sheet.verdicts if one.key == "squeeze_right")
    scene = next(one for one in sheet.page.figures if isinstance(one, Scene) and one.key == "squeeze_right")
    fill = next(item for item in scene.items if isinstance(item, Polygon) and item.fill == "fill")

    assert verdict.state == state
    # The other toe, from the crest edge; before a berm nothing falls.
    assert (fill.points[0] == pytest.approx((-15.0, 0.0))) == (state == "fail" and not berm)
    assert (verdict.case["plane"] != "at the crest edge") == (state == "fail")


def _mirrored(label: str) -> str:
    """The plane on the other side of the axis."""
    words = {"left of it": "right of it", "right of it": "left of it"}
    found = label.replace("x = ", "x = -")
    return next((found.replace(one, other) for one, other in words.items() if one in found), found)


def squeezed(folder: Path, left: float) -> Any:
    """The verdict of the example on extrusion while a lift is placed, its dense zone from ``left`` outward."""
    document = tomlkit.parse(high_bank())
    del document["slip"]
    document["columns"]["zone"][0]["x_left"] = f"{left} m"
    (folder / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    (sheet,) = [sheet for part in run_checks(read_design(folder)).sections if part.section.key == "R"
                for sheet in part.sheets if sheet.key == "bearing"]  # fmt: skip
    return next(verdict for verdict in sheet.verdicts if verdict.key == "squeeze_lift")


@pytest.mark.slow
def test_a_zone_that_ends_near_the_crest_edge_does_not_hide_the_wide_grid_inward_of_it(tmp_path: Path) -> None:
    """Must fail: inward of 4.5 m the soil carries the share of the wide grid. By hand 1.027 with the mean stress of
    the slope alone, 0.979 with the plane at the crest edge, where a zone that begins at 3 m has its worst one.
    """
    near, far = squeezed(tmp_path, 4.5), squeezed(tmp_path, 3.0)

    assert near.state == "fail"
    assert near.utilisation == pytest.approx(1.028, abs=0.0005)
    assert near.case["plane"] == "at x = 4.5 m, left of it"
    assert far.state == "pass"
    assert far.utilisation == pytest.approx(0.979, abs=0.0005)
    assert far.case["plane"] == "at the crest edge"


@pytest.mark.slow
def test_the_farther_a_dense_zone_reaches_inward_the_less_the_wedge_is_utilised(run_project: Runs) -> None:
    """From the crest edge to a metre from the axis; never better than with the dense grid everywhere."""
    found = []
    for change in (zone(6, 15, DENSE), zone(5, 15, DENSE), zone(4, 15, DENSE), zone(1.2, 15, DENSE), grid(DENSE)):
        run = run_project(both(grid(WIDE), change, flat, held))
        found.append(float(np.nanmin(of(run, "A")["bearing"].scopes["squeeze"]["F_x"].at(stage=FINAL).array)))

    assert found == sorted(found)
    assert found[0] < found[-1]


@pytest.mark.parametrize("changes", [(), (zone(5, 15, DENSE),)], ids=["one grid", "two grids"])
def test_stress_ratios_count_up_to_the_largest_that_limit_analysis_confirms(
    run_project: Runs, changes: tuple[Change, ...]
) -> None:
    """Docs/limit-analysis.md: at 6.5 the wedge would be 44 % above the upper bound over one dense grid."""

    def ratio(value: float) -> Change:
        def change(document: Any) -> None:
            for one in document["stage"]:
                one["n_stability"] = value

        return change

    less, most, more = (
        of(run_project(both(grid(DENSE), *changes, flat, held, ratio(value))), "A")["bearing"].scopes["squeeze"]
        for value in (3.5, 4.0, 6.5)
    )

    assert np.array_equal(more["F_x"].array, most["F_x"].array, equal_nan=True)
    assert np.nanmin(less["F_x"].array) < np.nanmin(most["F_x"].array)
    assert np.nanmax(more["n_w"].array) == 4.0
    assert "n_w" not in most.values


def test_shear_held_at_the_top_does_not_count_inward_of_the_crest_edge(run_project: Runs) -> None:
    """Below the crest as at its edge; below the slope what is left of the length to the end of the reinforcement."""

    def top(document: Any) -> None:
        document["field"]["hold_top"] = 0.5

    scope = of(run_project(both(grid(WIDE), zone(5, 12.5, DENSE), top, flat, held)), "A")["bearing"].scopes["squeeze"]
    lengths = {
        label: scope["L_t"].number({"stage": FINAL, "plane": label}) or 0.0 for label in scope["L_t"].labels("plane")
    }

    assert lengths["at x = 5 m, left of it"] == lengths["at the crest edge"] > 0
    assert lengths["at x = 12.5 m, left of it"] == pytest.approx(max(lengths["at the crest edge"] - 6.5, 0))
