"""A crest that falls from one edge to the other, from the project file through the chapters.

The test bank of 6 m with a crest of 12 m and slopes 1:2 falls by 5 % to 5.4 m at one edge; its first lift of 5.7 m is
level over the half of the crest on the side of the higher edge.
"""

from collections.abc import Callable
from math import atan, radians, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chain import Run
from calc.chapters.load_transfer.arching_cell import EDGES
from calc.chapters.shared.geometry import PLACES, profile
from calc.engine.figure import Callouts, Dimension, Scene
from calc.engine.sheet import Sheet
from calc.formulas.crest import active_coefficient_below_rising_ground
from calc.procedures.extrusion import beyond_columns, critical_thickness
from tests.chapters.mats import OVERLAP, whole
from tests.chapters.shaken import shaken
from tests.chapters.slip_case import coarse
from tests.chapters.timed import first_chapters, timed

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
LIFT, FINAL, SECOND = "1 First lift", "2 Final", "EN 1997-1 DA1-2"
ZONE = {"name": "drain", "bottom": "0 m", "top": "0.5 m", "gamma": "18 kN/m^3", "phi": "35 deg", "c": "0 kPa"}
PLATFORM = {"thickness": "0.5 m", "gamma": "18 kN/m^3", "role": "load"}
approx = pytest.approx


def falls(side: str, *changes: Change) -> Change:
    """The lower edge on this side, a platform, a zone of drainage, compensation fill."""

    def change(document: Any) -> None:
        whole(document)
        document["embankment"] |= {f"height_{side}": "5.4 m", "gamma_sub": "10 kN/m^3", "zone": [dict(ZONE)]}
        document["platform"] = dict(PLATFORM)
        document["stage"][0]["fill_height"] = "5.7 m"
        document["section"][0]["makeup_fill"] = True
        document["reinforcement"][0]["overlap"] = dict(OVERLAP)
        document["reinforcement"][0].pop("joint")
        for one in changes:
            one(document)

    return change


def mirrored(key: str) -> str:
    swapped = {"left": "right", "right": "left"}
    return "_".join(swapped.get(part, part) for part in key.split("_"))


def utilisations(sheets: dict[str, Sheet]) -> dict[str, tuple[str, float | None]]:
    return {
        f"{key}.{verdict.key}": (verdict.state, verdict.utilisation)
        for key, sheet in sheets.items()
        for verdict in sheet.verdicts
    }


def same_when_mirrored(left: dict[str, Sheet], right: dict[str, Sheet]) -> bool:
    """Every verdict of one side is that of the other side of the mirrored bank."""
    one, other = utilisations(left), {mirrored(key): value for key, value in utilisations(right).items()}
    assert one.keys() == other.keys()
    for key, (state, value) in one.items():
        assert other[key] == (state, None if value is None else approx(value, rel=1e-6)), key
    return len(one) > 40


@pytest.mark.slow
def test_mirrored_bank_has_mirrored_verdicts(chapters: Chapters) -> None:
    assert same_when_mirrored(chapters(falls("left", coarse)), chapters(falls("right", coarse)))


def test_mirrored_bank_has_mirrored_verdicts_under_shaking(chapters: Chapters) -> None:
    def quake(side: str) -> Change:
        return shaken(lambda document: document["embankment"].update({f"height_{side}": "5.4 m"}))

    left = chapters(quake("left"))

    assert same_when_mirrored(left, chapters(quake("right")))
    thrust = left["thrust"].scopes
    assert (thrust["slope_left"]["K_Eu"].array > thrust["slope_right"]["K_Eu"].array).any()


def test_edges_of_one_height_change_no_digit(chapters: Chapters) -> None:
    def given(document: Any) -> None:
        whole(document)
        document["embankment"] |= {"height_left": "6 m", "height_right": "6 m"}

    level, typed = chapters(whole), chapters(given)

    for key, sheet in level.items():
        scopes = {"": sheet.values} | {name: scope.values for name, scope in sheet.scopes.items()}
        for name, values in scopes.items():
            other = typed[key].scopes[name].values if name else typed[key].values
            assert values.keys() == other.keys()
            for symbol, value in values.items():
                assert np.array_equal(value.array, other[symbol].array, equal_nan=True), (key, name, symbol)


def test_higher_side_thrusts_as_a_level_bank_and_the_lower_one_with_its_rising_fill(chapters: Chapters) -> None:
    """Characteristic thrust of 5.9 m with the settlement made up, φ'd by 1.25, fill rising at 5 %."""
    fallen = chapters(falls("left"))["thrust"]
    level = chapters(falls("left", lambda one: one["embankment"].update(height_left="6 m")))["thrust"]
    low, high = fallen.scopes["slope_left"], fallen.scopes["slope_right"]
    at = {"factor_set": SECOND, "stage": FINAL}

    assert high["E_ad"].at(**at).array == approx(level.scopes["slope"]["E_ad"].at(**at).array, rel=1e-12)
    assert fallen["T_spr"].at(**at).array == approx(high["T_spr"].at(**at).array)
    height = 5.9 + float(fallen["s_th"].at(stage=FINAL).array)
    K_a = active_coefficient_below_rising_ground(atan(tan(radians(32.5)) / 1.25), atan(0.05))
    assert low["H_th"].at(stage=FINAL).array == approx(height)
    assert low["E_aQ"].at(**at).array == approx(K_a * 1.3 * 20 * height)
    assert float(low["E_ad"].at(**at).array) < float(high["E_ad"].at(**at).array)


