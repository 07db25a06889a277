"""Samples worked out in this process, lines of an averaged normal input, a scatter and notes with nothing to show."""

import math
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pyarrow.parquet as pq
import pytest

from calc.engine.sheet import Limitation, Sheet, Verdict
from calc.inputs import Design, read_design
from calc.inputs.reading.starter import starter_project
from calc.kept import KeptFiles
from calc.run_progress import Progress
from calc.study.chunks import KeptChunks
from calc.study.engines import Here
from calc.study.vary import samples_file
from calc.study.vary.samples_file import _points, write_samples
from calc.study.vary.study import Asked, Means, Studied
from calc.study.vary.vary_figures import course_picture
from calc.study.vary.vary_lines import calculation
from calc.study.vary.vary_pages import _limits, _notes, _pair, _summary, vary_pages
from calc.study.vary.vary_record import record
from calc.study.vary.vary_run import Varied, turned_of, vary_run
from calc.study.vary.vary_text import vary_text
from tests.study.vary.known_states import certain, circle, linear, rare
from tests.study.vary.read_back import read_back, state_of
from tests.study.vary.test_study import NORMAL, asked, study, table

Designs = Callable[[str], Design]
STATE = '\n[[vary.limit_state]]\nverdict = "unit_cell/settlement_total"\n'
AVERAGED = """
[[vary.input]]
path = "layer.peat.gamma"
distribution = "normal"
mean = "10.8 kN/m^3"
sd = "0.3 kN/m^3"
correlation_length = "0.5 m"
averaging_length = "2 m"
source = "tests"
"""
RANGE = """
[[vary.input]]
path = "layer.peat.thickness"
least = "1.9 m"
most = "2.1 m"
source = "soundings"
"""


@pytest.fixture
def starter(tmp_path: Path) -> Designs:
    """The starter project with inputs and limit states."""

    def made(tables: str) -> Design:
        text = starter_project("Bank").replace("[[section]]\n", f"[vary]\n{tables}\n[[section]]\n", 1)
        (tmp_path / "project.toml").write_text(text, encoding="utf-8")
        return read_design(tmp_path)

    return made


def test_samples_are_the_points_that_were_counted(starter: Designs, tmp_path: Path) -> None:
    """What the chain alone can say has no points, and a section without distributions has no rows."""
    ranged = {"path": "c", "least": 0, "most": 1, "source": "invented"}
    states = [{"verdict": "linear"}, {"verdict": "circle"}]
    vary = table([*NORMAL, ranged], limit_state=states)
    found = study(asked(linear), asked(circle, "of a search"), vary=vary)
    without = study(asked(linear), vary=table([{**ranged, "path": name} for name in "ab"]))
    design = starter(AVERAGED + STATE)
    file = tmp_path / "points.parquet"

    rows = write_samples(Varied(design, vary, design, (found, replace(without, section="B"))), file, Here())

    points = pq.read_table(file)
    assert rows == points.num_rows == 8 * 512
    assert set(points["section"].to_pylist()) == {"A"}
    assert points["replicate"].to_pylist() == [k for k in range(8) for _ in range(512)]
    a, b, utilisation = (points[name].to_numpy() for name in ("a", "b", "linear"))
    assert utilisation == pytest.approx(linear({"a": a, "b": b})["linear"], abs=1e-12)
    assert set(points["c"].to_pylist()) == {0.0}
    assert np.isnan(points["circle"].to_numpy()).all()
    sampled = found.answers[0].sampled
    assert sampled is not None
    assert (utilisation > 1).sum() == sampled.probability.failures > 0
    assert utilisation[: len(sampled.scatter)].tolist() == sampled.scatter.tolist()


