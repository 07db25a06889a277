"""A chapter while it is written: scopes, records, procedures, and what it refuses."""

from typing import Any

import numpy as np
import pytest

from calc.engine.formula import FormulaError, Source
from calc.engine.sheet import Origin, Procedure, RestsOn, Sheet, SheetError, Step, settle_turns
from calc.engine.symbols import NomenclatureError
from calc.formulas.geometry import area_ratio, column_area, column_radius, square_cell_area
from calc.formulas.ground import active_coefficient, at_rest_coefficient, cohesion_pressure
from calc.formulas.unit_cell import logarithmic_mean_stress, settlement_gap, stress_ratio
from tests.engine.chapters import FILE, chapter

SOLVED = Procedure("s_s = s_c", "bracketing", "1e-9 m", 12, 3, "s_gap")
BY_HAND = Source("made for this test", "derived")


def test_symbol_has_one_meaning_in_a_chapter() -> None:
    sheet = chapter()
    sheet.given("phi", 0.5, origin=FILE)
    sheet(at_rest_coefficient)

    with pytest.raises(SheetError, match="'K_0' would get a second meaning"):
        sheet(at_rest_coefficient)
    with pytest.raises(SheetError, match="'phi' would get a second meaning"):
        sheet.given("phi", 0.6, origin=FILE)


def test_scope_reads_through_to_the_chapter_and_writes_for_itself() -> None:
    sheet = chapter()
    sheet.given("phi", 0.5, origin=FILE)
    one, other = sheet.scope("one", "One"), sheet.scope("other", "Other")
    one(at_rest_coefficient)

    assert "phi" in other
    assert "K_0" in one
    assert "K_0" not in other
    assert "K_0" not in sheet
    assert other(at_rest_coefficient).step == "A/cell/other/K_0"
    with pytest.raises(SheetError, match="scope 'one' exists already"):
        sheet.scope("one", "One again")


@pytest.mark.parametrize(
    ("work", "why"),
    [
        (lambda sheet: sheet["phi"], "A/cell/-: the symbol 'phi' has no value yet"),
        (lambda sheet: sheet(at_rest_coefficient), "'phi' has no value yet"),
        (lambda sheet: sheet(at_rest_coefficient, phi="phi_s"), "'phi_s' has no value yet"),
        (lambda sheet: sheet.given("h", [1.0, 2.0], ["stage"], origin=FILE), r"shape \(2,\).+ ask for \(3,\)"),
        (lambda sheet: sheet.given("h", [1.0], ["load"], origin=FILE), "no axis 'load' for h"),
        (lambda sheet: sheet.axis("colour", ("red",)), "'colour' is none of the axes"),
        (lambda sheet: sheet.axis("load", ()), "must be different and at least one"),
        (lambda sheet: sheet.axis("load", ("G", "G")), "must be different and at least one"),
    ],
)
def test_chapter_put_together_wrongly_is_refused(work: Any, why: str) -> None:
    with pytest.raises(SheetError, match=why):
        work(chapter())


def test_formula_refuses_symbols_that_it_does_not_have() -> None:
    sheet = chapter()
    sheet.given("phi", 0.5, origin=FILE)

    with pytest.raises(SheetError, match=r"at_rest_coefficient has no symbols \['psi'\]"):
        sheet(at_rest_coefficient, psi="phi")
    with pytest.raises(SheetError, match=r"has no symbols \['K_0'\]"):  # the result takes a name, not a value
        sheet(at_rest_coefficient, K_0=sheet["phi"])
    with pytest.raises(NomenclatureError, match="'K_9' is not in the nomenclature"):
        sheet(at_rest_coefficient, K_0="K_9")


