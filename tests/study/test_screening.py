"""Screening without replays, over divisions that differ, with verdicts that are lost, and grids of mats."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chain import Run
from calc.inputs import InputErrors, read_design
from calc.study import screened_base, screening
from calc.study.chapters import chapters
from calc.study.engines import engine
from calc.study.followed import follow
from calc.study.objectives import charge_sheet, charges
from calc.study.screened_base import Base, Division, Probe, made_base, ratios, screened_utilisations, settlements
from calc.study.size_grid import Grid, SizeError, size_grid
from calc.study.whole_section import SETTLEMENT
from tests.study.grids import sleeve, write_grid

PROJECTS = Path(__file__).parents[2] / "projects"
SMALL = (
    ('diameter = ["0.70 m", "0.80 m"]', 'diameter = ["0.80 m"]'),
    ('pattern = ["square", "triangular"]', 'pattern = ["square"]'),
    ('spacing = ["1.6 m", "1.9 m", "2.1 m"]', 'spacing = ["1.9 m", "2.1 m"]'),
    ('objective = ["cost"]', 'objective = ["settlement", "carbon"]'),
)
TENSION = "sleeve/ring_tension_iso"
MATS = """
[size]
section = "A"
objective = ["cost"]
currency = "EUR"
diameter = ["0.80 m"]
spacing = ["1.7 m"]
pattern = ["triangular"]
sleeve = ["light"]
[[size.installation]]
method = "displacement"
K_star = 1.0
[size.installation.price]
column = { value = 60, source = "Tender (invented)" }
metre = { value = 22, source = "Tender (invented)" }
volume = { value = 31, source = "Tender (invented)" }
[[size.mat]]
replaces = "Layer 1, across"
by = ["mat 1", "mat 2"]
"""


def unfollowed(
    run: Run, section: str, verdicts: Sequence[str], inputs: Sequence[str], only: Any, *, confirmed: bool = False
) -> Any:  # fmt: skip
    """A record that holds nothing."""
    return None, frozenset(verdicts)


def replaying(**found: float) -> Any:
    """A replay with the same utilisations whatever the inputs."""
    names = {"settled": SETTLEMENT, "tension": TENSION}

    def made(values: Mapping[str, Any]) -> dict[str, Any]:
        count = len(next(iter(values.values())))
        return {names[name]: np.full(count, ratio) for name, ratio in found.items()}

    return made


def division(**found: float) -> Division:
    """A division with these utilisations."""
    made = replaying(**found)
    return Division({SETTLEMENT: 1.0, TENSION: 1.0}, made, made, made)


@pytest.fixture(scope="module")
def grid(tmp_path_factory: pytest.TempPathFactory) -> Grid:
    """A grid of four combinations."""
    return size_grid(read_design(write_grid(tmp_path_factory.mktemp("grid") / "p", *SMALL)))


@pytest.mark.slow
def test_without_a_replay_every_combination_is_run(grid: Grid) -> None:
    everything = np.arange(len(grid))
    with engine("here") as here:
        alone = screening.Screening(grid, here, unfollowed)
        replayed = screening.Screening(grid, here, follow)

    assert alone.followed == {"pattern", "installation", "diameter"}
    for name, values in alone.objectives.items():
        assert values == pytest.approx(replayed.objectives[name], rel=1e-9)
    assert alone.ask(everything, whole=False).tolist() == replayed.ask(everything, whole=True).tolist()
    one = alone.ratios(everything[:1])
    assert {key: float(value[0]) for key, value in one.items()} == pytest.approx(
        {key: float(value[0]) for key, value in replayed.ratios(everything[:1]).items()}, rel=1e-9
    )


def test_of_several_divisions_the_least_utilisation_counts(grid: Grid) -> None:
    numbers = np.arange(2)
    base = Base(numbers, ("columns.spacing",), (division(settled=1.2, tension=0.8), division(settled=0.9, tension=1.1)))
    worst, by = screened_utilisations(base, grid, numbers, whole=True)

    assert worst.tolist() == [0.9, 0.9]
    assert by == [SETTLEMENT, SETTLEMENT]
    assert settlements(base, grid, numbers).tolist() == [0.9, 0.9]
    assert ratios(base, grid, numbers)[TENSION].tolist() == [0.8, 0.8]


def test_settlement_that_cannot_be_replayed_is_no_objective(grid: Grid) -> None:
    with pytest.raises(SizeError, match="that it can be replayed"):
        settlements(Base(np.arange(1), ("columns.spacing",), (division(tension=0.8),)), grid, np.arange(1))


def test_what_a_run_at_the_ends_contradicts_is_lost_and_nothing_is_left_without_a_run(
    grid: Grid, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The run at an end finds another settlement; a verdict that one run only has is lost, too."""
    monkeypatch.setattr(screened_base, "run_of", lambda *_: (None, None))
    monkeypatch.setattr(screened_base, "_limits", lambda _: {SETTLEMENT: 1.0, TENSION: 1.0})
    numbers = np.arange(len(grid))
    titles = {SETTLEMENT: "Settlement", TENSION: "Tension"}
    cases: dict[str, dict[str, str]] = {SETTLEMENT: {"stage": "4"}, TENSION: {}}
    ends = len(screened_base.ends_of(grid, numbers))

    def probes(*settled: float) -> Any:
        return iter([Probe({SETTLEMENT: one, TENSION: 0.8}, titles, cases, 0) for one in settled])

    def replay(
        run: Any, section: str, verdicts: Sequence[str], inputs: Any, only: Any, *, confirmed: bool = False
    ) -> Any:  # fmt: skip
        return replaying(settled=0.5, tension=0.8), frozenset[str]()

    made = made_base(grid, numbers, frozenset({"spacing", "sleeve"}), replay, probes(*[0.5] * (ends - 1), 0.6))
    none = made_base(grid, numbers, frozenset({"spacing", "sleeve"}), replay, iter([None] * ends))
    refused = made_base(grid, numbers, frozenset({"spacing", "sleeve"}), unfollowed, probes(*[0.5] * ends))

    assert made.lost == {SETTLEMENT}
    assert list(ratios(made, grid, numbers)) == [TENSION]
    assert none.divisions == ()
    assert refused.divisions == ()