def test_samples_of_a_long_replicate_are_written_in_parts(
    starter: Designs, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No part has more points than it may; all together they are those of the replicates."""
    vary = table(limit_state=[{"verdict": "linear"}])
    design, found = starter(AVERAGED + STATE), study(asked(linear), vary=vary)

    def written(part: int) -> pq.ParquetFile:
        monkeypatch.setattr(samples_file, "PART", part)
        write_samples(Varied(design, vary, design, (found,)), tmp_path / f"{part}.parquet", Here())
        return pq.ParquetFile(tmp_path / f"{part}.parquet")

    whole, parts = written(512), written(128)
    assert (whole.num_row_groups, parts.num_row_groups) == (8, 32)
    assert parts.read().equals(whole.read())


def test_samples_that_end_in_an_error_leave_no_file(starter: Designs, tmp_path: Path) -> None:
    vary = table(limit_state=[{"verdict": "linear"}])
    found = study(asked(linear), vary=vary)

    def fails(_: object) -> dict[str, np.ndarray]:
        message = "no number"
        raise ArithmeticError(message)

    [answer] = found.answers
    broken = replace(found, answers=(replace(answer, asked=replace(answer.asked, model=fails)),))
    design = starter(AVERAGED + STATE)

    with pytest.raises(ArithmeticError, match="no number"):
        write_samples(Varied(design, vary, design, (broken,)), tmp_path / "points.parquet", Here())
    assert [path.name for path in tmp_path.iterdir()] == ["project.toml"]


def test_an_averaged_normal_input_has_its_reduced_variation_and_no_spread_of_logarithms(starter: Designs) -> None:
    design = starter(AVERAGED + STATE)
    assert design.vary is not None

    of = read_back(Varied(design, table(), design, (study(asked(linear)),)))
    section = of.record.sections[0].model_copy(update={"limit_states": ()})

    sheet = calculation(replace(of, vary=design.vary), section)

    ratio = 2.0 / 0.5
    reduction = math.sqrt((2 * ratio - 1 + math.exp(-2 * ratio)) / (2 * ratio**2))
    assert [step.symbol for step in sheet.steps] == ["V_pt", "L_av", "theta_v", "G_av", "V_av"]
    assert float(sheet.steps[-1].value.array) == pytest.approx(0.3 / 10.8 * reduction)


def test_points_without_any_solution_have_no_scatter() -> None:
    found = study(asked(linear))
    [answer] = found.answers
    assert answer.sampled is not None
    unsolved = replace(answer, sampled=replace(answer.sampled, scatter=np.full(len(answer.sampled.scatter), np.inf)))
    shown = {one.path: one for one in table().inputs}

    assert [figure["picture"] is not None for figure in _pair(state_of(found), shown)] == [True, True]
    assert [figure["title"] for figure in _pair(state_of(found, unsolved), shown)] == [
        "Probability of failure over the number of points"
    ]


def test_estimates_that_do_not_agree_say_so() -> None:
    found = study(asked(rare))
    [answer] = found.answers
    assert answer.subset is not None
    words = "Importance sampling and subset simulation do not agree"

    differing = replace(answer, subset=replace(answer.subset, value=10 * answer.subset.value))

    assert words not in " ".join(_notes(state_of(found)))
    assert words in " ".join(_notes(state_of(found, differing)))
    assert words not in " ".join(_notes(state_of(study(asked(certain)))))


def test_limits_speak_of_the_record_where_something_is_evaluated_from_it(starter: Designs) -> None:
    design, vary = starter(AVERAGED + STATE), table()

    def limits(one: Asked) -> str:
        return " ".join(_limits(read_back(Varied(design, vary, design, (study(one, vary=vary),)))))

    assert "evaluated from the recorded steps" in limits(asked(linear))
    assert "recorded steps" not in limits(asked(linear, "of a search"))


def test_a_range_that_the_record_does_not_hold_has_its_bar_and_the_probability_stays(starter: Designs) -> None:
    """The whole way in this process, of a project without a file of results."""
    design = starter(AVERAGED + RANGE + STATE)
    assert design.vary is not None
    vary = design.vary.model_copy(update={"points": 64, "replicates": 8})

    varied = vary_run(design, vary, Here())

    [section] = varied.sections
    [answer] = section.answers
    assert [one.path for one in section.joint.marginals] == ["layer.peat.gamma"]
    assert section.joint.fixed == {"layer.peat.thickness": 2.0}
    assert answer.probability is not None
    assert answer.chain_at
    assert [one.path for one in answer.effects] == ["layer.peat.gamma"]
    bars = {one.path: one for one in answer.swings}
    sizes = [one.size for one in answer.swings]
    assert sizes == sorted(sizes, reverse=True)
    assert bars["layer.peat.thickness"].at_low < answer.base < bars["layer.peat.thickness"].at_high
    [why] = [why for what, why in answer.open if what == "apart"]
    assert "layer.peat.thickness" in why
    said = f"effects of Morris of layer.peat.thickness (their bars are by the chain itself), because {why}"
    assert said in " ".join(vary_text(varied, 200).split())
    assert "Elementary effects of layer.peat.thickness (their bars are by runs of" in " ".join(
        _notes(state_of(section))
    )


def test_samples_and_indices_leave_out_what_is_apart() -> None:
    """The model takes no other input than its own."""

    def strict(values: Mapping[str, Any]) -> Mapping[str, Any]:
        assert set(values) == {"a", "b"}
        return linear(values)

    strict.__name__ = "linear"

    def beside(values: Mapping[str, Any]) -> Mapping[str, Any]:
        return {"linear": linear(values)["linear"] + values["c"]}

    ranged = {"path": "c", "least": -5, "most": 5, "source": "invented"}
    vary = table([*NORMAL, ranged], limit_state=[{"verdict": "linear"}])
    one = replace(asked(strict, "of a thickness"), beside=beside, apart=("c",))

    found = study(one, vary=vary)

    [answer] = found.answers
    assert answer.swings[0].path == "c"
    assert answer.swings[0].size == 10
    assert {share.path for share in answer.shares} == {effect.path for effect in answer.effects} == {"a", "b"}
    assert answer.indices is not None
    assert answer.indices[1] < 2.0 < answer.indices[2]
    assert _points(found, 5, 64, (0, 0))["linear"].shape == (64,)


def test_replicates_that_end_where_the_course_begins_have_none(starter: Designs) -> None:
    """64 points in one go: fewer than a project file may ask for."""
    vary = table().model_copy(update={"points": 64, "replicates": 8})
    found = study(asked(certain), vary=vary)
    design = starter(AVERAGED + STATE)

    assert course_picture(state_of(found)) is None
    assert "replicates of 64 points are too short to tell" in " ".join(_notes(state_of(found)))
    assert vary_pages(read_back(Varied(design, vary, design, (found,)))).startswith(b"%PDF")
    assert course_picture(state_of(study(asked(certain)))) is not None


def test_limitations_that_can_turn_the_verdict_stand_beside_it_and_qualify_the_target(starter: Designs) -> None:
    """Terminal, pages and data; a target that is reached is so unless one of them turns the verdict."""
    water = Limitation("toe-water-low", f"The lowest level is in no stage. {'More of it. ' * 20}", "project file")
    vary = table(limit_state=[{"verdict": "linear"}])
    one = asked(linear, target=1.0, source="invented")
    found = study(replace(one, turned=(water,)), vary=vary)
    [answer] = found.answers
    design = starter(AVERAGED + STATE)
    varied = Varied(design, vary, design, (replace(found, outside=("c = 9 in the project lies outside.",)),))
    text = " ".join(vary_text(varied, 100).split())
    [section] = record(varied)["sections"]
    [state] = section["limit_states"]

    assert answer.judgement == "pass"
    assert "target β 1: reached, unless a limitation turns the verdict (1)" in text
    assert "limitation 1 can turn it: The lowest level is in no stage." in text
    assert "Caution: c = 9 in the project lies outside." in text
    shown = state_of(found)
    assert _summary(shown)["partial"] == "0.800, pass (DA1-1); limitations can turn it: 1"
    assert "reached, unless a limitation turns the verdict (see beside)" in _summary(shown)["target"]
    assert f"does not include it: {water.text} (project file)" in " ".join(_notes(shown))
    assert state["limitations"] == [{"key": water.key, "text": water.text, "source": water.source}]
    assert (state["target"]["judgement"], state["target"]["unless"]) == ("pass", ["toe-water-low"])
    assert section["outside"] == ["c = 9 in the project lies outside."]
    assert _summary(state_of(study(one)))["target"] == "1: reached"


def test_a_second_run_takes_everything_from_the_first(tmp_path: Path) -> None:
    """What is kept is not asked of the model again; every search tells of itself."""
    calls, said = [0], list[Progress]()

    def told(values: Mapping[str, Any]) -> Mapping[str, Any]:
        calls[0] += len(values["a"])
        return rare(values)

    told.__name__ = "rare"
    files = KeptFiles(tmp_path / "chunks")
    means = Means(Here(), lambda question: KeptChunks(files, question), said.append)

    def run() -> tuple[Studied, int]:
        before = calls[0]
        return study(asked(told), means=means), calls[0] - before

    (first, many), (second, fewer) = run(), run()

    assert repr(first) == repr(second)
    assert (many > 2 * 8 * 512, fewer) == (True, 0)
    lines = " / ".join(said)
    for what in ("tornado: chunk 1 of 1", "Morris: chunk 1 of 1", "Sobol': chunk 1 of 1", "design point, ",
                 "subset simulation, 2000 points", "around the design point, 4096 points"):  # fmt: skip
        assert f"section A, rare: {what}" in lines.replace("rare ", "rare: "), what
    assert any(line.opens for line in said if line.endswith("subset simulation, 2000 points"))
    assert not any(line.opens for line in said if line.endswith("subset simulation, 1900 points"))


SEARCHES = "design point", "subset simulation", "around the design point"


class Broken:
    """A limit state of β = 4.5 that ends the run at its n-th call, and counts the points that it has given."""

    __name__ = "rare"

    def __init__(self, last: int | None = None) -> None:
        self.last, self.calls, self.points = last, 0, 0

    def __call__(self, values: Mapping[str, Any]) -> Mapping[str, Any]:
        if self.calls == self.last:
            raise KeyboardInterrupt
        self.calls, self.points = self.calls + 1, self.points + len(values["a"])
        return rare(values)


def test_a_run_that_is_broken_off_anywhere_goes_on_from_there(tmp_path: Path) -> None:
    """Design point, levels of subset simulation and the search around the design point: nothing is asked again."""

    def run(model: Broken, folder: str) -> tuple[str, list[str]]:
        files, said = KeptFiles(tmp_path / folder), list[str]()
        means = Means(Here(), lambda question: KeptChunks(files, question), lambda progress: said.append(str(progress)))
        with suppress(KeyboardInterrupt):
            [answer] = study(asked(model), means=means).answers
            assert answer.form is not None
            assert answer.subset is not None
            assert answer.importance is not None
            with np.printoptions(precision=17, threshold=10**6):
                return repr(replace(answer, asked=asked(rare))), said
        return "", said

    whole = Broken()
    expected, _ = run(whole, "whole")
    first = 1 + 1 + 1 + 8  # tornado, effects, shares, replicates: chunks before
    ended_in = set[str]()
    for last in (first + 3, first + 9, whole.calls - 40, whole.calls - 8 - 1):
        broken, rest = Broken(last), Broken()
        none, said = run(broken, str(last))
        found, _ = run(rest, str(last))
        ended_in |= {what for what in SEARCHES if f": {what}" in said[-1]}

        assert none == ""
        assert found == expected
        assert broken.points + rest.points == whole.points
    assert ended_in == {*SEARCHES}


def test_limitations_of_both_runs_of_a_verdict_are_named_once() -> None:
    """That with the project's factors has the first word."""

    def run(*limits: Limitation) -> Any:
        sheet = Sheet(section="A", key="x")
        sheet.limitations.extend(limits)
        parts: list[tuple[str, list[Sheet]]] = [("B", []), ("A", [sheet])]
        return SimpleNamespace(
            sections=[SimpleNamespace(section=SimpleNamespace(key=key), sheets=sheets) for key, sheets in parts]
        )

    first, other, one = (Limitation(key, text, "", ("v",)) for key, text in (("k", "1"), ("k", "2"), ("m", "3")))
    verdict = Verdict("v", "V", "pass", utilisation=0.5)

    found = turned_of((run(first), run(other, one, replace(one, key="n", turns=()))), "A", (verdict, verdict))

    assert found == (first, one)