def test_symbol_with_another_unit_takes_no_place() -> None:
    sheet = chapter()
    for name in ("h", "q"):
        sheet.given(name, 0.5, origin=FILE)

    with pytest.raises(SheetError, match="h in m cannot stand for phi in rad"):
        sheet(at_rest_coefficient, phi="h")
    with pytest.raises(SheetError, match="q in kPa cannot stand for phi in rad"):
        sheet(at_rest_coefficient, phi=sheet["q"])
    with pytest.raises(SheetError, match="h in m cannot stand for A_c in m"):
        sheet.scope("x", "X")(column_area, A_c="h", d_c="h")
    with pytest.raises(SheetError, match="h in m cannot stand for w in kPa"):
        sheet.take("w", sheet["h"])
    with pytest.raises(SheetError, match="q in kPa cannot stand for h in m"):
        sheet.verdict("x", "X", effect=sheet["h"], resistance=sheet["q"])


def test_renamed_formula_records_the_symbols_it_prints() -> None:
    sheet = chapter()
    sheet.given("phi_c", 0.6, origin=FILE)
    sheet(active_coefficient, K_a="K_ac", phi="phi_c")
    step = sheet.steps[-1]

    assert (step.symbol, step.names) == ("K_ac", {"phi": "phi_c", "K_a": "K_ac"})
    assert step.key == "A/cell/-/K_ac"


def test_number_that_is_not_finite_names_formula_case_and_inputs() -> None:
    sheet = chapter()
    sheet.given("Dsigma_vc", [1.0, 2.0, 3.0], ["stage"], origin=FILE)
    sheet.given("Dsigma_vs", [1.0, 0.0], ["layer"], origin=FILE)
    expected = (
        r"unit_cell\.stress_ratio gave no finite n at \{'stage': 'a', 'layer': 'low'\} "
        r"with Dsigma_vc = 1\.0, Dsigma_vs = 0\.0"
    )

    with pytest.raises(FormulaError, match=expected):
        sheet(stress_ratio)
    assert "n" not in sheet


@pytest.mark.parametrize("number", [np.nan, np.inf, -np.inf])
def test_given_number_that_is_not_finite_is_refused(number: float) -> None:
    with pytest.raises(FormulaError, match="h is not a finite number in every lane"):
        chapter().given("h", [number, 1.0], ["layer"], origin=FILE)


def test_cohesion_without_friction_is_an_error_and_no_large_number() -> None:
    sheet = chapter()
    for name, number in {"c_s": 5.0, "phi_s": 0.0}.items():
        sheet.given(name, number, origin=FILE)

    with pytest.raises(FormulaError, match="cohesion_pressure gave no finite p_c"):
        sheet(cohesion_pressure)


def test_branch_not_taken_may_be_undefined() -> None:
    sheet = chapter()
    sheet.given("p_1", [20.0, 20.0], ["layer"], origin=FILE)
    sheet.given("p_2", [20.0, 40.0], ["layer"], origin=FILE)

    assert sheet(logarithmic_mean_stress).array == pytest.approx([20.0, 20.0 / np.log(2)])


def test_record_does_not_follow_the_array_of_the_caller() -> None:
    numbers = np.array([1.0, 2.0])
    value = chapter().given("h", numbers, ["layer"], origin=FILE)
    numbers[0] = 99.0

    assert value.array.tolist() == [1.0, 2.0]


def test_unknown_of_a_procedure_must_be_confirmed() -> None:
    sheet = chapter()
    sheet.given("s_c", 0.1, origin=FILE)
    sheet.solved("s_s", 0.1, [], title="Solved", source=BY_HAND, inputs=["s_c"], procedure=SOLVED)

    with pytest.raises(SheetError, match=r"not confirmed through formulas: \['A/cell/-/s_s'\]"):
        sheet.finish()
    with pytest.raises(SheetError, match="'s_gap' has no value yet"):
        sheet.confirm("s_s", tolerance=1e-9)
    sheet(settlement_gap)
    sheet.confirm("s_s", tolerance=1e-9)

    assert sheet.finish() is sheet
    procedure = sheet.steps[1].procedure
    assert procedure is not None
    assert procedure.residual == 0.0


