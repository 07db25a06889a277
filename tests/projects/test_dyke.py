"""The example dyke stands by its columns and its waiting times: without either it fails, and fails clearly."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calc.chain import CHAPTERS, Run, SectionRun, run_chapters
from calc.chapters.shared.division import relies_on_division
from calc.chapters.stability.search_settings import RULES
from calc.engine.sheet import Sheet
from calc.inputs import read_design
from tests.chapters.conftest import COARSE_RULES
from tests.projects.store import STORED

PROJECT = Path(__file__).parents[2] / "projects" / "dyke-reach" / "project.toml"
DECIDING = ("squeeze_lift", "squeeze", "global_stability_lift", "global_stability", "global_stability_blocks_lift")
Change = Callable[[str], str]


def run(folder: Path, last: str, *changes: Change) -> Run:
    """The dyke after changes, up to the chapter whose verdicts decide: later ones could only add failures."""
    text = PROJECT.read_text(encoding="utf-8")
    for change in changes:
        text = change(text)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    design, done = read_design(folder), dict[str, Sheet]()
    (section,) = design.sections
    run_chapters(design, section, CHAPTERS[: 1 + [chapter.key for chapter in CHAPTERS].index(last)], done)
    assert not relies_on_division(done)
    return Run(design, (SectionRun(section, tuple(done.values())),))


def to_the_crest_edge(text: str) -> str:
    """Columns that end under the crest edge."""
    return re.sub(r'(beyond_(?:left|right)) = "16.0 m"', r'\1 = "0.01 m"', text)


def in_eight_days(text: str) -> str:
    """Every lift on the heels of the one before, with no degree and no ratio to wait for."""
    text = re.sub(r"degree_min = [\d.]+", "degree_min = 0.01", text)
    text = re.sub(r"n_stability = [\d.]+", "n_stability = 1.0", text)
    starts = iter((0, 1, 2, 4, 5, 7, 880, 900))  # the last but one an earthquake
    text = re.sub(r'(?m)^start = "\d+ d"', lambda _: f'start = "{next(starts)} d"', text)
    return re.sub(r'(?m)^duration = "(?!0 d)\d+ d"', 'duration = "1 d"', text)


def by_the_set_that_governs(text: str) -> str:
    """One of the two factor sets: a failure by one is a failure, and the search takes half the time."""
    both = 'factor_sets = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]'
    assert both in text
    return text.replace(both, 'factor_sets = ["EN 1997-1 DA1-2"]')


def utilisations(found: Run) -> dict[str, float]:
    return {one.key: one.utilisation or 0.0 for _, _, one in found.verdicts() if one.key in DECIDING}


@pytest.mark.slow
def test_dyke_fails_in_eight_days_with_columns_to_the_crest_edge(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    """The case that must fail, in the shape of this example: by the wedge, by circles and by blocks, none narrowly.

    Few surfaces are tried: more could only be less safe.
    """
    for name, value in COARSE_RULES.items():
        monkeypatch.setitem(RULES, name, value)
    found = run(tmp_path, "stability", to_the_crest_edge, in_eight_days, by_the_set_that_governs)
    states = {one.key: one.state for _, _, one in found.verdicts() if one.key in DECIDING}

    assert found.outcome == "fail"
    assert min(utilisations(found).values()) > 1
    assert max(utilisations(found).values()) > 1.5
    assert set(states.values()) == {"fail"}


@pytest.mark.slow
@pytest.mark.parametrize("change", [to_the_crest_edge, in_eight_days], ids=["crest edge", "eight days"])
def test_dyke_fails_for_want_of_columns_and_for_want_of_time(tmp_path: Path, change: Change) -> None:
    """The stored run of the example as it is, with which the tests of the examples compare it, passes them all.

    The lateral extrusion alone goes beyond its limit, whatever the slip surfaces of the chapter after it give.
    """
    stored = json.loads((STORED / "dyke-reach.json").read_text(encoding="utf-8"))
    sound = {key.rpartition("/")[2]: one for key, one in stored["verdicts"].items()}
    poor = run(tmp_path, "bearing", change)

    assert stored["outcome"] == "pass"
    assert {sound[key]["state"] for key in DECIDING} == {"pass"}
    assert set(utilisations(poor)) == {"squeeze_lift", "squeeze"}
    assert max(sound[key]["utilisation"] for key in DECIDING) < 1 < max(utilisations(poor).values())
