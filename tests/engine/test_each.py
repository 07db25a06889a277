"""A test of many cases is itself tested: it passes over none and names each that is wrong."""

from pathlib import Path

import pytest

from tests.each import for_each


def test_every_wrong_case_is_named_with_what_was_said_of_it(tmp_path: Path) -> None:
    seen = []

    @for_each("one", ["a", "b", "c"])
    def tested(folder: Path, one: str) -> None:
        seen.append((folder, one))
        if one == "b":
            raise ValueError("no b")  # noqa: EM101 - a case
        assert one == "a", "not a"

    with pytest.raises(AssertionError, match=r"2 of 3 cases:\nb: ValueError: no b\nc: AssertionError: not a") as told:
        tested(folder=tmp_path)

    assert seen == [(tmp_path, "a"), (tmp_path, "b"), (tmp_path, "c")]
    assert isinstance(told.value.__cause__, ValueError)


@for_each("one", [1, 2])
@pytest.mark.parametrize("other", [10, 20])
def test_other_arguments_are_those_of_pytest(tmp_path: Path, one: int, other: int) -> None:
    assert tmp_path.is_dir()
    assert one < other


def test_a_case_that_fails_by_word_is_one_of_them_and_none_is_skipped() -> None:
    """`pytest.fail` and `pytest.skip` raise what is no `Exception`; two cases of one name are two."""

    @for_each("one", ["a", "a", "b"])
    def failing(one: str) -> None:
        pytest.fail(one)

    @for_each("one", ["a"])
    def skipping(one: str) -> None:
        pytest.skip(one)

    with pytest.raises(AssertionError, match="3 of 3 cases"):
        failing()
    with pytest.raises(AssertionError, match="a case is not skipped"):
        skipping()


def test_no_case_is_refused() -> None:
    with pytest.raises(AssertionError, match="no case"):
        for_each("one", [])
