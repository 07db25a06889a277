"""Runs of the small test project with some of its values changed."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from calc.chain import Run, SectionRun, run_checks
from calc.chapters.stability.search_settings import RULES
from calc.engine.sheet import Sheet
from calc.inputs import read_design
from tests.chapters import monitoring_case
from tests.chapters.timed import base_document, first_chapters, kept, reach
from tests.chapters.widening_case import widened

Change = Callable[[Any], None]
RunWith = Callable[..., SectionRun]

# Fewer circles, blocks and finer steps: what is asked here is what enters a search and what is made of what it finds.
# That it finds the least is asked in tests/procedures; the examples have the rules of the program.
COARSE_RULES = {"r_fin": 0.5, "n_val": 1, "n_ctri": 4, "n_levi": 2, "n_widi": 0, "n_near": 3,
                "n_blk": 4, "n_fin": 1, "n_wed": 1}  # fmt: skip


@pytest.fixture(autouse=True)
def coarse_searches(request: pytest.FixtureRequest) -> Iterator[None]:
    """Search coarsely, whatever the project asks for, unless the examples are read."""
    with pytest.MonkeyPatch.context() as patch:
        if not request.node.get_closest_marker("examples"):
            for name, value in COARSE_RULES.items():
                patch.setitem(RULES, name, value)
        yield


def changes_the_program(request: pytest.FixtureRequest) -> bool:
    return "monkeypatch" in request.fixturenames


@pytest.fixture
def run_project(tmp_path: Path, request: pytest.FixtureRequest) -> Callable[..., Run]:
    """Run the test project after a change of its parsed document; the same text once in a test process.

    A test that changes the program itself has runs of its own.
    """

    def made() -> Run:
        return run_checks(read_design(tmp_path))

    def run(change: Change | None = None) -> Run:
        document = base_document()
        if change:
            change(document)
        text = tomlkit.dumps(document)
        (tmp_path / "project.toml").write_text(text, encoding="utf-8")
        return made() if changes_the_program(request) else kept(("all", text), made)

    return run


@pytest.fixture
def chapters(run_project: Callable[..., Run]) -> Callable[..., dict[str, Sheet]]:
    """The chapters of the first section by key."""

    def run(change: Change | None = None) -> dict[str, Sheet]:
        return {sheet.key: sheet for sheet in run_project(change).sections[0].sheets}

    return run


@pytest.fixture
def beside_old(chapters: Callable[..., dict[str, Sheet]]) -> Callable[..., Sheet]:
    """The chapter on widening of the test bank around an old one with fields changed."""

    def run(*changes: Change, **values: Any) -> Sheet:
        return chapters(widened(*changes, **values))["widening"]

    return run


@pytest.fixture
def first(tmp_path: Path, request: pytest.FixtureRequest) -> Callable[..., dict[str, Sheet]]:
    """The chapters of the first section up to that on consolidation, which is quicker than all of them."""
    return first_chapters(tmp_path, fresh=changes_the_program(request))


@pytest.fixture
def judge(tmp_path: Path) -> monitoring_case.Judge:
    """The chapter on monitoring with these triggers."""

    def made(*triggers: dict[str, Any], changes: tuple[Change, ...] = ()) -> Sheet:
        change = monitoring_case.timed(*changes, monitoring_case.watched(*triggers))
        return monitoring_case.run_to_the_end(monitoring_case.read(tmp_path, change))["monitoring"]

    return made


@pytest.fixture
def bearing(tmp_path: Path) -> Callable[..., Sheet]:
    """The chapter on bearing after changes of the project, with the columns 9 m beyond the crest edge."""
    run = first_chapters(tmp_path, "bearing")

    def make(*changes: Change) -> Sheet:
        def change(document: Any) -> None:
            for one in (reach, *changes):
                one(document)

        return run(change)["bearing"]

    return make
