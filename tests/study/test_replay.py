"""Recorded steps evaluated again for many inputs: equal to the chain, and refused where the record does not say how."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from calc.chain import Run, SectionRun, finish_run, run_section
from calc.engine.sheet import Origin, Sheet, Value
from calc.inputs import Design, Section, read_design
from calc.study.changed import FieldError, number_at, with_numbers
from calc.study.replay import Replay, governing
from calc.study.replay_plan import UnfollowedError, plan_of

PROJECTS = Path(__file__).parents[2] / "projects"
TENSION, SETTLEMENT = "sleeve/ring_tension_iso", "unit_cell/settlement_total"
CELL = (
    "layer.clay-upper.E_oed_ref", "layer.clay-lower.phi", "layer.clay-lower.nu", "embankment.gamma", "columns.spacing",
    "columns.fill.phi", "sleeve.stiffness.1.J", "stage.3.fill_height",
)  # fmt: skip


@cache
def run_of(project: str, key: str) -> tuple[Design, Run]:
    """A section of an example run without its slip searches."""
    design = read_design(PROJECTS / project)
    section = next(section for section in design.sections if section.key == key)
    return design, finish_run(design, [run_section(design, section.without_slip())])


def of_chain(project: str, key: str, name: str, numbers: dict[str, float]) -> float:
    """The utilisation of a verdict by the chain with other numbers."""
    design, run = run_of(project, key)
    changed, section = with_numbers(design, run.sections[0].section, numbers)
    part = run_section(changed, section)
    room, _, wanted = name.partition("/")
    (sheet,) = [sheet for sheet in part.sheets if sheet.key == room]
    (found,) = [verdict.utilisation for verdict in sheet.verdicts if verdict.key == wanted]
    assert found is not None
    return found


def spread_about(replay: Replay, count: int, share: float = 0.04) -> dict[str, np.ndarray]:
    """Numbers about those of the design, the same in every run."""
    chance = np.random.default_rng(7)
    return {path: base * (1 + share * chance.uniform(-1, 1, count)) for path, base in replay.base.items()}


def test_replay_at_the_base_is_the_finished_run() -> None:
    design, run = run_of("weak-sleeve", "T")
    replay = Replay(run, design, "T", [TENSION, SETTLEMENT], CELL)

    found = replay({path: np.array([number]) for path, number in replay.base.items()})

    for _, sheet, verdict in run.verdicts():
        if (name := f"{sheet.key}/{verdict.key}") in found:
            assert found[name][0] == pytest.approx(verdict.utilisation, rel=1e-10)
    assert replay.followed[TENSION] == CELL


def test_replay_equals_the_chain_at_other_inputs() -> None:
    design, run = run_of("weak-sleeve", "T")
    replay = Replay(run, design, "T", [TENSION, SETTLEMENT], CELL)
    values = spread_about(replay, 4)

    found = replay(values)

    for k in range(4):
        numbers = {path: float(array[k]) for path, array in values.items()}
        for name in (TENSION, SETTLEMENT):
            assert found[name][k] == pytest.approx(of_chain("weak-sleeve", "T", name, numbers), rel=1e-10)
    assert not replay.reasons


def test_many_samples_equal_one_by_one_whatever_the_workers() -> None:
    design, run = run_of("weak-sleeve", "T")
    replay = Replay(run, design, "T", [TENSION], CELL)
    replay._rows = 5
    values = spread_about(replay, 12)

    found = replay(values)[TENSION]

    assert np.array_equal(found, replay(values, workers=2)[TENSION])
    single = [replay({path: array[k : k + 1] for path, array in values.items()})[TENSION][0] for k in range(12)]
    assert np.array_equal(found, single)


def test_sample_without_a_solution_is_infinite_and_says_why() -> None:
    design, run = run_of("weak-sleeve", "T")
    replay = Replay(run, design, "T", [TENSION], ["layer.clay-lower.nu"])

    found = replay({"layer.clay-lower.nu": np.array([0.3, 0.5, 0.35])})[TENSION]

    assert np.isfinite(found).tolist() == [True, False, True]
    assert "nu_s must be 0 or greater and less than 0.5" in replay.reasons[1]


def test_utilisation_rises_as_the_sleeve_loses_strength() -> None:
    design, run = run_of("weak-sleeve", "T")
    replay = Replay(run, design, "T", [TENSION, SETTLEMENT], ["sleeve.strength"])

    found = replay({"sleeve.strength": replay.base["sleeve.strength"] * np.array([0.5, 1.0, 1.3, 2.0])})

    assert [round(first / second, 9) for first, second in pairwise(found[TENSION])] == [2.0, 1.3, round(2 / 1.3, 9)]
    assert replay.followed[SETTLEMENT] == ()
    assert len(set(found[SETTLEMENT])) == 1


def test_restricted_to_the_governing_case_finds_the_same_at_the_base() -> None:
    design, run = run_of("weak-sleeve", "T")
    (verdict,) = [verdict for _, _, verdict in run.verdicts() if verdict.key == "ring_tension_iso"]
    replay = Replay(run, design, "T", [TENSION], ["embankment.gamma"], {TENSION: governing(verdict)})

    found = replay({"embankment.gamma": np.array([replay.base["embankment.gamma"]])})[TENSION]

    assert found[0] == pytest.approx(verdict.utilisation, rel=1e-10)


@pytest.mark.parametrize(("path", "why"), [
    ("layer.clay-upper.thickness", "the record does not say how T/ground/-/h follows from it"),
    ("water.mean", "the record does not say how T/ground/-/h follows from it"),
    ("columns.upstand", "T/ground/-/h changes with it by a way that the record does not hold"),
    ("layer.clay-upper.K_0", "the chain finds [0-9.]*, the record [0-9.]*"),
    ("columns.diameter", "r_geo must not be less than r_c"),
])  # fmt: skip
def test_input_that_goes_through_no_record_is_refused(path: str, why: str) -> None:
    design, run = run_of("weak-sleeve", "T")

    with pytest.raises(UnfollowedError, match=f"{path} cannot be followed.*{why}"):
        Replay(run, design, "T", [TENSION], ["embankment.gamma", path])


def test_what_is_no_number_or_no_verdict_is_refused() -> None:
    design, run = run_of("weak-sleeve", "T")

    with pytest.raises(FieldError, match=r"sleeve\.glue is no field"):
        Replay(run, design, "T", [TENSION], ["sleeve.glue"])
    with pytest.raises(FieldError, match=r"sleeve\.strength\.more is no field"):
        Replay(run, design, "T", [TENSION], ["sleeve.strength.more"])
    with pytest.raises(FieldError, match=r"sleeve\.name has no number"):
        Replay(run, design, "T", [TENSION], ["sleeve.name"])
    with pytest.raises(UnfollowedError, match="sleeve/glue has no utilisation in section T: it is no verdict"):
        Replay(run, design, "T", ["sleeve/glue"], CELL)
    with pytest.raises(UnfollowedError, match="the run has no section X"):
        Replay(run, design, "X", [TENSION], CELL)
    replay = Replay(run, design, "T", [TENSION], CELL)
    with pytest.raises(ValueError, match="arrays of one length"):
        replay({"sleeve.strength": np.ones(3)})


GROUND = ("E_oed_ref", "phi", "c", "m", "nu", "gamma_sat")
ACCEPTED = {
    "sleeve/ring_tension": (*GROUND, "embankment.gamma", "traffic.q", "columns.spacing", "columns.K_star",
                            "columns.fill.phi", "sleeve.stiffness.0.J", "sleeve.strength", "sleeve.factors.A1.value",
                            "stage.3.fill_height"),
    "sleeve/ring_strain": (*GROUND, "embankment.gamma", "columns.spacing", "sleeve.stiffness.1.J"),
    "unit_cell/settlement_total": (*GROUND, "embankment.gamma", "columns.spacing", "basis.psi_2"),
    "unit_cell/settlement_elastic_plastic": (*GROUND, "columns.fill.E", "columns.fill.psi", "columns.spacing"),
    "consolidation/settlement_residual": (*GROUND, "c_h", "c_v", "C_alpha", "e_0", "smear.k_ratio", "columns.spacing",
                                          "sleeve.stiffness.0.J"),
    "bearing/toe_bearing": ("bearing_layer.phi", "embankment.gamma", "columns.spacing", "columns.embedment"),
    "bearing/platform_bearing": ("c_u", "c_u_growth", "embankment.gamma", "platform.thickness"),
    "bearing/column_rows": ("c_u", "c_u_growth", "embankment.gamma", "stage.3.fill_height", "field.hold_top"),
    "bearing/edge_bearing": ("c_u", "c_u_growth", "embankment.gamma", "stage.3.fill_height"),
    "thrust/sliding": ("E_oed_ref", "embankment.gamma", "embankment.phi", "columns.spacing", "stage.3.fill_height"),
    "thrust/low_edge": ("embankment.gamma", "embankment.phi", "stage.0.fill_height"),
}  # fmt: skip
"""Verdicts of two examples and inputs that reach them; fields without a table are those of a layer."""


def inputs_of(section: Section, fields: Sequence[str]) -> list[str]:
    """Paths of inputs with a number, those of a layer for the lowest one that has it."""
    paths = []
    for field in fields:
        of_layer = "." not in field or field.startswith("smear.")
        named = [f"layer.{layer.key}.{field}" for layer in section.soft_layers[::-1]] if of_layer else [field]
        known = [path for path in named if has_number(section, path)]
        paths += known[:1]
    return paths


def has_number(section: Section, path: str) -> bool:
    """Whether a field of the section or of the basis is given as a number."""
    if path.startswith("basis."):
        return True
    try:
        return number_at(run_of("weak-sleeve", "T")[0], section, path) != 0
    except FieldError:
        return False


TIME = ("consolidation/settlement_residual",)
CLOSED = tuple(name for name in ACCEPTED if name not in TIME)


@pytest.mark.examples
@pytest.mark.slow
@pytest.mark.parametrize(("project", "key"), [("marsh-approach", "A"), ("dyke-reach", "R")])
@pytest.mark.parametrize("names", [CLOSED, TIME], ids=["closed", "in time"])
def test_every_verdict_follows_its_inputs_as_the_chain_does(project: str, key: str, names: tuple[str, ...]) -> None:
    """At the design, and at other numbers of all inputs at once, to ten digits."""
    design, run = run_of(project, key)
    wanted = {name: inputs_of(run.sections[0].section, ACCEPTED[name]) for name in names}
    if run.sections[0].section.earthquake is not None:  # it moves the heavier of fill and platform, which are alike
        wanted = {name: [path for path in inputs if path != "embankment.gamma"] for name, inputs in wanted.items()}
    paths = list(dict.fromkeys(path for inputs in wanted.values() for path in inputs))
    finished = {f"{sheet.key}/{verdict.key}": verdict.utilisation for _, sheet, verdict in run.verdicts()}

    replay = Replay(run, design, key, names, paths)

    for name, inputs in wanted.items():
        assert set(inputs) <= set(replay.followed[name])
        found = replay({paths[0]: np.array([replay.base[paths[0]]])})[name][0]
        assert found == pytest.approx(finished[name], rel=1e-10)
    replay.confirm({path: float(array[0]) for path, array in spread_about(replay, 1, 0.06).items()})


GAINS = {
    ("marsh-approach", "A"): (
        "bearing/soft_bearing", "bearing/soft_bearing_lift", "consolidation/ratio_before",
        "consolidation/degree_before", "load_transfer/surface_difference", "reinforcement/tension_across",
        "reinforcement/anchorage", "reinforcement/strain_along",
    ),
    ("dyke-reach", "R"): (
        "bearing/squeeze", "bearing/squeeze_lift", "consolidation/ratio_before", "consolidation/degree_before",
        "reinforcement/tension_across_1", "reinforcement/strain_across", "reinforcement/tension_along",
    ),
}  # fmt: skip
"""Verdicts that rest on the ground at the start of a stage, or on the load transfer."""


@pytest.mark.examples
@pytest.mark.slow
@pytest.mark.parametrize(("project", "key"), GAINS)
def test_extrusion_and_reinforcement_follow_the_ground_before_a_stage(project: str, key: str) -> None:
    """Weaker and stronger, softer and stiffer, slower and quicker ground, to ten digits."""
    design, run = run_of(project, key)
    names = GAINS[project, key]
    paths = inputs_of(run.sections[0].section, ("c_u", "E_oed_ref", "c_h", "gamma_sat"))
    finished = {f"{sheet.key}/{verdict.key}": verdict.utilisation for _, sheet, verdict in run.verdicts()}

    replay = Replay(run, design, key, names, paths)

    found = replay({paths[0]: np.array([replay.base[paths[0]]])})
    assert {name: found[name][0] for name in names} == {
        name: pytest.approx(finished[name], rel=1e-10) for name in names
    }
    assert {path for followed in replay.followed.values() for path in followed} == set(paths)
    for share in (0.06, -0.06):
        replay.confirm({path: float(array[0]) for path, array in spread_about(replay, 1, share).items()})


@pytest.mark.examples
@pytest.mark.slow
def test_branch_at_the_design_itself_is_found() -> None:
    """Fill and platform weigh the same, and the earthquake moves the heavier one."""
    design, run = run_of("dyke-reach", "R")

    with pytest.raises(UnfollowedError, match=r"embankment\.gamma cannot be followed to thrust/sliding"):
        Replay(run, design, "R", ["thrust/sliding"], ["embankment.gamma"])


def test_branch_that_turns_within_a_range_is_found_at_its_ends() -> None:
    """An end of the works after the last time that a stiffness is given for."""
    design, run = run_of("weak-sleeve", "T")
    path, last = "stage.3.start", run.sections[0].section.sleeve.stiffness[-1].time
    close = Replay(run, design, "T", [TENSION], [path], ranges={path: (0.9 * 365, 1.1 * 365)})

    found = close({path: np.array([close.base[path], last])})[TENSION]

    assert np.isfinite(found).tolist() == [True, False]
    with pytest.raises(UnfollowedError, match=f"{path} cannot be followed to {TENSION}"):
        close.confirm({path: last})
    with pytest.raises(UnfollowedError, match=f"{path} cannot be followed to {TENSION}"):
        Replay(run, design, "T", [TENSION], [path], ranges={path: (close.base[path], last)})


def test_what_the_record_does_not_say_is_refused_by_name() -> None:
    """Sheets that were not made by the chapters: a reading of another section, lanes left out by an array."""
    sheet = Sheet(section="T", key="ground")
    sheet.axis("layer", ["a", "b"])
    given = sheet.given("gamma", [19.0, 20.0], ["layer"], origin=Origin("file", path="fill"))
    aside = sheet.take("gamma_E", given.without(np.array([True, False]), "aside"))
    other = Value("gamma_E", np.array(20.0), step="B/ground/-/gamma_E")
    one = sheet.verdict("aside", "Aside", effect=aside, resistance=other)

    with pytest.raises(UnfollowedError, match="which cases of T/ground/-/gamma T/ground/-/gamma_E leaves out"):
        plan_of([sheet], {"ground/aside": replace(one, sides=(aside, aside))}, ["fill"], {})
    with pytest.raises(UnfollowedError, match="reads B/ground/-/gamma_E of another section"):
        plan_of([sheet], {"ground/aside": one}, ["fill"], {})


def test_inputs_that_differ_together_alone_are_refused_together(monkeypatch: pytest.MonkeyPatch) -> None:
    design, run = run_of("weak-sleeve", "T")

    def compare(_: Replay, __: object, changed: tuple[str, ...]) -> None:
        if len(changed) > 1:
            raise UnfollowedError(" and ".join(changed))

    monkeypatch.setattr(Replay, "_compare", compare)
    with pytest.raises(UnfollowedError, match=r"sleeve\.strength and traffic\.q"):
        Replay(run, design, "T", [TENSION], ["sleeve.strength", "traffic.q"])


def test_given_that_is_not_the_number_of_its_field_is_refused() -> None:
    design, run = run_of("weak-sleeve", "T")
    replay = Replay(run, design, "T", [TENSION], ["sleeve.strength"])
    replay.base["sleeve.strength"] = 1.0

    with pytest.raises(UnfollowedError, match="the record does not say how T/sleeve/-/R_Bk0 is made of it"):
        replay._refuse_derived()


@pytest.mark.examples
@pytest.mark.slow
def test_settlement_in_time_is_that_of_each_sample_by_itself() -> None:
    name, path = "consolidation/settlement_residual", "layer.peat.c_h"
    design, run = run_of("marsh-approach", "A")
    replay = Replay(run, design, "A", [name], [path])
    values = replay.base[path] * np.array([0.8, 1.0, 1.3])

    found = replay({path: values})[name]

    assert found[0] > found[1] > found[2]
    assert found.tolist() == [replay({path: values[k : k + 1]})[name][0] for k in range(3)]


def test_section_with_zones_of_its_columns_is_refused() -> None:
    design = read_design(PROJECTS / "willow-reach")
    part = SectionRun(next(section for section in design.sections if section.by_zones()), ())

    with pytest.raises(UnfollowedError, match="reads zones of its columns or positions across"):
        Replay(Run(design, (part,)), design, part.section.key, [TENSION], CELL)


def test_section_with_a_core_in_its_bank_is_refused() -> None:
    design = read_design(PROJECTS / "fen-track")
    part = SectionRun(design.sections[0], ())

    with pytest.raises(UnfollowedError, match="zones of the fill that end within the bank"):
        Replay(Run(design, (part,)), design, part.section.key, [TENSION], CELL)


def test_resistance_that_is_lost_has_no_finite_utilisation() -> None:
    design, run = run_of("weak-sleeve", "T")
    replay = Replay(run, design, "T", [TENSION], ["sleeve.strength"])

    found = replay({"sleeve.strength": np.array([0.0, replay.base["sleeve.strength"], np.nan])})[TENSION]

    assert np.isfinite(found).tolist() == [False, True, False]
    assert "no case has an effect and a positive resistance" in replay.reasons[0]
    assert "is no finite number" in replay.reasons[2]


def test_number_of_a_layer_with_strength_by_points_is_changed_in_its_parts() -> None:
    design = read_design(PROJECTS / "basin-crossing")
    section = next(section for section in design.sections if section.soft_layers is not section.layers)
    path = f"layer.{next(layer.key for layer in section.soft_layers if layer.c_u_profile)}.nu"

    _, other = with_numbers(design, section, {path: 0.21})

    assert number_at(design, other, path) == 0.21
    assert len(other.layers) == len(section.layers)
    assert 0.21 in {layer.nu for layer in other.layers}


def test_number_of_a_layer_is_read_and_changed_by_its_key() -> None:
    design, run = run_of("weak-sleeve", "T")
    section = run.sections[0].section

    changed, other = with_numbers(design, section, {"layer.clay-lower.nu": 0.31, "basis.gamma_w": 10.1})

    assert number_at(changed, other, "layer.clay-lower.nu") == 0.31
    assert number_at(design, section, "layer.clay-lower.nu") != 0.31
    assert (changed.basis.gamma_w, other.layers[0]) == (10.1, section.layers[0])
