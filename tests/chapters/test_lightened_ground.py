"""Pits and open casings over an aquifer, on the case of the project's methods (V1) as in the tests of heads."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calc.engine.sheet import Sheet, settle_turns
from tests.chapters.head_case import BASE, GAMMA_W, clay, head
from tests.chapters.settled import keys, state
from tests.chapters.test_heads import ARTESIAN, FINAL, Change, factors, second_state, two_layers
from tests.chapters.timed import first_chapters, reach, verdicts

Chapters = Callable[..., dict[str, Sheet]]
approx = pytest.approx


def pit(depth: float, water: float) -> Change:
    return factors(excavation={"depth": f"{depth} m", "water_depth": f"{water} m", "source": "invented"})


def test_pit_reproduces_v1_6(first: Chapters) -> None:
    """1.588 m deep and dry the utilisation is 1; a little less stands, a little more fails, and water helps."""
    found = {depth: first(clay(ARTESIAN, pit(depth, depth)))["ground"] for depth in (1.58, 1.60)}
    deep, wet = (verdicts(first(clay(ARTESIAN, pit(2.0, water)))["ground"]) for water in (2.0, 0.0))

    assert [state(one, "uplift_excavation") for one in found.values()] == ["pass", "fail"]
    assert verdicts(found[1.58])["uplift_excavation"].utilisation == approx(100.062 / (0.9 * (135 - 15 * 1.58)))
    assert wet["uplift_excavation"].utilisation == approx(100.062 / (0.9 * (135 - 15 * 2 + 2 * GAMMA_W)))
    # Seepage below the pit counts from the water in it: 3.2 m of head over 7 m of ground, or 1.2 m over 9 m.
    assert deep["hydraulic_heave_excavation"].utilisation == approx(1.35 * GAMMA_W * 3.2 / (0.9 * (105 - 7 * GAMMA_W)))
    assert wet["hydraulic_heave_excavation"].state == "pass"
    assert deep["hydraulic_heave_excavation"].state == "fail"


def thin_cover(document: Any) -> None:
    """3 m of tight clay over 6 m that lose 0.1 of 1.6 m: the aquifer stands below the upper layer nearly."""
    two_layers(3.0)(document)
    head(("-3 m", "1.0 m"), (BASE, "1.20 m"))(document)


def test_what_the_ground_beside_the_bank_holds_may_turn_by_the_pit(tmp_path: Path) -> None:
    """The pit has no place: at the toe it takes ground that slip surfaces and wedges count on."""
    run = first_chapters(tmp_path, "bearing")
    whole, dug = (run(clay(ARTESIAN, given, reach)) for given in (factors(), pit(1.2, 1.2)))
    settle_turns([*dug.values()])
    (said,) = (one for one in dug["ground"].limitations if one.key == "pit-beside-bank")

    assert "pit-beside-bank" not in keys(whole["ground"])
    assert "1.20 m" in said.text
    assert set(said.turns) == {"column_rows", "edge_bearing"}


@pytest.mark.parametrize(("depth", "expected"), [(0.2, "fail"), (0.02, "pass")])
def test_every_layer_that_is_left_below_a_pit_is_verified(first: Chapters, depth: float, expected: str) -> None:
    """4.0 m · 9.81 on (3 − d) · 15 kN/m³, where the base alone would stand: 100.06 on 0.9 · (135 − 3) kPa."""
    ground = first(clay(thin_cover, pit(depth, depth)))["ground"]
    found = verdicts(ground)["uplift_excavation"]

    assert (found.state, found.case["layer"].startswith("clay")) == (expected, True)
    assert found.utilisation == approx(4.0 * GAMMA_W / (0.9 * 15 * (3 - depth)))


def test_layers_dug_through_and_layers_that_water_passes_are_not_lifted(first: Chapters) -> None:
    """A pit to the bottom of the tight layer; a ditch in an upper layer that loses little of the head, as peat does."""
    through = first(clay(thin_cover, pit(3.0, 0.0)))["ground"]
    peat = first(clay(two_layers(1.0), head(("-1 m", "-0.35 m"), (BASE, "1.2 m")), pit(0.6, 0.6)))["ground"]
    base = 100.062 / (0.9 * (135 - 15 * 0.6))

    assert verdicts(through)["uplift_excavation"].case["layer"].startswith("lower")
    assert verdicts(peat)["uplift_excavation"].utilisation == approx(base)


def seeps(*values: str) -> Change:
    """Permeabilities of the layers from the top."""

    def change(document: Any) -> None:
        for soil, value in zip(document["section"][0]["layer"], values, strict=True):
            soil["k"] = value

    return change


AT_REST = head((BASE, "-0.40 m"))
UNDER_CLAY = 2.6 * GAMMA_W / (0.9 * 15)  # 2.6 m of water below the upper 3 m, on 1 m of clay that is left


def test_a_tight_layer_below_a_pit_is_lifted_by_water_at_rest_too(first: Chapters) -> None:
    """2 m dry: the base stands with 84.37/(0.9 · 105), the clay over more pervious ground does not."""
    tight, loose = (
        first(clay(two_layers(3.0), seeps(*values), AT_REST, pit(2.0, 2.0)))["ground"]
        for values in (("1e-9 m/s", "1e-7 m/s"), ("1e-7 m/s", "1e-9 m/s"))
    )

    assert verdicts(tight)["uplift_excavation"].utilisation == approx(UNDER_CLAY)
    assert verdicts(tight)["uplift_excavation"].state == "fail"
    assert verdicts(loose)["uplift_excavation"].utilisation == approx(84.366 / (0.9 * 105))
    assert all("pit-not-counted" not in keys(one) for one in (tight, loose))


@pytest.mark.parametrize(("depth", "water", "said"), [(2.0, 2.0, True), (0.3, 0.3, False), (2.0, 0.4, False)])
def test_a_layer_below_a_pit_that_may_be_tight_is_told(
    first: Chapters, depth: float, water: float, said: bool
) -> None:  # fmt: skip
    """No permeability tells; a shallow pit leaves weight enough, and water in the pit balances that below."""
    ground = first(clay(two_layers(3.0), AT_REST, pit(depth, water)))["ground"]
    told = [limitation for limitation in ground.limitations if limitation.key == "pit-not-counted"]

    assert state(ground, "uplift_excavation") == "pass"
    assert len(told) == said
    for one in told:
        assert one.turns == ("uplift_excavation",)
        assert "“clay" in one.text
        assert f"{UNDER_CLAY:.3f}" in one.text


def test_the_stage_of_a_pit_stands_for_its_water_level(first: Chapters) -> None:
    """No column stands yet: the final stage, with the water of the first, is not a case of its own."""
    found = verdicts(first(clay(ARTESIAN, pit(1.58, 1.58)))["ground"])["uplift_excavation"]
    assert found.utilisations is not None

    assert found.case["stage"] == "0 columns built"
    assert found.utilisations.largest("stage").valid.tolist() == [True, False, False]


def cased(soil: float, level: float, **more: Any) -> Change:
    given = {"top": "3 m", "water_level": f"{level} m", "soil": f"{soil} m", "source": "invented", **more}
    return factors(casing=given)


ADHESION = {"adhesion": 0.5, "strength": "10 kPa", "gamma_cu": 1.4}


def test_casing_reproduces_v1_6(first: Chapters) -> None:
    """3.191 m of soil left in an empty casing hold; 3.1 m do not, but for 2 m of water kept over it."""
    empty, less, wet = (
        first(clay(ARTESIAN, cased(soil, soil - 9 + water, **ADHESION)))["ground"]
        for soil, water in ((3.191, 0.0), (3.1, 0.0), (3.1, 2.0))
    )

    assert verdicts(empty)["uplift_casing"].utilisation == approx(1.0, abs=5e-4)
    assert empty.scopes["uplift_casing"]["t_rq"].array == approx(3.191, abs=5e-4)
    assert state(less, "uplift_casing") == "fail"
    assert state(wet, "uplift_casing") == "pass"
    (rest,) = wet.rests
    assert "stands at -3.90 m or above, an elevation" in rest.text.replace("\N{MINUS SIGN}", "-")


@pytest.mark.parametrize(("level", "expected"), [(1.19, "fail"), (1.20, "pass")])
@pytest.mark.parametrize("soil", [0.0, 5.0])
def test_casing_open_to_the_aquifer_needs_water_at_its_head(
    first: Chapters, soil: float, level: float, expected: str
) -> None:
    """However well the soil left in it holds meanwhile: all of it is excavated in the end."""
    ground = first(clay(ARTESIAN, cased(soil, level)))["ground"]
    found = verdicts(ground)

    assert found["casing_water"].state == expected
    assert found["casing_water"].utilisation == approx(10.2 / (9 + level))
    assert found["uplift_casing"].applies == bool(soil)
    assert not soil or found["uplift_casing"].state == "pass"


def test_aquifer_without_a_level_of_the_water_in_casings_is_not_verified(first: Chapters) -> None:
    found = verdicts(first(clay(ARTESIAN, factors()))["ground"])

    assert (found["casing_water"].state, found["casing_water"].required) == ("not verified", True)
    assert "casing_water" not in verdicts(first(clay(head((BASE, "-0.40 m")), factors()))["ground"])


def test_adhesion_that_carries_the_verdict_turns_it(first: Chapters) -> None:
    """5 m without water: 79 kPa of adhesion hold, weight alone does not; under water weight does."""

    def turned(level: float) -> tuple[str, ...]:
        ground = first(clay(ARTESIAN, cased(5.0, level, **ADHESION)))["ground"]
        assert state(ground, "uplift_casing") == "pass"
        (found,) = [limitation for limitation in ground.limitations if limitation.key == "casing-adhesion"]
        return found.turns

    assert turned(-4.0) == ("uplift_casing",)
    assert turned(1.2) == ()


def risen(document: Any) -> None:
    """The highest head in the last stage alone."""
    second_state("0.20 m")(document)
    head((BASE, "1.70 m"), water="high")(document)


PIT = {"depth": "1.4 m", "water_depth": "1.4 m", "source": "invented"}
CASING = {"top": "2 m", "water_level": "1.50 m", "source": "invented"}
OPENED = {"pit": ("uplift_excavation", "excavation", PIT), "casing": ("casing_water", "casing", CASING)}


@pytest.mark.parametrize(("key", "field", "given"), OPENED.values(), ids=OPENED)
def test_pit_and_casing_are_run_in_every_state_of_the_water(
    first: Chapters, key: str, field: str, given: dict[str, Any]
) -> None:
    """They stand at mean and fail at high water; where the project excludes that, the verdict hangs on it."""
    every, mean = (
        first(clay(ARTESIAN, risen, factors(**{field: {**given, **only}}), OCR_water="mean", OCR=1.2))["ground"]
        for only in ({}, {"water": "mean"})
    )

    assert (state(every, key), verdicts(every)[key].case["stage"]) == ("fail", FINAL)
    assert state(mean, key) == "pass"
    (found,) = [limitation for limitation in mean.limitations if limitation.key == f"{key}-state"]
    assert found.turns == (key,)
    assert f"{key}-state" not in keys(every)


def test_pit_over_water_at_rest_is_verified_too(first: Chapters) -> None:
    """Heads given, none above water at rest: 84.4 kPa against 0.9 · (135 − 15 d)."""
    for depth, expected in ((2.7, "pass"), (2.8, "fail")):
        ground = first(clay(head((BASE, "-0.40 m")), pit(depth, depth)))["ground"]
        assert state(ground, "uplift_excavation") == expected
        assert not verdicts(ground)["uplift"].applies


def test_casing_in_ground_without_undrained_strength_is_held_by_weight_alone(first: Chapters) -> None:
    def bare(document: Any) -> None:
        del document["section"][0]["layer"][0]["c_u"]

    ground = first(clay(ARTESIAN, cased(5.0, -2.0), bare))["ground"]

    assert verdicts(ground)["uplift_casing"].utilisation == approx(100.062 / (0.9 * (5 * 15 + 2 * GAMMA_W)))
