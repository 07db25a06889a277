"""Progress of a run: chapters, and in the slow one every slip surface that has not been asked before."""

from pathlib import Path

import pytest
import tomlkit

from calc.chain import CHAPTERS, run_checks
from calc.inputs import read_design
from calc.procedures.stage_search import answer, force_asked
from tests.chapters.slip_case import searched, weak
from tests.chapters.timed import base_document


@pytest.mark.slow
def test_run_tells_its_chapters_and_slip_searches_one_by_one(tmp_path: Path) -> None:
    document = base_document()
    searched(weak)(document)
    (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    design = read_design(tmp_path)
    lines: list[str] = []
    answer.forget()
    force_asked.forget()
    run_checks(design, lines.append)
    section = design.sections[0].key
    numbered = [line for line in lines if "slip surface or search" in line]

    assert lines[0] == f"section {section}, Design basis (1 of {len(CHAPTERS)})"
    assert numbered[0] == f"section {section}, Global stability (8 of {len(CHAPTERS)}): slip surface or search 1"
    assert numbered[-1].endswith(f" {answer.worked_out + force_asked.worked_out}")

    lines.clear()
    run_checks(design, lines.append)
    assert len([line for line in lines if line.startswith(f"section {section}, ")]) == len(CHAPTERS)
    assert not any("search" in line for line in lines)
