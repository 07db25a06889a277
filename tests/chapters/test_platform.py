"""The chapter on the working platform: rigs that stood, rigs that must fail, and what stays open."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from calc.chain import CHAPTERS, run_chapters
from calc.engine.figure import Scene
from calc.engine.sheet import Limitation, Sheet, Verdict
from calc.inputs import read_design
from tests.chapters.rig_case import Change, on_platform
from tests.chapters.settled import keys, state
from tests.chapters.timed import base_document, layers

approx = pytest.approx
Verify = Callable[..., Sheet]
NEEDED = ("basis", "ground", "columns", "unit_cell", "sleeve", "platform")


@pytest.fixture
def verify(tmp_path: Path) -> Verify:
    """The chapter alone, with those that it reads, after changes of the test project."""

    def made(*changes: Change) -> Sheet:
        document = base_document()
        for change in changes:
            change(document)
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        design, done = read_design(tmp_path), dict[str, Sheet]()
        run_chapters(design, design.sections[0], [chapter for chapter in CHAPTERS if chapter.key in NEEDED], done)
        return done["platform"]

    return made


def verdict(sheet: Sheet, key: str) -> Verdict:
    return next(one for one in sheet.verdicts if one.key == key)


def ground(c_u: str) -> Change:
    """The same strength before and after the columns."""
    return lambda rig: rig.update(c_u=c_u, c_u_source="invented", c_u_after=c_u)


def proven(rig: Any) -> None:
    rig["proof"] = "trial loading, invented"


def woven(rig: Any) -> None:
    rig["geosynthetic"] = {"strength": "20 kN/m", "source": "invented"}
    rig["factors"] |= {"standing_low": 1.25, "extracting_low": 1.05}


def thirds(rig: Any) -> None:
    rig["spread"]["value"] = 1 / 3


def test_a_platform_that_stood_and_one_a_hand_thinner(verify: Verify) -> None:
    """V8.2, extracting: 0.8203 m by punching, 0.4479 m by load spread of 1:2."""
    stood, thin = (verify(on_platform(thickness=t)) for t in ("0.83 m", "0.73 m"))

    made = verdict(stood, "platform_thickness")
    assert made.state == "pass"
    assert made.effect == approx(0.8203, abs=5e-5)
    assert made.case["operation"] == "extracting"
    assert state(thin, "platform_thickness") == "fail"
    assert not verdict(stood, "platform_proof").applies
    assert {one.state for one in stood.verdicts if one.utilisation} == {"pass"}


def test_the_case_after_the_columns_counts(verify: Verify) -> None:
    """Ground that the columns have softened, 25 to 21 kN/m², needs more than before them."""
    sheet = verify(on_platform(lambda rig: rig.update(c_u_after="21 kPa"), thickness="0.83 m"))

    assert verdict(sheet, "platform_thickness").case["ground"] == "after the columns"
    assert state(sheet, "platform_thickness") == "fail"


def test_a_geosynthetic_counts_twice_and_the_larger_governs(verify: Verify) -> None:
    """V8.2: 0.6373 with it, 0.7049 without it at the low factors; load spread 1:3 asks for 0.6995 standing."""
    sheet = verify(on_platform(woven, thirds, thickness="0.75 m"))
    scope = sheet.scopes["punching"]

    assert scope["D_geo"].array[:, 0] == approx([0.5844, 0.6373], abs=5e-5)
    assert scope["D_pun"].array[:, 0] == approx([0.5713, 0.7049], abs=5e-5)
    assert verdict(sheet, "platform_thickness").effect == approx(0.7049, abs=5e-5)
    assert sheet.scopes["spread"]["D_spr"].array[:, 0] == approx([0.6995, 0.6719], abs=5e-5)
    assert state(sheet, "platform_thickness") == "pass"
    assert "platform-geosynthetic" in keys(sheet)


def test_soft_ground_is_never_verified_by_the_methods_alone(verify: Verify) -> None:
    """c_u 10: both methods are met by 1.70 m, but the published one ends at 20 kN/m²; a proof has to be given."""
    alone = verify(on_platform(ground("10 kPa"), thickness="1.70 m"))
    given = verify(on_platform(ground("10 kPa"), proven, thickness="1.70 m"))
    thin = verify(on_platform(ground("10 kPa"), proven, thickness="1.60 m"))

    assert state(alone, "platform_thickness") == state(alone, "platform_proof") == "not verified"
    assert verdict(alone, "platform_thickness").required
    assert "0.96" in verdict(alone, "platform_thickness").note
    assert state(given, "platform_thickness") == "pass"
    assert verdict(given, "platform_thickness").effect == approx(1.6388, abs=5e-5)
    assert verdict(given, "platform_proof").accepted
    assert state(thin, "platform_thickness") == "fail", "a proof does not turn a platform that is too thin"


def test_twenty_is_within_the_range(verify: Verify) -> None:
    assert not verdict(verify(on_platform(ground("20 kPa"))), "platform_proof").applies
    assert state(verify(on_platform(ground("19.9 kPa"))), "platform_proof") == "not verified"
    assert "platform-stiff-ground" in keys(verify(on_platform(ground("90 kPa"))))


def test_a_track_near_the_edge_needs_more_and_a_proof_of_the_edge(verify: Verify) -> None:
    """8.3: standing 1.0512, extracting 1.0307 with the outer long face left out."""

    def near(rig: Any) -> None:
        rig["edge_distance"] = "0.7 m"

    def shown(rig: Any) -> None:
        rig["edge_proof"] = "edge note, invented"

    sheet = verify(on_platform(near, thickness="1.10 m"))
    assert sheet.scopes["punching"]["D_pun"].array[:, 0] == approx([1.0512, 1.0307], abs=5e-5)
    assert state(sheet, "platform_thickness") == "pass"
    assert state(sheet, "platform_edge") == "not verified"
    assert verdict(verify(on_platform(near, shown, thickness="1.10 m")), "platform_edge").accepted
    assert state(verify(on_platform(near)), "platform_thickness") == "fail"


def test_a_steep_edge_fails(verify: Verify) -> None:
    """tan 40°/1.25 = 0.671 for a slope of 1:1.5 = 0.667 that stands and 1:1.4 = 0.714 that does not."""

    def slope(text: str) -> Change:
        return on_platform(lambda rig: rig.update(edge_slope=text))

    assert state(verify(slope("1:1.5")), "platform_edge_slope") == "pass"
    assert state(verify(slope("1:1.4")), "platform_edge_slope") == "fail"


def close(rig: Any) -> None:
    rig["track_distance"] = "2.4 m"


def test_tracks_close_together_are_verified_as_a_pair(verify: Verify) -> None:
    """Clear distance 1.6 m against 2 · 0.8 + 0.9; by hand, standing: width 2.4 + 0.8 + 0.9, length 4.9."""

    sheet = verify(on_platform(close))
    made = verdict(sheet, "platform_pair")
    pressure, bears = 2 * 240 * 0.8 * 4.0 / (4.1 * 4.9), 25 * 5.14 * (1 + 0.2 * 4.1 / 4.9)

    assert sheet.scopes["pair"]["p_pair"].array[0] == approx(pressure)
    assert sheet.scopes["pair"]["q_pair"].array[0, 0] == approx(bears)
    assert made.state == "pass"
    assert state(verify(on_platform(close, ground("11 kPa"))), "platform_pair") == "fail"
    soft = [verify(on_platform(close, ground("19 kPa"), *more)) for more in ((), (proven,))]
    assert [state(one, "platform_pair") for one in soft] == ["not verified", "pass"], "below 20 kN/m² a pass is none"
    assert "The utilisation would be 0.67" in verdict(soft[0], "platform_pair").note
    assert not verdict(verify(on_platform()), "platform_pair").applies


def test_a_weak_platform_gives_way_under_the_track(verify: Verify) -> None:
    def loose(rig: Any) -> None:
        rig["phi"] = "28 deg"

    assert state(verify(on_platform(loose)), "platform_material") == "fail"
    assert state(verify(on_platform()), "platform_material") == "pass"


def test_heads_take_the_load_of_their_cells(verify: Verify) -> None:
    """By hand, standing: spread pressure, weight of the platform, over the area ratio, K_a of 32.5°, 0.405 m.

    DA1-1 1.6 > 1.5 on the track, 1.35 on the weight; DA1-2 1.6 > 1.3 on the track, 1.0, tan 32.5°/1.25, which governs.
    """
    sheet = verify(on_platform())
    share = 0.5026548 / 3.3609580
    track = 240 * 0.8 * 4.0 / (1.7 * 4.9)
    first, second = ((track + f * 18.0) / share for f in (1.35, 1.0))
    found = sheet.scopes["heads"]["F_hd"]
    lanes = [found.number({"factor_set": name, "operation": "standing"}) for name in sheet.axes["factor_set"]]

    assert lanes == approx([0.405 * 0.300983 * first, 0.405 * 0.375437 * second], rel=1e-4)
    assert verdict(sheet, "platform_heads").effect == approx(max(found.array.flat))
    assert verdict(sheet, "platform_heads").factor_set == "EN 1997-1 DA1-2"

    def weak(document: Any) -> None:
        document["sleeve"]["strength"] = "150 kN/m"

    assert state(verify(on_platform(), weak), "platform_heads") == "fail"


def test_load_and_pressure_give_the_same_rectangle(verify: Verify) -> None:
    """V8.3: 600 kN with 0.8 m is 129.31 over 2.9 m; an operation of either kind stands beside the other."""

    def by_load(rig: Any) -> None:
        rig["operation"][0] = {"name": "standing", "relieves": False, "load": "600 kN",
                               "eccentricity_along": "0.8 m", "eccentricity_across": "0 m"}  # fmt: skip

    def all_by_load(rig: Any) -> None:
        by_load(rig)
        rig["operation"][1] = rig["operation"][0] | {"name": "extracting", "relieves": True}

    mixed, both = verify(on_platform(by_load)), verify(on_platform(all_by_load))
    assert mixed["q_tr"].array == approx([129.31, 220.0], abs=0.005)
    assert mixed["L_eff"].array == approx([2.9, 2.2])
    assert both["q_tr"].array == approx([129.31, 129.31], abs=0.005)


def test_mats_spread_the_pressure_and_are_a_judgement(verify: Verify) -> None:
    def on_mats(rig: Any) -> None:
        rig["mats"] = {"width": "2.4 m", "weight": "3 kPa", "source": "mat note, invented"}

    sheet = verify(on_platform(on_mats))
    assert sheet["q_lo"].array == approx([50.0 + 3.0, 220 / 3 + 3.0]), "their weight, 3 kN/m², is on the ground too"
    made = next(limitation for limitation in sheet.limitations if limitation.key == "platform-mats")
    assert "platform_thickness" not in made.turns, "V8.2: bare tracks need 0.8203 m of 0.9 m"
    assert "0.820 m (utilisation 0.911)" in made.text
    thin = verify(on_platform(on_mats, thickness="0.8 m"))
    assert (
        "platform_thickness"
        in next(limitation for limitation in thin.limitations if limitation.key == "platform-mats").turns
    )


def test_strength_before_the_columns_is_that_of_the_layers_and_after_them_the_project_s_own(verify: Verify) -> None:
    """The remoulded strength of the first lift is an upper value, for the drag: it never holds a platform."""

    def without(rig: Any) -> None:
        del rig["c_u_after"], rig["c_u_after_source"]

    def lift(document: Any) -> None:
        document["first_lift"] = {
            "thickness": "0.4 m", "machines": "dozer", "plant": "0 kPa", "machine_cover": "0.4 m", "placing": "tipped",
            "remoulded_strength": "5 kPa", "panels": 3, "panel_width": "5 m", "source": "invented",
        }  # fmt: skip

    def softer(document: Any) -> None:
        document["section"][0]["layer"][1]["c_u"] = "22 kPa"

    assert verify(on_platform(), softer)["c_u"].array.tolist() == [22.0, 25.0]
    sheet = verify(on_platform(without), lift, softer)
    assert (state(sheet, "platform_thickness"), "c_u" in sheet.values) == ("not verified", False)
    bare = verify(on_platform(without), layers(c_u=None))
    note = verdict(bare, "platform_thickness").note
    assert state(bare, "platform_thickness") == "not verified"
    assert "c_u" in note
    assert "platform.rig.c_u_after" in note


def test_strengths_beyond_the_layers_and_growing_by_columns_are_named(verify: Verify) -> None:
    sheet = verify(on_platform(lambda rig: rig.update(c_u="40 kPa", c_u_source="invented", c_u_after="50 kPa")))

    assert {"platform-strength", "platform-after"} <= keys(sheet)


def test_factors_below_the_published_ones_are_named(verify: Verify) -> None:
    def lower(rig: Any) -> None:
        rig["factors"] |= {"standing": 1.3, "extracting": 1.2}

    sheet = verify(on_platform(lower))
    low = next(limitation for limitation in sheet.limitations if limitation.key == "platform-factors")
    assert "1.6" in low.text
    assert "1.2" not in low.text
    assert "platform-factors" not in keys(verify(on_platform()))


def test_the_earth_pressure_of_the_standard_would_turn_a_thickness_between_the_two(verify: Verify) -> None:
    """0.820 m with 5.5, 0.877 m with 4.808."""

    def turned(thickness: str) -> tuple[str, ...]:
        sheet = verify(on_platform(thickness=thickness))
        return next(limitation for limitation in sheet.limitations if limitation.key == "platform-earth-pressure").turns

    assert turned("0.85 m") == ("platform_thickness",)
    assert turned("0.90 m") == ()
    low = verify(on_platform(lambda rig: rig["punching"].update(value=4.5)))
    assert "platform-earth-pressure" not in keys(low)


@pytest.mark.parametrize(
    ("answer", "accepted"),
    [("see note 7", True), ("not relevant because there is no structure near", False), (None, False)],
)
def test_without_a_rig_the_project_names_who_verifies_the_platform(
    verify: Verify, answer: str | None, *, accepted: bool
) -> None:
    def answered(document: Any) -> None:
        if answer is None:
            del document["outside"]["platform_rig"]
        else:
            document["outside"]["platform_rig"] = answer

    made = verdict(verify(answered), "platform_thickness")
    assert made.accepted is accepted
    assert made.required
    assert made.state == ("pass" if accepted else "not verified")
    assert ("note 7" in made.note) is accepted


def test_the_page_has_operations_rules_and_the_track(chapters: Callable[..., dict[str, Sheet]]) -> None:
    written = chapters(on_platform(woven))["platform"].page
    operations, rules = written.tables
    (figure,) = written.figures

    assert [row[:3] for row in operations.rows] == [
        ["standing", "cannot", "before the columns"],
        ["standing", "cannot", "after the columns"],
        ["extracting", "can", "before the columns"],
        ["extracting", "can", "after the columns"],
    ]
    assert [row[0] for row in rules.rows][1] == "Certificate"
    assert "3 m" in rules.rows[-1][1]
    assert isinstance(figure, Scene)
    assert figure.equal
    assert chapters()["platform"].page.tables == []


def on_mats(width: str = "2.0 m", edge: str = "1.5 m") -> Change:
    def made(rig: Any) -> None:
        rig["mats"] = {"width": width, "weight": "3 kPa", "source": "mat note, invented"}
        rig["edge_distance"] = edge

    return made


@pytest.mark.parametrize(("width", "made"), [("2.0 m", "pass"), ("2.19 m", "pass"), ("2.3 m", "not verified")])
def test_mats_bring_the_load_nearer_to_the_edge(verify: Verify, width: str, made: str) -> None:
    """1.5 m from a track of 0.8 m: mats of 2.0, 2.19, 2.3 m reach to 0.90, 0.805, 0.75 m; the thickness is 0.80 m."""
    sheet = verify(on_platform(on_mats(width), thickness="0.8 m"))

    assert state(sheet, "platform_edge") == made
    assert float(sheet["k_side"].array) == (2 if made == "pass" else 1)
    if width == "2.0 m":
        assert verdict(sheet, "platform_edge").utilisation == approx(0.8 / 0.9)


def limit(sheet: Sheet, key: str) -> Limitation:
    return next(limitation for limitation in sheet.limitations if limitation.key == key)


@pytest.mark.parametrize(("water", "weight"), [("0.3 m", 20.0), ("0.5 m", 10.19)])
def test_water_above_the_ground_leaves_the_platform_its_buoyant_weight(
    verify: Verify, water: str, weight: float
) -> None:
    """The ground is at 0.4 m; V8.2 extracting, 0.8203 m, grows with the root of 20/10.19 to 1.149 m."""
    sheet = verify(on_platform(thickness="0.9 m"), lambda document: document["water"].update(mean=water))

    assert float(sheet["gamma_Pr"].array) == approx(weight)
    assert verdict(sheet, "platform_thickness").effect == approx(0.8203 * (20 / weight) ** 0.5, abs=1e-4)
    assert state(sheet, "platform_thickness") == ("pass" if weight == 20.0 else "fail")
    assert sheet.scopes["material"]["R_pm"].array == approx([weight / 20 * one for one in (797.53, 755.84)], rel=1e-3)


def test_the_least_thickness_by_the_width_of_the_mats_is_named(verify: Verify) -> None:
    """Mats of 2.0 m ask for 1.0 m in place of 0.4 m: that turns 0.9 m and not 1.0 m."""
    thin, thick = (verify(on_platform(on_mats(), thickness=t)) for t in ("0.9 m", "1.0 m"))

    assert limit(thin, "platform-least").turns == ("platform_thickness",)
    assert "1.000 m" in limit(thin, "platform-least").text
    assert limit(thick, "platform-least").turns == ()
    assert "platform-least" not in keys(verify(on_platform()))


def test_a_thickness_of_nothing_is_not_yet_ground_that_needs_no_platform(verify: Verify) -> None:
    """Ground of 50 kN/m²: 267.3/150 = 1.78 of 2.0 and 275.7/220 = 1.25 of 1.5 (V8.2 times 2), both methods 0."""
    sheet = verify(on_platform(ground("50 kPa")))

    assert sheet["r_sg"].array[:, 0] == approx([133.64 * 2 / 150, 137.85 * 2 / 220], abs=1e-3)
    assert verdict(sheet, "platform_thickness").effect == approx(0.4), "the least thickness counts"
    assert (sheet.scopes["punching"]["D_pun"].array == 0).all()
    assert (sheet.scopes["spread"]["D_spr"].array == 0).all()


def test_what_the_rig_sheet_gives_is_a_given_value_with_its_source(verify: Verify) -> None:
    sheet = verify(on_platform())
    given = next(step for step in sheet.steps if step.symbol == "q_tr")

    assert given.kind == "given"
    assert [origin.path for origin in given.origins] == [f"platform.rig.operation.{k}.pressure" for k in (0, 1)]
    assert given.note == "rig sheet 1, invented"
