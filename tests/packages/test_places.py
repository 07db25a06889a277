"""Values carried from one step to another: where they come from, and at which case where it is another one."""

from re import escape, split

import numpy as np
import pytest

from calc.chain import Run, SectionRun
from calc.engine.figure import symbol_text
from calc.engine.sheet import Step, Value, label_words, value_text
from calc.engine.sheet.values import Axis
from calc.numbering import own_key
from calc.package.line_places import Places, field_path
from calc.package.typed_names import plain_text
from tests.packages.conftest import Made
from tests.packages.test_pages import squeezed

LOADS = Axis("load", ("G", "G+Q"))
STAGES = Axis("stage", ("1", "2"))
HERE = {"load": "G", "stage": "2"}


def places(numbers: list[list[float]]) -> tuple[Places, Value]:
    """Places with one step over stages and loads, which prints at stage 2 and load G+Q; and its value."""
    value = Value("F_Ri", np.array(numbers), (STAGES, LOADS), "A/x/-/F_Ri")
    step = Step(value.step, "formula", "", "F_Ri", "ring tension", value)
    printed = {step.key: (step, {"load": "G+Q", "stage": "2"})}
    return Places({step.key: "A.4.84"}, {step.key: "s1"}, printed), value


def test_a_value_of_another_case_is_said_to_be_of_that_case() -> None:
    known, value = places([[1.0, 2.0], [3.0, 4.0]])

    assert known.elsewhere(value, HERE) == {"load": "G"}
    assert "↳ <a" in known.origin_of(value, HERE)
    assert known.origin_of(value, HERE).endswith("A.4.84</a>"), "the head of the scope names the case"
    assert known.origin_of(value.at(load="G"), {"stage": "1"}).endswith("A.4.84</a> at load G")
    assert "as <a" in known.origin_of(value.at(load="G"), {"stage": "2"})
    assert known.origin_of(value.at(load="G"), {"stage": "2"}).endswith(", but at load G")


def test_a_value_that_prints_alike_at_both_cases_needs_no_case() -> None:
    known, value = places([[1.0, 2.0], [4.0, 4.0]])

    assert known.elsewhere(value, HERE) == {}
    assert known.origin_of(value, HERE).endswith("A.4.84</a>")


def test_an_axis_that_is_read_whole_is_not_named() -> None:
    known, value = places([[1.0, 2.0], [3.0, 4.0]])

    assert known.elsewhere(value, {"stage": "2"}) == {}


def test_the_largest_of_all_cases_names_the_case_at_which_it_stands() -> None:
    known, value = places([[1.0, 9.0], [3.0, 4.0]])

    assert known.elsewhere(value.largest(), {}) == {"stage": "1"}
    assert known.origin_of(value.largest(), HERE).endswith("A.4.84</a>, but at stage 1")
    assert known.elsewhere(value.smallest(), {}) == {"stage": "1", "load": "G"}
    assert places([[1.0, 2.0], [3.0, 4.0]])[0].elsewhere(value.largest(), {}) == {}


def test_what_replaces_a_symbol_names_the_labels_chosen_for_it() -> None:
    known, value = places([[1.0, 2.0], [3.0, 4.0]])

    assert known.replacement("F_G", value.at(load="G+Q"), HERE).endswith("A.4.84</a> at load G+Q")
    assert "↳" not in known.replacement("F_G", value.at(load="G+Q"), HERE)
    assert known.replacement("F_G", value.at(load="G", stage="1"), HERE).endswith("A.4.84</a> at stage 1")
    assert "↳" in known.replacement("F_G", value.at(load="G", stage="1"), HERE)
    assert known.replacement("F_G", value, {"load": "G+Q", "stage": "2"}).endswith("A.4.84</a>")
    own, other = (known.replacement(name, value.at(load="G+Q"), HERE) for name in (value.symbol, "F_G"))
    assert own.startswith(f"{symbol_text(value.symbol)} of <a")
    assert other.startswith(f"{symbol_text('F_G')} is {symbol_text(value.symbol)} of <a")


def test_a_value_of_the_stage_before_says_so_even_where_it_prints_alike() -> None:
    known, value = places([[4.0, 4.0], [4.0, 4.0]])
    before = value.before("stage", 0.0)

    for case in (HERE, {"load": "G+Q", "stage": "2"}):
        assert "↳ <a" in known.origin_of(before, case)
        assert known.origin_of(before, case).endswith("A.4.84</a>, the stage before")
    assert known.origin_of(before, {"load": "G", "stage": "1"}).endswith("has no stage before this one")


@pytest.mark.parametrize(
    ("path", "printed"),
    [
        ("stage.4.fill_height", "stage[5].fill_height"),
        ("sleeve.stiffness.0.J", "sleeve.stiffness[1].J"),
        ("reinforcement.1", "reinforcement[2]"),
        ("layer.2.gamma", "layer.2.gamma"),
        ("basis.limits.ring_strain", "basis.limits.ring_strain"),
    ],
)
def test_list_items_are_counted_from_one_unless_they_have_a_key(path: str, printed: str) -> None:
    assert field_path(path) == printed


def carried_elsewhere(run: Run, part: SectionRun) -> list[tuple[str, dict[str, str], str]]:
    """Number, printed value, and what the head of the scope does not say of the other case, of every given value whose
    own step prints another number."""
    cases = {step.key: (step, part.cases[sheet.key, step.scope]) for sheet in part.sheets for step in sheet.page.lines}
    found = []
    for sheet in part.sheets:
        for step in sheet.page.lines:
            case = part.cases[sheet.key, step.scope]
            for read in step.inputs.values() if step.kind == "given" else ():
                source, there = cases[read.value.step]
                here = read.value.read_at(case)
                if here is None:
                    continue
                if source.value.number(here) != source.value.number(there):
                    other = {axis.name: here[axis.name] for axis in source.value.axes}
                    differing = {
                        name: label for name, label in other.items()
                        if label != there[name] and label != case.get(name)
                        and (read.value.earlier is None or name != read.value.earlier.name)
                    }  # fmt: skip
                    found.append((run.numbers[own_key(step.key)], differing, value_text(step.value, case, step.symbol)))
    return found


def test_every_given_value_of_another_case_says_so_on_its_line(package: Made) -> None:
    (part,) = package.run.sections
    pages = squeezed("".join(package.pages))
    carried = carried_elsewhere(package.run, part)

    assert carried
    for number, other, value in carried:
        _, *lines = split(rf"□{escape(number)}(?!\d)", pages)  # 2.3 is no part of 2.34
        line = lines[0].partition("□")[0]
        assert squeezed(value) in line
        assert "↳" in line or "butat" in line
        for axis, label in other.items():
            assert squeezed(label_words(axis, label)) in line


def test_a_line_of_a_zone_is_named_with_its_section_and_never_among_lines_behind_each_other() -> None:
    """The same number stands in the column of the zone and in that of the section."""
    numbers = {"R/columns/-/a": "3.1", "R/columns/-/b": "3.2", "R/columns/-/c": "3.3", "R.slope/columns/-/c": "3.3"}
    anchors = {key: f"n{number}" for key, number in numbers.items()}
    known = Places(numbers, anchors, {}, {"R.slope/columns/-/c": "R.slope"})

    assert str(known.link("R.slope/columns/-/c")) == '<a class="step" href="#n3.3">3.3</a> in R.slope'
    assert [plain_text(link) for link in known.links(numbers)] == ["3.3 in R.slope", "3.1–3.3"]
