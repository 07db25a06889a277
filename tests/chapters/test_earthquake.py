"""A seismic situation through the chapters: what moves, what stays as at rest, what it relies on."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import GIVEN_RATIO
from calc.engine.sheet import Sheet
from tests.chapters.mats import verdict
from tests.chapters.settled import keys
from tests.chapters.shaken import FACTORS, STAGE, shaken
from tests.chapters.slip_case import searched

Chapters = Callable[..., dict[str, Sheet]]
FINAL = "3 Final"
SECOND = "EN 1997-1 DA1-2"


def number(sheet: Sheet, scope: str, name: str, stage: str = STAGE, **more: str) -> float:
    found = (sheet.scopes[scope] if scope else sheet)[name].number(
        {"stage": stage, "factor_set": SECOND, "ratio": GIVEN_RATIO, **more}
    )
    assert found is not None
    return found


def test_coefficients_and_factors_hold_in_the_seismic_stage_alone(chapters: Chapters) -> None:
    basis = chapters(shaken())["basis"]

    coefficients = basis.scopes["earthquake"]
    assert coefficients["k_h"].array == pytest.approx([0, 0, 0.0675, 0])
    assert coefficients["f_vu"].array == pytest.approx([1, 1, 1 - 0.03375, 1])
    assert number(basis, "", "gamma_QS") == pytest.approx(0.3)  # ψ₂ in place of a factor on traffic
    assert number(basis, "", "gamma_phi") == pytest.approx(1.25)
    assert number(basis, "", "gamma_QS", FINAL) == pytest.approx(1.3)
    assert verdict(basis, "liquefaction").accepted
    assert "liquefaction" in keys(basis)
    assert not {"earthquake-water", "earthquake-strips"} & set(keys(basis))
    table = next(table for table in basis.page.tables if table.key == "factors")
    assert ["seismic"] * 2 == [row[1] for row in table.rows if row[1] == "seismic"]
    others = next(table for table in basis.page.tables if table.key == "other-factors")
    assert any("seismic 1.2" in row[1] for row in others.rows)


def with_strips_and_another_water(document: Any) -> None:
    document["traffic"] = {
        "q": "5 kPa", "spread": {"slope": 0.5, "source": "test"},
        "strip": [{"name": "A", "position": "0 m", "width": "3 m", "line_load": "90 kN/m", "class_factor": 1.1,
                   "depth": "0 m", "source": "test"}],
    }  # fmt: skip
    document["stage"][-1]["water"] = "high"
    document["water"] = {"mean": document["water"]["mean"], "high": "0 m"}


def test_what_the_earthquake_does_not_meet_is_said_beside_its_verdicts(chapters: Chapters) -> None:
    basis = chapters(shaken(with_strips_and_another_water))["basis"]

    said = {limitation.key: limitation for limitation in basis.limitations}
    assert "the water level “high”" in said["earthquake-water"].text
    assert {"sliding", "squeeze"} <= set(said["earthquake-water"].turns)
    assert not {"toe_bearing", "squeeze_lift"} & set(said["earthquake-water"].turns)
    assert "not calculated" in said["earthquake-strips"].text
    assert not said["earthquake-strips"].turns


def strip_over(width: str, load: str, q: str = "0 kPa") -> Callable[[Any], None]:
    """One strip at the crest, without spread."""

    def change(document: Any) -> None:
        document["traffic"] = {
            "q": q, "spread": {"slope": 0.0, "source": "test"},
            "strip": [{"name": "A", "position": "0 m", "width": width, "line_load": load, "class_factor": 1.0,
                       "depth": "0 m", "source": "test"}],
        }  # fmt: skip

    return change


def uniform(document: Any) -> None:
    document["traffic"] = {"q": "20 kPa"}


def test_strip_over_the_crest_pushes_like_a_uniform_load_under_shaking(chapters: Chapters) -> None:
    """ψ₂ on both, in the seismic stage and beside it; the crest is wide enough for the wedge."""
    strip, even = (chapters(shaken(change)) for change in (strip_over("12 m", "240 kN/m"), uniform))

    for stage in (STAGE, FINAL):
        for scope, name in (("slope", "E_ad"), ("sliding", "E_ad")):
            assert number(strip["thrust"], scope, name, stage) == pytest.approx(
                number(even["thrust"], scope, name, stage), rel=1e-9
            )
    assert number(strip["thrust"], "slope", "q_a") == pytest.approx(20.0)
    rated = [
        {one.key: one.utilisation for one in run[key].verdicts if one.utilisation}
        for run in (strip, even) for key in ("thrust", "reinforcement", "bearing")
    ]  # fmt: skip
    for one, other in zip(rated[:3], rated[3:], strict=True):
        assert other
        assert {key: one[key] for key in other} == pytest.approx(other, rel=1e-6)


@pytest.mark.slow
def test_strip_over_the_crest_and_a_uniform_load_have_the_same_slip_surfaces(chapters: Chapters) -> None:
    """Weight and inertia of ψ₂ times the strip; half of it does less."""
    strip, even, half = (
        chapters(searched(shaken(change)))["stability"]
        for change in (strip_over("12 m", "240 kN/m"), uniform, strip_over("12 m", "120 kN/m"))
    )

    assert number(strip, "slip", "F_Bi") == pytest.approx(number(even, "slip", "F_Bi"), rel=1e-9)
    assert number(half, "slip", "F_Bi") > number(strip, "slip", "F_Bi") + 1e-3


def test_strip_and_its_inertia_lower_the_factors_by_the_share_that_is_given(chapters: Chapters) -> None:
    """A strip of no weight is none; its weight under the earthquake is that of ψ₂."""
    none, some = (chapters(shaken(strip_over("12 m", f"{load} kN/m")))["thrust"] for load in ("0.001", "240"))

    assert number(none, "slope", "E_ad") < number(some, "slope", "E_ad")
    assert number(some, "slope", "q_st") == pytest.approx(0.3 * 20.0)


@pytest.fixture
def both(chapters: Chapters) -> tuple[dict[str, Sheet], dict[str, Sheet]]:
    """At rest, and shaken."""
    return chapters(searched(shaken(a_g=0.0, strength_left=1.0))), chapters(searched(shaken()))


Both = tuple[dict[str, Sheet], dict[str, Sheet]]
MOVED = [
    ("stability", "slip", "F_Bi"), ("stability", "slip", "F_Sp"), ("stability", "blocks", "F_bl"),
    ("stability", "face", "F_fs"), ("bearing", "squeeze", "F_x"),
]  # fmt: skip
DRIVEN = [
    ("thrust", "slope", "T_spr"), ("thrust", "sliding", "E_adE"), ("bearing", "squeeze", "p_sEk"),
    ("bearing", "edge_rows", "p_xk"),
]  # fmt: skip


@pytest.mark.slow
def test_earthquake_weakens_every_mechanism_in_its_stage_and_in_no_other(both: Both) -> None:
    still, moved = both
    for key, scope, name in MOVED:
        assert number(moved[key], scope, name) < number(still[key], scope, name), name
        assert number(moved[key], scope, name, FINAL) == number(still[key], scope, name, FINAL), name
    for key, scope, name in DRIVEN:
        assert number(moved[key], scope, name) > number(still[key], scope, name), name
        assert number(moved[key], scope, name, FINAL) == number(still[key], scope, name, FINAL), name
    assert number(moved["reinforcement"], "anchorage", "sigma_b") < number(
        still["reinforcement"], "anchorage", "sigma_b"
    )
    assert {"slip-earthquake"} <= keys(moved["stability"])
    assert {"thrust-earthquake"} <= keys(moved["thrust"])
    assert {"bearing-earthquake"} <= keys(moved["bearing"])
    assert number(moved["stability"], "slip", "k_vF") in (0.03375, -0.03375)


@pytest.mark.slow
def test_no_acceleration_is_the_static_case_with_the_factors_of_the_earthquake(chapters: Chapters) -> None:
    """Against an accidental stage with a set that has these factors, with the whole traffic."""
    values = {name: value for name, value in FACTORS.items() if name.startswith("gamma_")}
    values |= {"gamma_Q": 1.0, "gamma_gamma": 1.0}

    def given(document: Any) -> None:
        document["basis"]["factor_sets"] = ["own"]
        document["basis"]["factor_set"] = [
            {"key": "own", "title": "own", "kind": "material", "source": "invented",
             **{name: dict(values) for name in ("persistent", "transient", "accidental")}}
        ]  # fmt: skip
        document["earthquake"]["factors"] = {**FACTORS, "psi_2": 1.0}

    def accidental(document: Any) -> None:
        given(document)
        document["stage"][1]["situation"] = "accidental"
        document["outside"].pop("seismic")
        del document["earthquake"]

    quake = chapters(searched(shaken(given, a_g=0.0, strength_left=1.0)))
    plain = chapters(searched(shaken(accidental)))
    case = {"factor_set": "own"}

    for key, scope, name in (*MOVED, ("thrust", "slope", "T_spr"), ("bearing", "squeeze", "p_Rxd")):
        assert number(quake[key], scope, name, **case) == pytest.approx(
            number(plain[key], scope, name, **case), rel=1e-12
        )
    assert number(quake["bearing"], "squeeze", "p_sEk", **case) == number(plain["bearing"], "squeeze", "p_sE", **case)


def test_soil_alone_settles_nothing_for_an_earthquake(chapters: Chapters) -> None:
    """Strong ground: its bearing settles extrusion at rest, the wedge without columns that under the earthquake.

    Fill and columns may then be what they are: there is nothing across that would hold a thrust.
    """

    def strong(document: Any) -> None:
        for soft in document["section"][0]["layer"]:
            soft["c_u"] = "60 kPa"
        for one in document["reinforcement"]:
            one["direction"] = "along"
            one.pop("anchorage", None)

    bearing = chapters(shaken(strong))["bearing"]
    alone, wedge = verdict(bearing, "soft_bearing"), verdict(bearing, "squeeze")

    assert alone.state == "pass"
    assert alone.utilisations is not None
    assert STAGE not in alone.utilisations.labels("stage")
    assert wedge.utilisations is not None
    assert (wedge.state, wedge.utilisations.labels("stage")) == ("pass", (STAGE, FINAL))  # a gain in the last
    bare = bearing.scopes["untreated"]
    assert wedge.utilisation == pytest.approx(float((bare["p_xk"].array / bare["p_Rxd"].array)[:, 2:].max()))
    assert "squeeze" not in bearing.scopes


@pytest.mark.parametrize("case", ["weaker", "compensation fill", "top held"])
def test_bare_wedge_settles_no_earthquake_where_it_fails_or_rests_on_more(chapters: Chapters, case: str) -> None:
    def change(document: Any) -> None:
        for soft in document["section"][0]["layer"]:
            soft["c_u"] = "20 kPa" if case == "weaker" else "60 kPa"
        if case == "compensation fill":
            document["section"][0]["makeup_fill"] = True
            document["embankment"]["gamma_sub"] = "10 kN/m^3"
        if case == "top held":
            document["field"]["hold_top"] = 0.5

    assert "squeeze" in chapters(shaken(change))["bearing"].scopes


def test_reliance_on_the_columns_is_judged_with_the_inertia(chapters: Chapters) -> None:
    bare = chapters(shaken())["bearing"].scopes["untreated"]

    assert bare["F_x"].array[bare["F_x"].valid] == pytest.approx(
        (bare["p_Rxd"].array / bare["p_xk"].array)[bare["F_x"].valid]
    )


def test_weights_drive_the_wedge_with_the_inertia_downward(chapters: Chapters) -> None:
    """k_v 0.03375; a wedge driven by its inertia more than by weight may be worse with the inertia upward."""
    usual, strong = (chapters(shaken(a_g=a_g))["bearing"] for a_g in (0.10, 0.6))

    for scope, driven, weights in (("squeeze", "p_sEk", "p_sE"), ("edge_rows", "p_xk", "p_x")):
        whole = number(usual, scope, driven) - number(usual, scope, "p_kh")
        assert whole == pytest.approx(1.03375 * number(usual, scope, weights)), scope
    stated = [limitation for limitation in strong.limitations if limitation.key == "squeeze-upward"]
    assert [one.turns for one in stated] == [("squeeze",)]
    assert STAGE.split(" ", 1)[1] in stated[0].text
    assert "squeeze-upward" not in keys(usual)


@pytest.mark.slow
def test_sides_that_are_mirrored_shake_alike(chapters: Chapters) -> None:
    """Unequal slopes, then the same the other way round: every verdict of one side is that of the other."""

    def steep(side: str) -> Callable[[Any], None]:
        def change(document: Any) -> None:
            document["embankment"][f"slope_{side}"] = "1:1.8"

        return change

    one, other = (chapters(shaken(steep(side))) for side in ("left", "right"))
    for key, scopes in (("bearing", ("squeeze", "edge_rows")), ("thrust", ("slope", "sliding", "sliding_below"))):
        for scope in scopes:
            left, right = one[key].scopes[f"{scope}_left"], other[key].scopes[f"{scope}_right"]
            assert len(left.values) > 10
            for name, value in left.values.items():
                assert value.array == pytest.approx(right[name].array, nan_ok=True), (scope, name)


@pytest.mark.slow
def test_slices_print_the_horizontal_forces_where_the_earthquake_governs(chapters: Chapters) -> None:
    stability = chapters(searched(shaken(a_g=0.3)))["stability"]
    tables = [
        table
        for table in stability.page.tables
        if table.key.endswith("-slices") and "H" in {c.words for c in table.head}
    ]

    assert tables
    assert all("vertical inertia" in table.note for table in tables)
    table = tables[0]
    assert [one.words for one in table.head][-1] == "H"
    assert all(float(row[-1].replace("−", "-")) > 0 for row in table.rows)


def test_zones_and_berms_are_moved_by_the_heaviest_of_them(chapters: Chapters) -> None:
    def zoned(document: Any) -> None:
        document["embankment"]["zone"] = [
            {"name": "cap", "bottom": "4 m", "top": "5 m", "gamma": "22 kN/m^3", "phi": "35 deg", "c": "0 kPa"}
        ]
        document["embankment"]["berm_right"] = {"width": "5 m", "height": "1 m", "slope": "1:2", "stage": "First lift"}

    done = chapters(shaken(zoned))

    assert float(done["thrust"]["gamma_EK"].array) == 22
    assert float(done["bearing"]["gamma_EK"].array) == 22
    assert number(done["bearing"], "berm_edge_right", "p_xk") > number(done["bearing"], "berm_edge_right", "p_x")
    bearing = verdict(done["bearing"], "berm_bearing_right").utilisations
    assert bearing is not None
    assert STAGE not in bearing.labels("stage")


def test_wedge_and_thrust_are_moved_by_one_weight_of_platform_and_fill(chapters: Chapters) -> None:
    def heavy(document: Any) -> None:
        document["platform"] = {"thickness": "0.5 m", "gamma": "23 kN/m^3", "role": "load"}

    done = chapters(shaken(heavy))

    assert [float(done[key]["gamma_EK"].array) for key in ("thrust", "bearing")] == [23, 23]
    assert number(done["bearing"], "wedge_held", "W_SE") == pytest.approx(
        0.5 * 23 * number(done["bearing"], "wedge_held", "n_S") * number(done["bearing"], "wedge_held", "H_tM") ** 2
    )


SOUNDINGS = [
    {"location": "S1", "depth": "12 m", "N_60": 9, "fines": 8},
    {"location": "S2", "depth": "9 m", "N_60": 30, "fines": 8},
    {"location": "C1", "depth": "13 m", "q_c": "17 MPa", "fines": 5},
]  # fmt: skip


def screened(soundings: list[dict[str, Any]]) -> dict[str, Any]:
    return {"magnitude": 6.0, "factor": 1.25, "source": "invented", "sounding": soundings}


def test_readings_of_both_kinds_are_screened_and_the_loosest_decides(chapters: Chapters) -> None:
    """Stresses by hand: the weight of the soft layers with water at rest, then sand of 20.5 kN/m³."""
    ground = chapters(shaken(screening=screened(SOUNDINGS)))["ground"]
    loose, dense = (verdict(ground, f"liquefaction_screening_{name}") for name in ("N_60", "q_c"))
    scope = ground.scopes["liquefaction_screening_N_60"]

    assert (loose.state, dense.state) == ("fail", "pass")
    assert loose.case["reading"] == "1 S1, 12 m"
    stress, base = scope["sigma_ej"].at(stage=STAGE).array, scope["sigma_eB"].at(stage=STAGE).array
    assert stress == pytest.approx(base + (20.5 - 9.81) * np.array([5.5, 2.5]))
    assert scope["sigma_tj"].at(stage=STAGE).array == pytest.approx(stress + 9.81 * (np.array([12, 9]) - 0.7))
    assert scope["CSR_j"].array == pytest.approx(scope["CSR_0j"].array)
    assert (scope["CSR_0j"].array > scope["CSR_rj"].array).all()
    assert "liquefaction_screening" in keys(ground)
    tables = [table for table in ground.page.tables if table.key.startswith("liquefaction_screening")]
    assert [len(table.rows) for table in tables] == [2, 1]
    cone = chapters(shaken(screening=screened(SOUNDINGS[2:])))["ground"]
    assert [one.key for one in cone.verdicts if "screening" in one.key] == ["liquefaction_screening_q_c"]


@pytest.mark.parametrize("levels", [("low", "mean"), ("mean", "low")])
def test_the_worst_of_the_seismic_stages_decides_on_liquefaction(chapters: Chapters, levels: tuple[str, str]) -> None:
    """Water higher by 3 m lessens the effective stress more than the resistance; the order says nothing."""

    def twice(document: Any) -> None:
        document["water"]["low"] = "-3.3 m"
        quake = document["stage"][1]
        quake.update(water=levels[0], duration="1 d")
        document["stage"].insert(2, {**quake, "name": "Aftershock", "start": "51 d", "water": levels[1]})

    ground = chapters(shaken(twice, screening=screened(SOUNDINGS[:1])))["ground"]
    found = verdict(ground, "liquefaction_screening_N_60")
    worst = ground.scopes["liquefaction_screening_N_60"]["F_liq"].at(stage=(STAGE, "3 Aftershock")).array[:, 0]
    (table,) = (table for table in ground.page.tables if table.key.startswith("liquefaction_screening"))

    assert found.case["stage"] == ("3 Aftershock" if levels[1] == "mean" else STAGE)
    assert worst.min() < 0.9 * worst.max()
    assert found.utilisation == pytest.approx(1.25 / worst.min())
    assert float(table.rows[0][-1]) == pytest.approx(worst.min(), abs=5e-5)


def test_screening_takes_no_heads_over_depth(chapters: Chapters) -> None:
    def heads(document: Any) -> None:
        document["water"]["head"] = [
            {"water": name, "source": "invented", "points": [{"level": "-6.1 m", "head": "0.5 m"}]}
            for name in dict.fromkeys(one["water"] for one in document["stage"])
        ]

    ground = chapters(shaken(heads, screening=screened(SOUNDINGS[:1])))["ground"]
    assert verdict(ground, "liquefaction_screening").state == "not verified"