def test_a_replay_of_fewer_cases_that_gives_other_numbers_is_not_used(
    grid: Grid, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(screened_base, "run_of", lambda *_: (None, None))
    monkeypatch.setattr(screened_base, "_limits", lambda _: {SETTLEMENT: 1.0})
    numbers = np.arange(len(grid))
    ends = len(screened_base.ends_of(grid, numbers))

    def base(quick: Any) -> Base:
        def replay(*arguments: Any, **_: Any) -> Any:
            return quick if arguments[-1] else replaying(settled=0.5), frozenset[str]()

        one = Probe({SETTLEMENT: 0.5}, {SETTLEMENT: "Settlement"}, {SETTLEMENT: {"stage": "4"}}, 0)
        return made_base(grid, numbers, frozenset({"spacing", "sleeve"}), replay, iter([one] * ends))

    same, other, none = (base(one).divisions[0] for one in (replaying(settled=0.5), replaying(settled=0.4), None))

    assert same.quick is not same.whole
    assert other.quick is other.whole
    assert none.quick is none.whole


def test_a_grid_without_any_run_is_told(grid: Grid, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any) -> Any:
        raise InputErrors([])

    monkeypatch.setattr(screened_base, "run_of", refuse)
    with pytest.raises(SizeError, match="no combination that was tried of the grid has a run"):
        screened_base.first_run(grid, np.arange(len(grid)))
    assert screened_base.probe(grid, 0) is None
    worst, by = screened_utilisations(Base(np.arange(2), ()), grid, np.arange(2), whole=True)
    assert worst.tolist() == [np.inf, np.inf]
    assert by == [screened_base.NO_SOLUTION] * 2
    assert ratios(Base(np.arange(2), ()), grid, np.arange(2)) == {}
    assert settlements(Base(np.arange(2), ()), grid, np.arange(2)).tolist() == [np.inf, np.inf]


def test_mats_replace_their_layer_and_are_charged(tmp_path: Path) -> None:
    """Of one of three sections, which takes a list of its own."""
    text = (PROJECTS / "marsh-approach" / "project.toml").read_text(encoding="utf-8")
    product = sleeve("mat 1", 700, 11, 2).replace("catalogue.sleeve", "catalogue.mat")
    product = product.replace('seam = "Sewn along its length, seam strength in RF_ID"', "interaction = 0.85")
    tube = sleeve("light", 200, 9, 2).replace("iso20432", "factors").replace("R2 = ", "# R2 = ")
    for old, new in (("RF_CR", "A1"), ("RF_ID", "A2"), ("RF_W", "A3"), ("RF_CH", "A4"), ("R1 = ", "A5 = ")):
        tube = tube.replace(old, new)
    text += MATS + tube + product + product.replace('"mat 1"', '"mat 2"').replace("11", "14")
    text = text.replace('time = "80 a"', 'time = "100 a"')
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    for path in (PROJECTS / "marsh-approach").iterdir():
        if path.is_file() and path.name != "project.toml":
            (tmp_path / path.name).write_bytes(path.read_bytes())
    grid = size_grid(read_design(tmp_path))
    design = read_design(tmp_path, grid.text(1).encode())
    section = next(one for one in design.sections if one.key == "A")
    columns = chapters(design, section, until="columns")["columns"]

    assert grid.shape == (1, 1, 1, 2, 1, 1)
    assert [layer.name for layer in section.reinforcement] == ["mat 2", "Layer 2, along"]
    assert section.reinforcement[0].factors is None
    assert section.reinforcement[0].anchorage is not None
    assert design.sections[1].reinforcement[0].name != "mat 2"
    cheap, dear = charges(grid, "cost", {"": columns}, np.arange(2))
    assert dear - cheap == pytest.approx(3.0, rel=1e-12)
    assert float(charge_sheet(grid, "cost", {"": columns}, 1)["K_A"].array) == pytest.approx(dear, rel=1e-12)


def test_runs_that_do_not_fail_contradict_the_screening(grid: Grid, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two combinations excluded by little: one run agrees; without a solution a design fails, too."""
    with engine("here") as here:
        made = screening.Screening.__new__(screening.Screening)
        made.grid, made.engine, made._known = grid, here, {}
    made.worst, made.keys, made.by = np.array([1.2, 1.1, np.inf, 0.5]), [screening.TOUCHING], np.zeros(4, dtype=np.intp)
    found = {0: None, 1: Probe({TENSION: 0.9}, {}, {}, 0)}
    monkeypatch.setattr(screening, "probe", lambda _, number: found[number])

    assert made.contradicted(4).tolist() == [1]
    assert made.contradicted(0).tolist() == []


def test_runs_with_a_solution_contradict_a_replay_without_one(grid: Grid, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of six without a solution four are run, the first and the last among them; those that touch have no run."""
    with engine("here") as here:
        made = screening.Screening.__new__(screening.Screening)
        made.grid, made.engine, made._known = grid, here, {}
    made.worst, made.keys = np.full(8, np.inf), [screening.TOUCHING, screened_base.NO_SOLUTION]
    made.by = np.array([0, 0, 1, 1, 1, 1, 1, 1])
    asked: list[int] = []

    def probed(_: Grid, number: int) -> Probe | None:
        asked.append(number)
        return Probe({TENSION: 0.9}, {}, {}, 0) if number == 7 else None

    monkeypatch.setattr(screening, "probe", probed)

    assert made.contradicted(4).tolist() == [7]
    assert asked == [2, 3, 5, 7]


@pytest.mark.parametrize(
    ("ratios", "same"),
    [
        ([{"a": 0.5, "b": 0.9}, {"a": 0.5 * (1 + 1e-12), "b": 0.8}, None], {"a": 0.5}),
        ([{"a": 0.5, "b": 0.9}, {"b": 0.9}, {"a": 0.5, "b": 0.9}], {"b": 0.9}),
        ([{"a": 0.5}, None, None], {}),
    ],
)
def test_what_is_the_same_at_all_ends_of_the_grid_is_changed_by_none_of_its_values(
    ratios: list[dict[str, float] | None], same: dict[str, float], grid: Grid, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each combination is run once; one run tells of no change."""
    with engine("here") as here:
        made = screening.Screening.__new__(screening.Screening)
        made.grid, made.engine, made._known = grid, here, {}
    made.apart, asked = np.arange(3), list[int]()

    def probed(_: Grid, number: int) -> Probe | None:
        asked.append(number)
        found = ratios[number]
        return None if found is None else Probe(found, {}, {}, 0)

    monkeypatch.setattr(screening, "probe", probed)
    monkeypatch.setattr(screening, "ends_of", lambda *_: [0, 1, 2])

    assert made.unchanged() == made.unchanged() == same
    assert asked == [0, 1, 2]


def test_what_a_replay_gives_no_solution_is_excluded_as_such_and_by_no_verdict(grid: Grid) -> None:
    numbers = np.arange(2)
    base = Base(numbers, ("columns.spacing",), (division(settled=np.inf, tension=np.inf),))

    assert screened_utilisations(base, grid, numbers, whole=True)[1] == [screened_base.NO_SOLUTION] * 2


def test_a_base_without_verdicts_excludes_nothing(grid: Grid) -> None:
    worst, by = screened_utilisations(
        Base(np.arange(1), ("columns.spacing",), (division(),)), grid, np.arange(1), whole=True
    )

    assert (worst.tolist(), by) == ([0.0], [""])


@pytest.mark.slow
def test_an_input_without_a_number_cannot_be_followed(grid: Grid) -> None:
    run, _ = screened_base.run_of(grid, 0)

    assert follow(run, "T", [TENSION], ["columns.K_star"], {}) == (None, frozenset({TENSION}))
    assert follow(run, "T", [TENSION], ["columns.diameter"], {}) == (None, frozenset({TENSION}))