def area(corners: tuple[tuple[float, float], ...]) -> float:
    x, y = np.array(corners).T
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def test_profile_follows_level_layers_up_to_the_final_crest_line(chapters: Chapters) -> None:
    """Ground at 0.4 m, platform of 0.5 m: the toes stand 2·5.9 and 2·6.5 m outside the crest edges."""
    columns = chapters(falls("left"))["columns"]
    lift, final = profile(columns, LIFT), profile(columns, FINAL)

    toes = (-6 - 2 * 5.9, 0.4), (6 + 2 * 6.5, 0.4)
    assert final.outline == approx_places(toes[0], (-6, 6.3), (6, 6.9), toes[1])
    assert lift.outline == approx_places(toes[0], (-6, 6.3), (0, 6.6), (6 + 2 * 0.3, 6.6), toes[1])
    assert area(final.outline) == approx(12 * (5.9 + 6.5) / 2 + 5.9**2 + 6.5**2)
    assert final.crest == approx(6.9)
    assert "crest-falls" in {limitation.key for limitation in columns.limitations}
    assert "z_csl" not in chapters()["columns"].scopes[PLACES].values


def approx_places(*places: tuple[float, float]) -> Any:
    return tuple(approx(place) for place in places)


def test_least_height_counts_where_less_fill_is_worse(chapters: Chapters) -> None:
    """Cover of the lap and of the heads, settlement at the crest edge, width of the strip on the soft ground."""
    done = chapters(falls("left"))
    lap, ends = done["reinforcement"].scopes["lap_across"], done["reinforcement"].scopes

    assert lap["H_R"].at(stage=FINAL).array == approx(0.4 + 0.5 + 5.4 - 0.4)
    assert ends["anchorage_left"]["H_R"].at(stage=FINAL).array == approx(5.9)
    assert ends["anchorage_right"]["H_R"].at(stage=FINAL).array == approx(6.5)
    cover = done["load_transfer"].scopes["least_cover"]["H_A"].at(stage=FINAL)
    assert cover.array == approx(5.4 + 0.5 * 18 / 19)
    share = done["unit_cell"].scopes["settlement"]["f_H"].at(stage=FINAL)
    assert share.array == approx([1.0, 0.9, 0.45])
    width = done["bearing"].scopes["soft"]["B_t"].at(stage=FINAL)
    assert width.array == approx(12 + 4 * (5.4 - 5.4 / 2))


def test_gain_of_strength_is_that_of_the_lower_side(first: Chapters) -> None:
    def change(document: Any) -> None:
        timed()(document)
        document["embankment"]["height_right"] = "5.4 m"

    gain = first(change)["consolidation"].scopes["gain"]

    assert float(gain["H_b"].array.max()) <= 5.4
    level = first(timed())["consolidation"].scopes["gain"]
    assert gain["H_b"].array == approx(np.minimum(level["H_b"].array, 5.4))


def lower_left(document: Any) -> None:
    document["embankment"]["height_left"] = "5.4 m"


def soft(document: Any) -> None:
    for one in document["section"][0]["layer"]:
        one["c_u"] = "9 kPa"


def test_wedge_below_the_lower_edge_bears_what_rises_behind_it(bearing: Callable[..., Sheet]) -> None:
    """The pressure grows by 19·0.05 kPa/m, more than the resistance of 9 kPa over 6.5 m does."""
    sheet = bearing(whole, lower_left, soft)
    wedge, other = sheet.scopes["squeeze_left"], sheet.scopes["squeeze_right"]
    at = {"factor_set": SECOND, "stage": FINAL}

    rise, gained = (float(wedge[name].at(**at).array) for name in ("g_ri", "g_re"))
    assert rise == approx(19 * 0.05)
    assert gained < rise
    before, driven = (wedge[name].at(**at).array for name in ("p_sE", "p_sEr"))
    assert driven == approx(before + 12 * (rise - gained))
    assert "p_sEr" not in other.values
    lift = sheet.scopes["squeeze_lift_left"]
    more = 12 * np.maximum(lift["g_ri"].at(**at).array - lift["g_re"].at(**at).array, 0)
    assert lift["p_sLr"].at(**at).array == approx(lift["p_sL"].at(**at).array + more)
    assert (more > 0).all()


def moved_inward(scope: Any, case: dict[str, str], by: float) -> float:
    """Design resistance of the wedge without columns whose inner plane stands this far inward of the crest edge."""
    numbers = {
        name: float(scope[name].at(**{axis: case[axis] for axis in scope[name].axis_names}).array)
        for name in ("c_u0e", "rho_ud", "alpha_t", "L_o", "L_to", "t_soft", "gamma_Re")
    }
    wedge = [numbers[name] for name in ("c_u0e", "rho_ud", "alpha_t")]
    ends = [numbers["L_o"] + by, numbers["L_to"] + by]
    _, least = critical_thickness(lambda tried: beyond_columns(tried, *wedge, *ends), numbers["t_soft"])
    return float(least) / numbers["gamma_Re"]


