"""What opens a scope over several sections."""

from calc.package.scope_heads import common_cases, common_title, short_case


def test_what_all_sections_have_alike_is_said_once() -> None:
    parts = {"A": ["stage 1", "load G", "layer clay"], "B": ["stage 1", "load G", "layer peat"]}

    assert common_cases(parts) == [(["A", "B"], "stage 1, load G"), (["A"], "layer clay"), (["B"], "layer peat")]


def test_sections_of_one_case_stand_together_and_a_section_without_more_is_not_named() -> None:
    parts = {"A": ["stage 1"], "B": ["stage 1", "layer peat"], "C": ["stage 1", "layer peat"]}

    assert common_cases(parts) == [(["A", "B", "C"], "stage 1"), (["B", "C"], "layer peat")]


def test_cases_that_have_nothing_alike_stand_by_section() -> None:
    assert common_cases({"A": ["stage 1"], "B": ["stage 2"]}) == [(["A"], "stage 1"), (["B"], "stage 2")]
    assert common_cases({"A": [], "B": []}) == []


def test_title_ends_where_sections_differ() -> None:
    assert common_title(["Model: left", "Model: right"]) == "Model"
    assert common_title(["Model", "Model"]) == "Model"
    assert common_title(["One", "Other"]) == "One"


def test_case_names_what_says_itself_without_the_word_of_its_axis() -> None:
    case = {"factor_set": "EN 1997-1 DA1-2", "stage": "2 High water", "load": "G+Q", "layer": "peat 0.00–0.40 m"}

    assert short_case(case, {"EN 1997-1 DA1-2": "DA1-2"}) == ["DA1-2", "“High water”", "load G+Q", "peat 0.00–0.40 m"]
    assert short_case(case, {})[0] == "factor set EN 1997-1 DA1-2"
    assert short_case({"stage": "2"}, {}) == ["stage 2"]