def test_procedure_with_a_residual_is_refused() -> None:
    sheet = chapter()
    sheet.given("s_c", [0.1, 0.2], ["layer"], origin=FILE)
    sheet.solved("s_s", [0.1, 0.21], ["layer"], title="Solved", source=BY_HAND, inputs=["s_c"], procedure=SOLVED)
    sheet(settlement_gap)

    with pytest.raises(FormulaError, match=r"s_s: the residual s_gap is 0\.01, allowed 1e-09"):
        sheet.confirm("s_s", tolerance=1e-9)
    with pytest.raises(SheetError, match="not confirmed"):
        sheet.finish()


def test_residual_that_does_not_rest_on_the_unknown_confirms_nothing() -> None:
    sheet = chapter()
    sheet.given("s_c", 0.1, origin=FILE)
    other = sheet.given("h", 0.1, origin=FILE)
    sheet.solved("s_s", 0.3, [], title="Solved", source=BY_HAND, inputs=["s_c"], procedure=SOLVED)
    sheet(settlement_gap, s_s=other)

    with pytest.raises(SheetError, match="residual s_gap does not rest on it"):
        sheet.confirm("s_s", tolerance=1e-9)


def test_only_procedures_are_confirmed() -> None:
    sheet = chapter()
    sheet.given("s_c", 0.1, origin=FILE)

    for name in ("s_c", "s_s"):
        with pytest.raises(SheetError, match=f"{name} is not the unknown of a procedure"):
            sheet.confirm(name, tolerance=1.0)


def test_steps_are_recorded_in_the_order_of_the_calculation() -> None:
    sheet = chapter()
    sheet.given("d_c", 0.8, origin=FILE)
    sheet.given("a_x", 2.0, origin=FILE)
    for step in (column_radius, column_area, square_cell_area, area_ratio):
        sheet(step)

    assert [step.symbol for step in sheet.steps] == ["d_c", "a_x", "r_c", "A_c", "A_E", "a_E"]
    assert [step.kind for step in sheet.steps] == ["given"] * 2 + ["formula"] * 4
    assert sheet["a_E"].number({}) == pytest.approx(np.pi * 0.16 / 4)


def test_origin_of_a_given_follows_its_axis() -> None:
    sheet = chapter()
    top, low = Origin("file", path="layer.1.h", line=7), Origin("default", path="layer.2.h")
    sheet.given("h", [1.0, 2.0], ["layer"], origin=[top, low], origin_axis="layer")

    assert sheet.steps[0].origin({"layer": "low"}) is low
    assert sheet.steps[0].origin({"layer": "top", "stage": "a"}) is top


def test_verdict_that_is_withheld_keeps_its_place_and_numbers_but_no_utilisation() -> None:
    sheet = chapter()
    sheet.given("phi", 0.5, origin=FILE)
    sheet(at_rest_coefficient)
    sheet(active_coefficient)
    made = sheet.verdict("one", "One", effect=sheet["K_a"], resistance=sheet["K_0"])
    sheet.not_verified("other", "Other", "open")
    sheet.withhold(made, "not on this ground")

    first, second = sheet.verdicts
    assert (first.key, first.state, first.utilisation, first.note) == (
        "one",
        "not verified",
        None,
        "not on this ground",
    )
    assert (first.effect, second.key) == (made.effect, "other")


def test_limitation_is_stated_once() -> None:
    sheet = chapter()
    for _ in range(3):
        sheet.limitation("range", "The source covers another range.")

    assert [limitation.key for limitation in sheet.limitations] == ["range"]


def test_decisions_and_proofs_are_kept_in_order() -> None:
    sheet = chapter()
    sheet.relies_on("Gain of strength", "stage 2: 4 kPa", "vane tests")
    sheet.relies_on("Limit not asked for", "residual settlement")

    assert [(rest.title, rest.text, rest.proof) for rest in sheet.rests] == [
        ("Gain of strength", "stage 2: 4 kPa", "vane tests"),
        ("Limit not asked for", "residual settlement", ""),
    ]


