"""What is refused of a study before slip surfaces are searched: verdicts that there are not, ends that break a rule."""

from pathlib import Path
from typing import Any

import pytest

from calc.inputs import InputErrors
from calc.study.engines import Here
from calc.study.vary import vary_run as study
from calc.study.vary.one_at_a_time import ends_of
from calc.study.vary.vary_refusals import refuse_broken_rules, refuse_unknown_early
from tests.study.vary.slip_project import slip_design

RANGE = """
[[vary.input]]
path = "columns.{name}"
least = "{least} m"
most = "{most} m"
source = "invented"

[[vary.limit_state]]
"""


def refused(design: Any) -> list[str]:
    assert design.vary is not None
    with pytest.raises(InputErrors) as error:
        study.vary_run(design, design.vary, Here())
    return str(error.value).splitlines()


def with_ranges(folder: Path, *ranges: tuple[str, float, float]) -> Any:
    tables = "".join(RANGE.format(name=name, least=least, most=most).partition("[[vary.limit_state]]")[0]
                     for name, least, most in ranges)  # fmt: skip
    return slip_design(folder, ("\n[[vary.limit_state]]\n", f"{tables}\n[[vary.limit_state]]\n"))


@pytest.mark.parametrize(("name", "near"), [
    ("stability/global_stabilty", "stability/global_stability"),
    ("stability/face", "stability/face_of_slope"),
])  # fmt: skip
def test_a_wrong_name_is_told_before_any_search_with_the_nearest(
    name: str, near: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = slip_design(tmp_path, ("stability/global_stability", name))
    monkeypatch.setattr(study, "run_checks", None)

    [line] = refused(design)

    assert "vary.limit_state[1].verdict: must name a verdict that compares numbers in section A, such as " in line
    assert near in line
    assert line.count(", ") == 4
    assert line.endswith(f'(docs/verdicts.md), got "{name}"')


def test_a_range_end_that_breaks_a_rule_between_inputs_names_both(tmp_path: Path) -> None:
    """Columns that overlap: by one range alone, or by two of which each is sound by itself."""
    [one] = refused(with_ranges(tmp_path, ("diameter", 0.7, 3.0)))
    both = refused(with_ranges(tmp_path, ("diameter", 0.7, 1.4), ("spacing", 1.2, 2.5)))

    assert "vary.input[3].most: must keep the rules between the inputs of section A: columns." in one
    assert one.endswith('got "columns.diameter = 3 m"')
    assert "vary.input[3].most: must keep" in both[0]
    assert both[0].endswith('got "columns.diameter = 1.4 m, columns.spacing = 1.2 m"')


def test_names_and_ends_that_hold_are_taken(tmp_path: Path) -> None:
    design = with_ranges(tmp_path, ("diameter", 0.75, 0.85))
    assert design.vary is not None
    sections = [section.without_slip() for section in design.sections]

    refuse_unknown_early(design, design.vary, design.sections, None)
    refuse_unknown_early(design, design.vary, sections, None)  # nothing is searched: the run itself is as quick
    known = study._marginals(design, design.vary, design.sections[0])
    refuse_broken_rules(
        design, design.vary, design.sections[0], [ends_of(one, known) for one in design.vary.inputs]
    )  # fmt: skip
