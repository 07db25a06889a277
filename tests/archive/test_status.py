import pytest

from calc.archive.record.status import WORDS, Status, may_follow, read_status, same_label, standing


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("S0", "draft"),
        ("S1", "for coordination"),
        ("S2", "for information"),
        ("S3", "for comment"),
        ("S4", "for approval"),
        ("S5", "for approval"),
        ("S6", "withdrawn"),
        ("S7", "withdrawn"),
        ("CR", "as constructed, for record"),
        ("A1", "issued for construction"),
    ],
)
def test_code_matches_the_uk_annex_of_2021_to_iso_19650_2(code: str, words: str) -> None:
    """The codes' words as quoted by a published comparison of the annex tables.

    They are work in progress, coordination, information, review and comment, review and authorization, review and
    acceptance, withdrawn, as constructed for record, authorized and accepted.
    """
    assert read_status(code) == Status(words, code)


@pytest.mark.parametrize("words", WORDS)
def test_words_alone_are_a_status_whatever_their_capitals(words: str) -> None:
    assert read_status(words) == read_status(words.upper()) == Status(words)


@pytest.mark.parametrize(
    ("text", "words", "code"),
    [
        ("S3 – for comment", "for comment", "S3"),
        ("for checking (S3)", "for checking", "S3"),
        ("(s2)", "for information", "S2"),
        ("S0 - work in progress", "draft", "S0"),
        ("for construction", "issued for construction", None),
        ("A2: issued for construction", "issued for construction", "A2"),
    ],
)
def test_code_and_words_may_stand_together(text: str, words: str, code: str | None) -> None:
    assert read_status(text) == Status(words, code)


@pytest.mark.parametrize("text", ["final", "", "–", "S8", "B1", "S1 – for comment", "draft (A1)", "for fun (S2)"])
def test_other_words_and_contradictions_are_no_status(text: str) -> None:
    assert read_status(text) is None


def test_status_prints_its_code_beside_the_words() -> None:
    assert [str(Status("draft", "S0")), str(Status("draft"))] == ["draft (S0)", "draft"]


def test_construction_comes_after_approval_and_nowhere_else() -> None:
    """A fact of the trade: common practice, no source."""
    assert [word for word in WORDS if "issued for construction" in may_follow([word])] == ["for approval"]
    assert "issued for construction" not in may_follow([])


def test_document_neither_begins_with_its_end_nor_goes_on_after_it() -> None:
    assert not {"superseded", "withdrawn"} & set(may_follow([]))
    assert may_follow(["draft", "superseded"]) == ()
    assert "for checking" in may_follow(["withdrawn"])


def test_every_status_can_be_reached() -> None:
    reached = set(may_follow([]))
    for _ in WORDS:
        reached |= {later for one in reached for later in may_follow([one])}

    assert reached == set(WORDS)


def test_work_in_progress_is_superseded_by_whatever_comes_later() -> None:
    assert standing(["draft", "for checking", "for approval"]) == ("superseded", "superseded", "for approval")


def test_issue_for_construction_stands_until_another_takes_its_place() -> None:
    series = ["for approval", "issued for construction", "draft", "for checking", "for approval"]

    assert standing(series)[1] == "issued for construction"
    assert standing([*series, "issued for construction"])[1] == "superseded"
    assert standing([*series[:3], "withdrawn"])[1] == "superseded"


def test_capitals_and_spaces_do_not_tell_labels_apart() -> None:
    assert same_label("P 01", " p  01")
    assert not same_label("P01", "P02")
