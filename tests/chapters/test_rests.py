"""What a section rests on: strength and sharing counted on before they are proven, hold points, limits left out."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

from calc.chapters.shared.rests import GAIN, HOLD, NO_LIMIT, PLANT, RATIO, SKIN, TOP, proven_before
from calc.engine.sheet import Sheet, stage_name
from tests.chapters.slip_case import COARSE

Chapters = Callable[..., dict[str, Sheet]]
POINT = {"name": "HP 2", "before": "filling of the last stage", "proof": "Vane tests.", "release": "Designer"}


def rests(chapters: Chapters, change: Callable[[Any], None], title: str) -> list[tuple[str, str]]:
    return [
        (rest.text, rest.proof) for sheet in chapters(change).values() for rest in sheet.rests if rest.title == title
    ]


def of_stages(gain: str | None, ratio: float, *, held: bool) -> Callable[[Any], None]:
    """The last of the stages with this gain and ratio, the others without; with or without its hold point."""

    def change(document: Any) -> None:
        for stage in document["stage"]:
            stage["n_stability"] = 1.0
            for name in ("c_u_gain", "c_u_gain_source"):
                stage.pop(name, None)
        last = document["stage"][-1]
        last["n_stability"] = ratio
        if gain:
            last.update({"c_u_gain": gain, "c_u_gain_source": "vane tests before the stage"})
        points = [POINT, POINT | {"name": "HP 3", "stage": last["name"]}] if held else []
        document["construction"] = {"hold_point": points}

    return change


def label(chapters: Chapters) -> str:
    return stage_name(chapters()["basis"].axes["stage"][-1])


def test_gain_of_strength_names_its_stage_amount_source_and_hold_point(chapters: Chapters) -> None:
    found = rests(chapters, of_stages("4 kPa", 1.0, held=True), GAIN)

    assert found == [(f"stage {label(chapters)}: 4.00 kN/m²", "vane tests before the stage; hold point HP 3")]


def test_stress_ratio_above_1_names_what_proves_it(chapters: Chapters) -> None:
    found = rests(chapters, of_stages(None, 2.5, held=True), RATIO)

    proof = "pressure cells on columns and soil, readings of pore pressure and settlement; hold point HP 3"
    assert found == [(f"stage {label(chapters)}: 2.5", proof)]


def test_stage_without_a_hold_point_says_so(chapters: Chapters) -> None:
    (found,) = rests(chapters, of_stages("4 kPa", 1.0, held=False), GAIN)

    assert found[1] == "vane tests before the stage; no hold point is given for this stage"


def test_nothing_counted_on_early_states_nothing(chapters: Chapters) -> None:
    change = of_stages(None, 1.0, held=False)

    assert [rests(chapters, change, title) for title in (GAIN, RATIO, HOLD)] == [[], [], []]


def test_hold_points_stand_together_and_name_their_table(chapters: Chapters) -> None:
    found = rests(chapters, of_stages(None, 1.0, held=True), HOLD)

    ((text, proof),) = found
    assert text.startswith("HP 2 before filling of the last stage; ")
    assert proof == "what has to be shown and who releases it: table of hold points, chapter on construction"


def test_limits_left_out_are_named_and_given_ones_are_not(chapters: Chapters) -> None:
    def change(document: Any) -> None:
        document["basis"]["limits"] = {"settlement_total": "0.8 m", "creep_strain": 0.02}

    assert [text for text, _ in rests(chapters, change, NO_LIMIT)] == [
        "residual settlement", "differential settlement", "ring strain",
    ]  # fmt: skip


def test_what_traffic_relies_on_is_proven_before_the_first_stage_with_traffic(chapters: Chapters) -> None:
    """A hold point of the last stage stood for it, after the traffic of the stage before."""

    def opened(first: bool) -> Callable[[Any], None]:
        def change(document: Any) -> None:
            of_stages("2 kPa", 2.0, held=True)(document)
            document["stage"][0]["traffic"], document["stage"][1]["traffic"] = first, True

        return change

    early, late = (chapters(opened(first)) for first in (True, False))
    proofs = [
        [rest.proof for sheet in done.values() for rest in sheet.rests if rest.title in {GAIN, RATIO}]
        for done in (early, late)
    ]

    assert proofs[0]
    assert all("no hold point is given for this stage" in one for one in proofs[0])
    assert all("hold point HP 3" in one for one in proofs[1])
    held = [
        next(verdict for verdict in done["construction"].verdicts if verdict.key == "hold_points")
        for done in (early, late)
    ]
    assert [one.state for one in held] == ["not verified", "pass"]
    assert "traffic begins with “First lift”" in held[0].note


def test_proof_waits_for_a_stage_that_somebody_begins() -> None:
    """A lift, the earthquake at its height, the next lift, the earthquake again, the final stage with traffic."""
    order = (("Lift 1", False), ("Shaking 1", False), ("Lift 2", False), ("Shaking 2", True), ("Final", True))
    stages = [
        SimpleNamespace(name=name, traffic=traffic, situation="seismic" if "Shaking" in name else "persistent")
        for name, traffic in order
    ]
    section: Any = SimpleNamespace(stages=stages)
    ratio = {name: proven_before(section, name, "stress ratio") for name, _ in order}
    strength = {name: proven_before(section, name) for name, _ in order}

    after = {"Lift 1": "Lift 2", "Shaking 1": "Lift 2", "Lift 2": "Final", "Shaking 2": "Final", "Final": "Final"}
    assert ratio == after
    assert strength == after | {"Lift 1": "Lift 1", "Lift 2": "Lift 2"}


def test_project_without_construction_has_no_hold_points(chapters: Chapters) -> None:
    def change(document: Any) -> None:
        document.pop("construction", None)

    assert rests(chapters, change, HOLD) == []
    assert all("no hold point" in proof for _, proof in rests(chapters, change, RATIO))


def test_plant_on_the_lift_stands_with_its_stage_given_or_not(chapters: Chapters) -> None:
    def change(document: Any) -> None:
        document["stage"][-1]["plant"] = "5 kPa"

    plain, given = rests(chapters, lambda _: None, PLANT), rests(chapters, change, PLANT)

    assert [text for text, _ in plain] == ["stage “First lift”: none assumed", "stage “Final”: none assumed"]
    assert "not given: construction traffic load to be agreed" in plain[1][1]
    assert [text for text, _ in given] == ["stage “Final”: 5.0 kN/m²", "stage “First lift”: none assumed"]


def test_platform_counts_as_placed_in_the_first_stage(chapters: Chapters) -> None:
    def change(document: Any) -> None:
        document["platform"] = {"thickness": "0.5 m", "gamma": "20 kN/m^3", "role": "load"}
        document["stage"][0]["fill_height"] = "0 m"
        document["stage"][1]["plant"] = "5 kPa"

    assert [text for text, _ in rests(chapters, change, PLANT)][1] == "stage “First lift”: none assumed"


def test_shear_held_back_and_circles_left_out_are_named(chapters: Chapters) -> None:
    def change(document: Any) -> None:
        document["field"] = {"hold_top": 0.5}
        document["slip"] = dict(COARSE)

    assert rests(chapters, change, TOP)[0][0].startswith("0.50 of the undrained strength")
    assert rests(chapters, change, SKIN) == [("circles shallower than 6.50 m", "")]
    assert rests(chapters, lambda _: None, TOP) == []
    assert rests(chapters, lambda _: None, SKIN) == []
