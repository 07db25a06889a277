"""Strips of rail and road load through the chapters, against the uniform load and against each other."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.chapters.load_transfer import limits
from calc.chapters.shared.soft_ground import sides
from calc.chapters.shared.strips import laid_strips
from calc.engine.figure import Arrow, Scene
from calc.engine.sheet import Sheet
from calc.formulas.arching_shells import UseLimit
from calc.inputs import Section, read_design
from tests.chapters.slip_case import coarse
from tests.chapters.test_thrust import reinforced
from tests.chapters.test_zones import rated
from tests.chapters.timed import base_document, reach

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
FINAL = "2 Final"
approx = pytest.approx


def strip(name: str, position: float, width: float, pressure: float, depth: float = 0.0) -> dict[str, Any]:
    return {
        "name": name, "position": f"{position} m", "width": f"{width} m", "line_load": f"{pressure * width} kN/m",
        "class_factor": 1.0, "depth": f"{depth} m", "source": "test",
    }  # fmt: skip


def loaded(
    *strips: dict[str, Any], slope: float = 0.0, dynamic: float = 0.0, slip: bool = True, q: float = 0.0
) -> Change:
    """The test project with these strips on its crest of 12 m; without any a uniform load of 20 kPa."""

    def change(document: Any) -> None:
        reach(document)
        reinforced(document)
        if slip:
            coarse(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = "24 kPa"
        if strips:
            document["traffic"] = {
                "q": f"{q} kPa", "strip": [dict(one) for one in strips], "spread": {"slope": slope, "source": "test"},
            }  # fmt: skip
        if dynamic:
            document["traffic"]["dynamic"] = {"factor": dynamic, "depth": "8 m", "source": "test"}

    return change


TRACKS = (strip("Track 1", -2.0, 3.0, 50.0, 0.7), strip("Track 2", 2.0, 3.0, 50.0, 0.7))


@pytest.mark.slow
def test_strip_as_wide_as_the_crest_is_the_uniform_load_to_all_digits(chapters: Chapters) -> None:
    """Without spread: every verdict, slip surfaces and thrust included."""
    uniform = rated(chapters(loaded()))

    assert rated(chapters(loaded(strip("All", 0.0, 12.0, 20.0)))) == uniform
    assert rated(chapters(loaded(strip("Left", -3.0, 6.0, 20.0), strip("Right", 3.0, 6.0, 20.0)))) == uniform


def test_strips_that_adjoin_and_press_alike_load_the_cell_as_one(chapters: Chapters) -> None:
    halves = (strip("Left", -3.0, 6.0, 20.0), strip("Right", 3.0, 6.0, 20.0))

    assert rated(chapters(loaded(*halves, slip=False))) == rated(chapters(loaded(slip=False)))


@pytest.mark.slow
def test_halves_of_a_track_are_the_track(chapters: Chapters) -> None:
    halves = (strip("a", -2.75, 1.5, 50.0, 0.7), strip("b", -1.25, 1.5, 50.0, 0.7))

    assert rated(chapters(loaded(*halves, slope=0.5))) == rated(chapters(loaded(TRACKS[0], slope=0.5)))


@pytest.mark.slow
def test_tracks_load_the_cell_locally_and_each_side_by_its_distance(chapters: Chapters) -> None:
    """Heads 5.3 m below the tracks: under one track the even spread, 50 · 3/8.3; between two the elastic sum."""
    one, two = (chapters(loaded(*tracks, slope=0.5, slip=len(tracks) == 1)) for tracks in (TRACKS[:1], TRACKS))

    assert one["unit_cell"]["q"].number({"stage": FINAL}) == approx(50 * 3 / 8.3)
    assert two["unit_cell"]["q"].number({"stage": FINAL}) == approx(27.2444, abs=1e-4)
    assert two["unit_cell"]["q"].array[:-1].tolist() == [0.0, 0.0]
    left, right = (one["thrust"].scopes[f"slope_{side}"]["q_a"].largest().number({}) for side in ("left", "right"))
    assert left is not None
    assert right is not None
    assert left > right > 0
    values = {key: used for key, used in rated(one).items() if used is not None}
    factor = ("stability", "global_stability_left"), ("stability", "global_stability_right")
    assert values[factor[0]] > values[factor[1]]
    assert "slope" in two["thrust"].scopes
    assert two["unit_cell"].rests[-1].title == "Static traffic load"


def test_strain_across_is_that_of_the_side_that_is_pushed_most(chapters: Chapters) -> None:
    """A light lane lies nearer to the left edge than a heavy track to the right one."""
    lane, track = strip("Lane", -4.5, 2.5, 10.0), strip("Track", 3.5, 3.0, 52.0)
    done = chapters(loaded(lane, track, slip=False))
    sides = {name: scope["q_a"].largest().number({}) for name, scope in done["thrust"].scopes.items() if "q_a" in scope}
    pushed = {name: q_a for name, q_a in sides.items() if q_a is not None}
    (scope,) = [scope for scope in done["reinforcement"].scopes.values() if "q_a" in scope]

    assert pushed["slope_right"] > 1.5 * pushed["slope_left"]
    assert scope["i_sd"].number({}) == 1.0


def test_a_track_is_a_heavy_load_for_arching_whatever_the_heads_have_of_it(
    chapters: Chapters, monkeypatch: pytest.MonkeyPatch
) -> None:
    """52 kPa on the crest leave less than 20 kPa at the heads; the clear distance is limited as under 20 kPa."""
    seen: list[UseLimit] = []
    monkeypatch.setattr(limits, "_check", lambda _sheet, limit, _shells: seen.append(limit))
    track = chapters(loaded(strip("Track", 0.0, 3.0, 52.0, 0.7), slope=1.0, slip=False))
    chapters(loaded(strip("Lane", 0.0, 3.0, 15.0, 0.7), slope=1.0, slip=False))

    assert 0 < (track["unit_cell"]["q"].number({"stage": FINAL}) or 0.0) < 20
    assert [one.bound for one in seen if one.symbol == "L_m"] == [2.5, 3.0]


def traffic_later(document: Any) -> None:
    """Nothing is placed in the stage with traffic, which is the last of three."""
    loaded(*TRACKS, slope=0.5)(document)
    filled, final = document["stage"][1], dict(document["stage"][1])
    filled.update(name="Filled", situation="transient", traffic=False)
    final.update(name="Traffic", start="400 d", duration="0 d")
    document["stage"].append(final)


def test_one_track_alone_is_searched_where_there_is_traffic(chapters: Chapters) -> None:
    """Alone the near track drives little less than both; while a lift is placed there is no traffic to try."""
    sheet = chapters(traffic_later)["stability"]
    used = {
        verdict.key: verdict.utilisation for verdict in sheet.verdicts if verdict.key.startswith("global_stability")
    }
    one, both = used["global_stability_one_strip"], used["global_stability"]

    assert one is not None
    assert both is not None
    assert one == approx(both, rel=0.1)
    assert [key for key in used if key.endswith("one_strip")] == ["global_stability_one_strip"]
    assert sheet.scopes["slip"]["F_B1"].valid.any(axis=0).tolist() == [False, False, False, True]
    limit = next(limitation for limitation in sheet.limitations if limitation.key == "slip-one-strip")
    assert {"global_stability", "global_stability_blocks", "global_stability_one_strip"} <= set(limit.turns)


def test_dynamic_factor_fades_to_the_heads_and_pushes_whole(chapters: Chapters) -> None:
    still, moved = (chapters(loaded(TRACKS[0], dynamic=factor, slip=False)) for factor in (0.0, 1.4))
    cells = [sheets["unit_cell"].scopes["strips"]["p_lh"].number({"stage": FINAL}) for sheets in (still, moved)]
    thrusts = [sheets["thrust"].scopes["slope_left"]["q_a"].array[0, -1] for sheets in (still, moved)]

    assert cells[0] is not None
    assert cells[1] == approx(cells[0] * (1 + 0.4 * (1 - 5.3 / 8)))
    assert thrusts[1] == approx(1.4 * thrusts[0])


def test_stage_before_has_the_load_that_its_own_fill_leaves(chapters: Chapters) -> None:
    """A first lift of 2 m with traffic leaves more of a track at the heads than the final 6 m."""

    def change(document: Any) -> None:
        loaded(TRACKS[0], slope=0.5, slip=False, q=4.0)(document)
        document["stage"][0]["traffic"] = True

    sheets = chapters(change)
    q = sheets["unit_cell"]["q"].array
    lift = sheets["bearing"].scopes["soft_lift"]
    before = next(step.inputs["q"].value.array for step in sheets["bearing"].steps if step.symbol == "q_stb")

    assert q[1] > q[2] > q[0] == 4.0
    assert before.tolist() == [0.0, *q[:-1]]
    assert np.isfinite(lift["q_stb"].array).all()


def read(folder: Path, *strips: dict[str, Any]) -> Section:
    document = base_document()
    loaded(*strips, slip=False)(document)
    (folder / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    return read_design(folder).sections[0]


def test_sides_are_alike_only_under_symmetrical_strips(tmp_path: Path) -> None:
    near_right = strip("R", 4.0, 3.0, 50.0)

    assert len(sides(read(tmp_path, *TRACKS))) == 1
    assert len(sides(read(tmp_path, TRACKS[0]))) == 2
    assert len(sides(read(tmp_path, TRACKS[0], near_right))) == 2


def test_strips_that_adjoin_are_one_only_where_they_press_alike(tmp_path: Path) -> None:
    alike = read(tmp_path, strip("a", -1.0, 2.0, 30.0), strip("b", 1.5, 3.0, 30.0), strip("c", 4.0, 2.0, 9.0))

    assert [(one.name, one.position, one.width, places) for one, places in laid_strips(alike)] == [
        ("a + b", 0.5, 5.0, (0, 1)), ("c", 4.0, 2.0, (2,)),
    ]  # fmt: skip


def test_strips_are_drawn_where_they_lie(chapters: Chapters) -> None:
    (figure,) = chapters(loaded(TRACKS[0], slip=False))["basis"].page.figures
    assert isinstance(figure, Scene)
    arrows = [item for item in figure.items if isinstance(item, Arrow)]

    assert sorted(arrow.x1 for arrow in arrows) == [-3.5, -2.0, -0.5]


LANES = (strip("Lane 1", 0.0, 3.0, 9.0), strip("Lane 2", 3.0, 3.0, 2.5))
TANDEM = {**strip("Tandem 1", 0.0, 3.0, 600.0 / 6.6), "length": "2.2 m"}
SHARED = {**TANDEM, "plane_length": "10 m", "plane_length_source": "owner, invented"}


def heads(sheet: Sheet) -> dict[str, float]:
    """What counts at the heads in the last stage."""
    scope = sheet.scopes["strips"]
    return {name: float(scope[name].at(stage=FINAL).array) for name in ("p_sS", "p_eS", "p_lm", "x_pk")}


def test_tandem_stands_on_its_lane_and_spreads_to_all_sides(chapters: Chapters) -> None:
    """By hand, spread by 1:2: 600 kN on (3 + z)(2.2 + z) and 27 kN/m of the lane on 3 + z."""
    cell = chapters(loaded(*LANES, TANDEM, slope=0.5, slip=False))["unit_cell"]
    depth = float(cell.scopes["strips"]["z_ld"].at(stage=FINAL).array[0])
    found = heads(cell)

    assert found["p_sS"] == approx(600 / ((3 + depth) * (2.2 + depth)) + 27 / (3 + depth))
    alone = heads(chapters(loaded(*LANES, slope=0.5, slip=False))["unit_cell"])
    assert found["p_eS"] > alone["p_eS"] + 5
    assert found["p_lm"] == max(found["p_sS"], found["p_eS"])
    endless = {key: value for key, value in TANDEM.items() if key != "length"}
    assert found["p_lm"] < heads(chapters(loaded(endless, slope=0.5, slip=False))["unit_cell"])["p_lm"]
    assert any(one.key == "traffic-lengths" for one in cell.limitations)
    assert not any(
        one.key == "traffic-lengths" for one in chapters(loaded(*LANES, slip=False))["unit_cell"].limitations
    )


def test_long_tandem_presses_like_one_without_an_end(chapters: Chapters) -> None:
    def pressed(one: dict[str, Any]) -> dict[str, float]:
        return heads(chapters(loaded(one, slope=0.5, slip=False))["unit_cell"])

    assert pressed({**LANES[0], "length": "490 m"}) == approx(pressed(LANES[0]), rel=0.03)


def test_thrust_takes_a_tandem_without_an_end(chapters: Chapters) -> None:
    endless = {key: value for key, value in TANDEM.items() if key != "length"}
    pushed = [chapters(loaded(one, slope=0.5, slip=False))["thrust"]["T_spr"].array for one in (TANDEM, endless)]

    assert pushed[0] == approx(pushed[1], rel=1e-12)


def test_tandem_shared_out_pushes_like_a_strip_of_that_load(chapters: Chapters) -> None:
    """600 kN over 10 m are 60 kN/m; at the heads it is the tandem."""
    shared, plain = (SHARED, strip("Tandem 1", 0.0, 3.0, 20.0))
    runs = [chapters(loaded(one, slope=0.5, slip=False)) for one in (shared, plain, TANDEM)]

    assert runs[0]["thrust"]["T_spr"].array == approx(runs[1]["thrust"]["T_spr"].array, rel=1e-12)
    (said,) = [one for one in runs[0]["unit_cell"].limitations if one.key == "traffic-plane-length"]
    # 600 kN on 3.0 m and 2.2 m, or 10 m
    assert "“Tandem 1”: shared out over 10.00 m" in said.text
    assert "instead of 2.20 m, 20.0 instead of 90.9 kN/m² (owner, invented)." in said.text
    assert {"fill_between", "sliding"} <= set(said.turns)
    assert not {"ring_tension", "ring_strain", "settlement_total", "toe_bearing"} & set(said.turns)
    assert not any(one.key == "traffic-plane-length" for one in runs[2]["unit_cell"].limitations)
    assert heads(runs[0]["unit_cell"]) == heads(runs[2]["unit_cell"])


@pytest.mark.slow
def test_slip_surfaces_have_a_tandem_shared_out(chapters: Chapters) -> None:
    shared, plain = (
        chapters(loaded(one, slope=0.5))["stability"].scopes["slip"]["F_Bi"].array
        for one in (SHARED, strip("Tandem 1", 0.0, 3.0, 20.0))
    )

    assert np.nan_to_num(shared) == approx(np.nan_to_num(plain), rel=2e-3)  # the gain differs by the load at the heads


def test_order_of_lanes_and_tandems_does_not_matter_and_mirrored_is_mirrored(tmp_path: Path) -> None:
    """Three lanes, the outer ones alike and joined to nothing; tandems on two of them."""
    lanes = (strip("a", -3.0, 3.0, 4.0), strip("b", 0.0, 3.0, 9.0), strip("c", 3.0, 3.0, 4.0))
    tandems = tuple({**strip(f"t{x}", x, 3.0, 30.0), "length": "2.2 m"} for x in (-3.0, 3.0))

    def laid(*strips: dict[str, Any]) -> Section:
        document = base_document()
        loaded(*strips, slip=False)(document)
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        return read_design(tmp_path).sections[0]

    after, before = laid(*lanes, *tandems), laid(*tandems, *lanes)

    assert [one.name for one, _ in laid_strips(after)] == ["a", "t-3.0", "b", "c", "t3.0"]
    assert [one.name for one, _ in laid_strips(before)] == [one.name for one, _ in laid_strips(after)]
    assert len(sides(after)) == 1
    assert len(sides(laid(*lanes, tandems[0]))) == 2


@pytest.mark.slow
def test_outermost_lane_is_tried_alone_with_the_tandem_on_it(chapters: Chapters) -> None:
    """A tandem on the only lane leaves nothing to try alone."""
    lanes = (strip("left", -3.0, 3.0, 9.0), strip("right", 3.0, 3.0, 9.0))
    tandem = {**strip("t", 3.0, 3.0, 30.0), "length": "2.2 m"}
    found, single = (rated(chapters(loaded(*those, slope=0.5))) for those in ((*lanes, tandem), (LANES[0], TANDEM)))
    alone = {key: value for (_, key), value in found.items() if "one_strip" in key}

    assert len(alone) == 4  # both sides in two states
    assert alone["global_stability_right_one_strip"] != alone["global_stability_left_one_strip"]
    assert not any("one_strip" in key for _, key in single)


@pytest.mark.slow
def test_outermost_tandem_keeps_its_lane_where_equal_lanes_are_taken_as_one(chapters: Chapters) -> None:
    """Equal lanes have one axis between those of their tandems; a hair more load on one keeps them apart."""
    tandems = tuple({**strip(f"t{x}", x, 3.0, p), "length": "2.2 m"} for x, p in ((0.0, 30.0), (3.0, 15.0)))
    joined, apart = (
        rated(chapters(loaded(strip("b", 0.0, 3.0, 9.0), strip("c", 3.0, 3.0, own), *tandems, slope=0.5)))
        for own in (9.0, 9.0 + 1e-6)
    )
    keys = [(room, key) for room, key in joined if key.endswith("right_one_strip")]

    assert len(keys) == 2
    assert all((joined[key] or 0.0) > (apart[key] or 2.0) - 1e-3 for key in keys)


@pytest.mark.slow
def test_part_of_the_strips_is_a_limitation_where_they_stand_in_several_places(chapters: Chapters) -> None:
    tandem = SHARED
    said = [
        {one.key for one in chapters(loaded(*those, slope=0.5))["stability"].limitations}
        for those in ((LANES[0], tandem), (*LANES, tandem))
    ]

    assert ["slip-one-strip" in keys for keys in said] == [False, True]