def test_limitation_that_turns_a_verdict_that_no_chapter_has_is_refused() -> None:
    sheet = chapter()
    sheet.settled("bearing", "Bearing", "It bears.")
    sheet.limitation("range", "Outside the range.", turns=["bearing"])
    settle_turns([sheet])

    sheet.limitation("other", "Outside another range.", turns=["bearings"])
    with pytest.raises(SheetError, match=r"'other' turns verdicts that do not exist: \['bearings'\]"):
        settle_turns([sheet])


def test_limitation_finds_the_verdicts_that_it_would_turn_in_every_chapter() -> None:
    """Of verdicts with a number alone; a limitation that is said again keeps what it named before."""
    sheet, other = chapter(), chapter()
    for one, value in ((sheet, 0.8), (other, 0.5)):
        used = one.given("phi", value, origin=FILE)
        one.verdict(f"at {value}", "Angle", effect=used, resistance=one.given("phi_c", 1.0, origin=FILE))
    other.settled("stated", "Stated", "Nothing to compute.")
    sheet.limitation("close", "Close.", turns=lambda one: (one.utilisation or 1.0) > 0.6)
    sheet.limitation("both", "Both.", turns=["at 0.8"])
    sheet.limitation("both", "Both.", turns=["at 0.5"])
    settle_turns([sheet, other])

    assert {limitation.key: limitation.turns for limitation in sheet.limitations} == {
        "close": ("at 0.8",),
        "both": ("at 0.8", "at 0.5"),
    }


def rested_on(name: str, *stages: str) -> RestsOn:
    return RestsOn(lambda step: step.symbol == name, stages)


def turned_in(sheet: Sheet, turns: RestsOn, *beside: Sheet) -> set[str]:
    """Keys of the verdicts that a limitation turns."""
    sheet.limitation("said", "Said.", turns=turns)
    settle_turns([sheet], beside=beside)
    return set(sheet.limitations[-1].turns)


def only(key: str) -> dict[str, set[str]]:
    """By stage what is found of one verdict alone, whose resistance rests on nothing."""
    found = {}
    for stage in ("a", "b", "c"):
        sheet = chapter()
        limit = sheet.given("K_a", 1.0, origin=FILE)
        phi = sheet.given("phi", [0.1, 0.2, 0.3], ["stage"], origin=FILE)
        if key == "moved":
            sheet.reading("K_0", [0.1, 0.2, 0.3], ["stage"], title="Of others", inputs=[phi], moves=("stage",))
        else:
            sheet(at_rest_coefficient, phi=PHI[key](phi))
        effect = sheet["K_0"]
        if key == "left out":
            effect = effect.without(np.array([True, False, False]), "nothing is placed")
        sheet.verdict("one", "One", effect=effect, resistance=limit)
        found[stage] = turned_in(sheet, rested_on("phi", stage))
    return found


PHI: dict[str, Any] = {
    "own": lambda phi: phi,
    "left out": lambda phi: phi,
    "before": lambda phi: phi.before("stage", 0.0),
    "selected": lambda phi: phi.at(stage="c"),
    "largest": lambda phi: phi.largest(),
}


@pytest.mark.parametrize(
    ("key", "stages"),
    [("own", "abc"), ("left out", "bc"), ("before", "ab"), ("selected", "c"), ("largest", "abc"), ("moved", "abc")],
)
def test_a_verdict_rests_on_a_step_in_the_stages_in_which_it_reads_it(key: str, stages: str) -> None:
    assert only(key) == {stage: {"one"} if stage in stages else set() for stage in "abc"}


def test_a_verdict_rests_on_steps_of_a_zone_beside_its_section() -> None:
    zone, sheet = chapter(), chapter()
    zone.section = "A.slope"
    zone.given("phi", 0.3, origin=FILE)
    sheet.take("phi", zone["phi"])
    sheet.verdict("one", "One", effect=sheet["phi"], resistance=sheet.given("phi_c", 1.0, origin=FILE))

    def of_the_zone(step: Step) -> bool:
        return step.key == "A.slope/cell/-/phi"

    assert turned_in(sheet, RestsOn(of_the_zone, ["a"])) == set()
    assert turned_in(sheet, RestsOn(of_the_zone, ["a"]), zone) == {"one"}
