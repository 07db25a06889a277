"""A study by sublayer from a project file to its text, record, pages and samples, and what is refused."""

import json
from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.parquet as pq
import pytest

from calc.inputs import Design, InputErrors, read_design
from calc.study.engines import Here, engine
from calc.study.study_parts import read_studies
from calc.study.study_record import checksum
from calc.study.vary import vary_run as study
from calc.study.vary.samples_file import write_samples
from calc.study.vary.vary_pages import vary_pages
from calc.study.vary.vary_record import record
from calc.study.vary.vary_run import Varied, vary_run
from calc.study.vary.vary_text import vary_text
from tests.study.vary.read_back import read_back
from tests.study.vary.test_by_sublayer import LOWER, PROJECTS, RING, SETTLEMENT, UPPER
from tests.study.vary.test_study import text_of_pdf

pytestmark = pytest.mark.slow


def changed_project(folder: Path, paths: tuple[str, ...], verdict: str = RING) -> Design:
    text = (PROJECTS / "weak-sleeve" / "project.toml").read_text(encoding="utf-8")
    lines = [text.partition("\n# Sensitivity and reliability")[0], "\n[vary]\npoints = 256\nreplicates = 8\n"]
    for path in paths:
        lines.append(f'\n[[vary.input]]\npath = "{path}"\ndistribution = "lognormal"\nmean = "900 kPa"\ncov = 0.3\n')
        lines.append('vertical = "sublayers"\ncorrelation_length = "0.8 m"\nsource = "invented"\n')
    lines.append('\n[[vary.input]]\npath = "embankment.gamma"\ndistribution = "lognormal"\nmean = "22 kN/m^3"\n')
    lines.append('cov = 0.1\nsource = "invented"\n')
    lines.append(f'\n[[vary.limit_state]]\nverdict = "{verdict}"\n')
    (folder / "project.toml").write_text("".join(lines), encoding="utf-8")
    (folder / "ground-data.csv").write_bytes((PROJECTS / "weak-sleeve" / "ground-data.csv").read_bytes())
    return read_design(folder)


def test_more_sublayers_than_random_variables_are_admitted_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = changed_project(tmp_path, (LOWER, UPPER))
    assert design.vary is not None
    monkeypatch.setattr(study, "MOST_VARIABLES", 5)

    with pytest.raises(InputErrors) as caught:
        vary_run(design, design.vary, Here())

    [line] = str(caught.value).splitlines()
    assert "vary.input[2].vertical: must leave at most 500 random variables (project rule)" in line
    assert line.endswith('got "6 sublayers of layer clay-upper, 11 variables"')


def test_a_section_that_is_not_divided_has_bars_by_the_chain_and_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = changed_project(tmp_path, (UPPER,))
    assert design.vary is not None
    monkeypatch.setattr(study, "fields_of", lambda *_: ())

    [section] = vary_run(design, design.vary, Here()).sections

    [answer] = section.answers
    assert answer.probability is None
    assert {swing.path for swing in answer.swings} == {UPPER, "embankment.gamma"}
    assert min(swing.size for swing in answer.swings) > 0
    assert answer.open[0][0] == "chained"
    assert "cannot be followed by sublayer: the section has layers that change across" in answer.open[0][1]


@pytest.fixture(scope="module")
def whole_study(tmp_path_factory: pytest.TempPathFactory) -> Varied:
    design = changed_project(tmp_path_factory.mktemp("project"), (UPPER,), SETTLEMENT)
    assert design.vary is not None
    return vary_run(design, design.vary, Here())


def test_a_study_is_the_same_whoever_works_it_out(whole_study: Varied) -> None:
    vary = whole_study.vary

    with engine("processes", 3) as crew:
        again = vary_run(whole_study.design, vary, crew)

    assert record(again) == record(whole_study)


def test_text_record_and_pages_have_the_design_point_by_sublayer(whole_study: Varied) -> None:
    [section] = record(whole_study)["sections"]
    [state] = section["limit_states"]
    text = " ".join(vary_text(whole_study, 100).split())
    pages = " ".join(text_of_pdf(vary_pages(read_back(whole_study))).split())

    given, whole = [one["by_sublayer"] for one in section["inputs"]]
    assert whole is None
    assert given["paths"][5] == "layer.clay-upper/6.E_oed_ref"
    assert given["correlation_length"] == 0.8
    assert section["random_variables"] == 7
    point = state["form"]["by_sublayer"][UPPER]
    assert len(point["design_values"]) == len(point["sensitivity"]) == 6
    assert list(state["form"]["design_values"]) == ["embankment.gamma"]
    assert sum(alpha**2 for alpha in state["form"]["sensitivity"].values()) == pytest.approx(1.0, abs=1e-6)
    farthest = int(np.argmax(np.abs(point["sensitivity"])))
    assert f"({point['design_values'][farthest]:.4g} kPa in" in text
    assert "neighbouring sublayers of up to 0.70 m have a correlation of 0.17, less than 0.37" in text
    assert "a value in each sublayer (6), scale of fluctuation 0.8 m" in pages
    assert f"Design point of {UPPER} by sublayer" in pages
    labels = section_labels(given)
    assert all(label in pages for label in labels)
    assert {share["path"] for share in state["shares"]} == {UPPER, "embankment.gamma"}


def test_the_record_of_a_study_by_sublayer_is_one_of_its_project_alone(whole_study: Varied) -> None:
    """Held against the table of the project file, as the last chapter of a package is."""
    one = record(whole_study)
    other: dict[str, Any] = json.loads(json.dumps(one))
    other["sections"][0]["inputs"][0]["by_sublayer"]["correlation_length"] = 2.0
    other["checksum"] = checksum(other)

    assert read_studies({"vary.json": json.dumps(one).encode()}, whole_study.design)
    with pytest.raises(InputErrors, match=r"sections\.0\.inputs\.0\.by_sublayer: must be those that \[vary\]"):
        read_studies({"vary.json": json.dumps(other).encode()}, whole_study.design)


def section_labels(given: Mapping[str, Any]) -> list[str]:
    ends = given["top"] + np.cumsum([0.0, *given["thickness"]])
    return [f"{top:.2f}–{bottom:.2f} m" for top, bottom in pairwise(ends)]


def test_samples_have_a_column_for_every_sublayer(whole_study: Varied, tmp_path: Path) -> None:
    """Each has the distribution of a point, and neighbours are correlated by their mid-depths."""
    rows = write_samples(whole_study, tmp_path / "samples.parquet", Here())

    columns = pq.read_table(tmp_path / "samples.parquet").to_pydict()
    parts = [f"layer.clay-upper/{k}.E_oed_ref" for k in range(1, 7)]
    assert rows == 256 * 8 == len(columns[SETTLEMENT])
    assert [name for name in columns if name.startswith("layer")] == parts
    logs = np.log([columns[part] for part in parts])
    assert np.exp(logs.mean(axis=1)) == pytest.approx(900 / np.sqrt(1.09), rel=0.02)
    assert np.corrcoef(logs)[0, 1] == pytest.approx(np.exp(-2 * 0.4 / 0.8), abs=0.05)