@pytest.mark.parametrize("height", ["5.4 m", "6 m"])
def test_no_wedge_farther_inward_is_nearer_to_failure(bearing: Callable[..., Sheet], height: str) -> None:
    """Every inner plane below the crest bears its own weight and inertia, or less than the edge says with its rise."""
    sheet = bearing(shaken(lambda document: document["embankment"].update(height_left=height)), soft)
    scope = sheet.scopes["untreated_left" if height == "5.4 m" else "untreated"]
    case = {"factor_set": SECOND, "stage": "2 Earthquake", "load": "G+Q", "ratio": "n for stability"}

    def at(name: str) -> float:
        value = scope[name]
        return float(value.at(**{axis: case[axis] for axis in value.axis_names}).array)

    rise = at("g_ri") if height == "5.4 m" else 0.0
    gained = at("k_h") * at("gamma_sx")
    covered = at("p_xk") + (0.0 if rise else at("p_kin")) - moved_inward(scope, case, 0.0)
    lacking = [
        at("f_vd") * (at("p_x") + rise * y) + at("p_kh") + gained * y - moved_inward(scope, case, y)
        for y in np.linspace(0, 12, 9)
    ]

    assert max(lacking) <= covered + 1e-3
    assert max(lacking) > lacking[0]
    assert at("f_vd") * rise + gained > at("g_re")


def test_level_crest_says_where_inertia_farther_inward_may_decide(bearing: Callable[..., Sheet]) -> None:
    sheet = bearing(shaken(a_g=0.3))
    (found,) = [limitation for limitation in sheet.limitations if limitation.key == "squeeze-inward"]

    assert found.turns == ("squeeze",)
    assert "squeeze-inward" not in {limitation.key for limitation in bearing(whole).limitations}


def low_bank(height: str, left: str = "") -> Change:
    """A low bank without platform under 30 kPa, its fill in one lift."""

    def change(document: Any) -> None:
        whole(document)
        document.pop("platform", None)
        document["traffic"] = {"q": "30 kPa"}
        document["embankment"]["height"] = height
        for one in document["stage"]:
            one["fill_height"] = height
        if left:
            document["embankment"]["height_left"] = left

    return change


def test_tension_at_the_lower_edge_counts(tmp_path: Path) -> None:
    """At full arching either edge has what a level bank of its height has, and the larger one counts."""
    run = first_chapters(tmp_path, "load_transfer")
    fallen, high, low = (run(low_bank(*one))["load_transfer"] for one in (("2 m", "1.1 m"), ("2 m",), ("1.1 m",)))
    both = fallen.scopes["edges"]

    for name in ("T_mqF", "T_mlF"):
        levels = [one[name].array for one in (high, low)]
        for edge, level in zip(EDGES, levels, strict=True):
            assert both[name].at(position=edge).array == approx(level, nan_ok=True)
        assert fallen[name].array == approx(np.fmax(*levels), nan_ok=True)
    assert both["T_mqD"].at(position=EDGES[0]).array == approx(high["T_mqD"].array, nan_ok=True)
    used, higher = (float(np.nanmax(one["T_mqD"].array)) for one in (fallen, high))
    lower = float(np.nanmax(low["T_mqD"].array))
    assert used == approx(lower, rel=0.02)
    assert lower > 1.1 * higher
    assert fallen.leads[""]["position"] == EDGES[1]


def test_volume_and_ends_have_the_heights_of_both_edges(run_project: Callable[..., Run]) -> None:
    def change(document: Any) -> None:
        whole(document)
        document["embankment"] |= {"height_left": "5.4 m", "zone": [dict(ZONE)]}
        document.pop("field")
        given = {"fill_excess": 1.15, "sleeve_toe": "0.3 m", "sleeve_top": "0.5 m", "source": "invented"}
        document["construction"] = {"quantities": {"length": "100 m", **given}}

    part = run_project(change).sections[0]
    scope = next(sheet for sheet in part.sheets if sheet.key == "construction").scopes["quantities"]
    assert scope["V_E"].array == approx(100 * (12 * 5.7 + 5.4**2 + 6**2))
    assert scope["b_gl"].array == approx(10.8)
    assert scope["b_gr"].array == approx(12.0)
    basis = next(sheet for sheet in part.sheets if sheet.key == "basis")
    (drawn,) = [figure for figure in basis.page.figures if isinstance(figure, Scene) and figure.key == "cross_section"]
    texts = {str(item.text) for item in drawn.items if isinstance(item, Dimension)}
    assert {"5.40 m", "6.00 m"} <= texts
    named = [text for item in drawn.items if isinstance(item, Callouts) for _, text in item.entries]
    assert {"crest left 5.80", "crest right 6.40"} <= set(named)
