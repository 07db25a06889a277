"""Known surfaces against whole searches, round by round, and what a study says of them."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.chapters.stability.known_surfaces import Known, Row
from calc.kept import KeptFiles
from calc.procedures.slip import Circle
from calc.study.chunks import KeptChunks
from calc.study.engines import Here
from calc.study.vary import surface_rounds
from calc.study.vary.design_points import NoDesignPointError
from calc.study.vary.section_models import Recipe
from calc.study.vary.slip_models import BySurfaces, SlipRecipe
from calc.study.vary.surface_rounds import settled_surfaces
from tests.study.vary.known_states import together, varied


class Known2(BySurfaces):
    """A limit state of a and b as known surfaces: those of `levels`, the search knows all."""

    LEVELS = (2.0, 1.7)
    __name__ = "x"
    slip = SlipRecipe(Recipe((), (), (), (), "A", "x"), 0, (Known(Circle(0.0, 0.0, 1.0)),), ("1",))

    def confirm(self, _values: Mapping[str, float]) -> str:
        return ""

    def __init__(self, levels: int, most: float = 9.0) -> None:
        object.__setattr__(self, "levels", levels)
        object.__setattr__(self, "most", most)
        object.__setattr__(self, "recipe", Recipe((), (), (), ("a", "b"), "A", "x"))

    def __call__(self, values: Mapping[str, Any]) -> dict[str, Any]:
        found = [np.exp(0.6 * values["a"] + 0.8 * values["b"] - level) for level in self.LEVELS[: self.levels]]  # type: ignore[attr-defined]
        return {"x": np.where(values["a"] > self.most, np.inf, np.max(found, axis=0))}  # type: ignore[attr-defined]

    def search(self, points: Sequence[Mapping[str, float]], _engine: Any) -> list[list[Row]]:
        one = Known(Circle(0.0, 0.0, 1.0))
        whole = [np.exp(0.6 * point["a"] + 0.8 * point["b"] - 1.7) for point in points]
        return [[("f", "1", utilisation, one)] for utilisation in whole]

    def with_rows(self, searched: Any) -> "BySurfaces":
        assert len(list(searched)) > 0
        return Known2(self.levels + 1, self.most)  # type: ignore[attr-defined]


@pytest.mark.parametrize(("start", "rounds", "lower"), [(1, 5, 0.0), (2, 5, 0.0), (1, 1, 0.2)])
def test_surfaces_are_added_until_no_search_finds_a_lower_one(
    start: int, rounds: int, lower: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """β is 2 by the first surface and 1.7 by both; without another round the difference stays and is told."""
    monkeypatch.setattr(surface_rounds, "ROUNDS", rounds)
    joint, told = together([varied(path=name, distribution="normal", mean=0, sd=1) for name in "ab"]), list[str]()

    found = settled_surfaces(Known2(start), joint, 256, 3, Here(), lambda progress: told.append(str(progress)))

    assert isinstance(found.model, Known2)
    assert found.lower >= lower
    assert (found.lower > 0) == (rounds == 1)
    assert found.higher == 0.0
    assert told[0] == "section A, x: whole searches, round 1"
    assert found.searches == 1 + found.points * len(told)


def test_points_of_each_round_are_kept_by_the_surfaces_known_in_it(tmp_path: Path) -> None:
    asked = list[int]()

    class Counted2(Known2):
        def __init__(self, levels: int, most: float = 9.0) -> None:
            super().__init__(levels, most)
            object.__setattr__(self, "slip", replace(Known2.slip, stages=(str(levels),)))

        def __call__(self, values: Mapping[str, Any]) -> dict[str, Any]:
            asked.append(len(values["a"]))
            return super().__call__(values)

        def with_rows(self, searched: Any) -> "BySurfaces":
            assert len(list(searched)) > 0
            return Counted2(self.levels + 1)  # type: ignore[attr-defined]

    joint, files = (
        together([varied(path=name, distribution="normal", mean=0, sd=1) for name in "ab"]),
        KeptFiles(tmp_path),
    )

    def run() -> tuple[object, ...]:
        asked.clear()
        found = settled_surfaces(Counted2(1), joint, 256, 3, Here(), None, lambda question: KeptChunks(files, question))
        return found.model.levels, found.points, found.searches, found.lower, found.higher  # type: ignore[attr-defined]

    first, many = run(), sum(asked)
    again, few = run(), sum(asked)

    assert first == again
    assert first[0] == 2
    assert few < 30 < 2 * 256 < many


def test_a_point_at_which_known_surfaces_have_no_solution_asks_for_more(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> None:
        message = "no point"
        raise NoDesignPointError(message)

    monkeypatch.setattr(surface_rounds, "design_point", none)
    monkeypatch.setattr(surface_rounds, "ROUNDS", 2)
    joint = together([varied(path=name, distribution="normal", mean=0, sd=1) for name in "ab"])

    found = settled_surfaces(Known2(1, 1.0), joint, 256, 3, Here(), None)

    assert found.model.levels == 2  # type: ignore[attr-defined]
    assert found.lower == 0.0


def test_where_no_sample_fails_the_worst_and_plain_points_decide(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Known2, "LEVELS", (9.0,))
    monkeypatch.setattr(surface_rounds, "design_point", lambda *_: SimpleNamespace(u=np.zeros(2)))
    joint = together([varied(path=name, distribution="normal", mean=0, sd=1) for name in "ab"])
    deciding = surface_rounds._deciding(Known2(1), joint, 256, 3, Here())

    assert len(deciding) <= 2 + surface_rounds.WORST + surface_rounds.PLAIN
    assert deciding[0].tolist() == deciding[-1].tolist() == [0.0, 0.0]
