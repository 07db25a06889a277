"""The review page in a real browser, by mouse and by keyboard."""

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from calc.chain import Run
from calc.review.comments import Comment, Said
from calc.review.facts import facts
from calc.review.page import review_page
from calc.review.records import Entry
from calc.review.standing import Standing, StepMark
from tests.browser.chromium import Page
from tests.packages.reading import page_texts

FIRST, SECOND = '[id="n1.1"]', '[id="n1.2"]'
HOSTILE = (
    "</script><script>document.title='taken'</script><img src=x onerror=\"document.title='taken'\"> {{ 7 * 7 }} "
    "{% raw %} ../../etc/passwd \x07 \u202e\u2028 &lt; ]]> <!-- "
)


@pytest.fixture(scope="module")
def written(run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(run, tmp_path_factory.mktemp("page"))


def write(run: Run, folder: Path, state: Standing | None = None) -> Path:
    path = folder / "review.html"
    path.write_text(review_page(run, state), encoding="utf-8")
    return path


def fresh(page: Page, path: Path) -> Page:
    """The page without what an earlier test has left in the browser."""
    page.open(path)
    if page.run("localStorage.length") == 0:
        return page
    page.run("localStorage.clear()")
    return page.reload()


def counts(page: Page) -> str:
    return str(page.run("document.getElementById('counts').textContent"))


def message(page: Page) -> str:
    return str(page.run("document.getElementById('message').textContent"))


def focused(page: Page) -> str:
    return str(page.run("document.activeElement.id"))


def saved(page: Page) -> dict[str, Any]:
    return dict(json.loads(page.downloaded().read_text(encoding="utf-8")))


def shown(page: Page) -> int:
    return int(page.run("[...document.querySelectorAll('.row')].filter(one => one.checkVisibility()).length"))


def test_page_loads_nothing_and_complains_about_nothing(page: Page, written: Path) -> None:
    fresh(page, written)

    assert page.requests() == [written.as_uri()]
    assert page.complaints() == []


def test_policy_refuses_every_fetch_and_every_other_script(page: Page, written: Path) -> None:
    fresh(page, written)
    page.run(
        "const add = (tag, set) => document.body.append(Object.assign(document.createElement(tag), set));"
        " add('script', {textContent: \"document.title = 'taken'\"}); add('img', {src: 'http://127.0.0.1:9/x.png'});"
        " add('iframe', {src: 'http://127.0.0.1:9/'}); add('style', {textContent: '* { color: red }'});"
        " new Promise((done) => fetch('http://127.0.0.1:9/').then(done, done))"
    )
    refused = [complaint for complaint in page.complaints() if "Content Security Policy" in complaint]

    assert page.run("document.title") != "taken"
    assert page.run("getComputedStyle(document.body).color") == "rgb(28, 28, 28)"
    assert len(refused) == 5


def text(page: Page, selector: str) -> str:
    return str(page.run(f"document.querySelector({json.dumps(selector)}).textContent"))


def mark(page: Page, line: str, mark: str) -> None:
    """Mark a line by mouse: the line, then the mark in the panel."""
    page.click(f"{line} .title")
    page.click(f"#panel input[value={mark}]")


def test_mark_comment_own_value_and_reload(page: Page, written: Path) -> None:
    fresh(page, written)
    page.click("#initials")
    page.type("BO")
    mark(page, FIRST, "agreed")
    mark(page, SECOND, "query")
    page.click("#comment")
    page.type("Which table?")
    page.click("#own")
    page.type("1.4")
    deviation = text(page, "#deviation")
    before = counts(page), text(page, f"{SECOND} .compared")
    page.reload()
    page.click(f"{SECOND} .title")

    assert counts(page).startswith("1 of ")
    assert ", 1 query, " in counts(page)
    assert before == (counts(page), text(page, f"{SECOND} .compared"))
    assert before[1] == f"own 1.4 : {deviation}"
    assert deviation == text(page, "#deviation") != ""
    assert page.run("[byId('comment').value, byId('own').value]") == ["Which table?", "1.4"]
    assert text(page, f"{SECOND} .paper") == "Which table?"
    assert text(page, f"{FIRST} .stamp").startswith("agreed · BO 20")
    assert [text(page, f"{one} .box") for one in (FIRST, SECOND)] == ["✓", "?"]


def test_box_of_a_line_agrees_it_and_takes_it_back(page: Page, written: Path) -> None:
    fresh(page, written)
    page.click("#initials")
    page.type("BO")
    page.click(f"{FIRST} .box")
    agreed = counts(page)
    page.click(f"{FIRST} .box")

    assert agreed.startswith("1 of ")
    assert counts(page).startswith("0 of ")


def test_mark_needs_initials(page: Page, written: Path) -> None:
    fresh(page, written)
    mark(page, FIRST, "agreed")

    assert "initials" in message(page)
    assert focused(page) == "initials"
    assert counts(page).startswith("0 of ")
    assert page.run("document.querySelector('#panel input[value=none]').checked")


def test_mark_needs_the_initials_of_the_name(page: Page, written: Path) -> None:
    """Those of somebody else would be refused when the file is taken in."""
    fresh(page, written)
    page.click("#initials")
    page.type("ZZ")
    mark(page, FIRST, "agreed")

    assert message(page) == "The initials must be those of the name."
    assert counts(page).startswith("0 of ")


@pytest.mark.parametrize(
    ("result", "own", "text"),
    [
        (1.02, "1.0", "+2.00 %"), (0.98, "1", "−2.00 %"), (1.0, "1", "0.00 %"), (-2.0, "-1", "−100 %"),
        (3.0, "1.5e0", "+100 %"), (0.0, "0", "0.00 %"), (1.0, "0", "no per cent of zero"), (1.0, "", ""),
        (1.0, "1,0", "not a number (decimal point)"), (1.0, "1 kN", "not a number (decimal point)"),
    ],
)  # fmt: skip
def test_deviation_is_that_of_the_printed_result_from_the_own_value(
    page: Page, written: Path, result: float, own: str, text: str
) -> None:
    page.open(written)

    assert page.run(f"deviation({result}, {json.dumps(own)})") == text


def test_keyboard_alone_marks_comments_filters_and_saves(page: Page, written: Path) -> None:
    fresh(page, written)
    page.press("i")
    page.type("BO")
    page.press("Escape", "a", "j", "q")
    page.type("Which edition?")
    page.press("Escape", "v")
    page.type("1.3")
    page.press("Escape", "j", "a", "n", "o", "k", "k")
    place = focused(page)
    page.press("f", "ArrowDown", "ArrowDown", "Escape", "s")
    filtered = page.run("document.getElementById('show').value")
    file = saved(page)

    assert (place, filtered) == ("n1.2", "query")
    assert [(step["mark"], step["comment"], step["own"]) for step in file["steps"]] == [
        ("agreed", "", ""), ("query", "Which edition?", "1.3"), ("none", "", "")
    ]  # fmt: skip
    assert file["by"] == {"name": "Bø Okoye", "initials": "BO"}


def test_keys_do_nothing_while_text_is_typed(page: Page, written: Path) -> None:
    fresh(page, written)
    page.click("#initials")
    page.type("BO")
    page.click(f"{FIRST} .title")
    page.click("#comment")
    page.press("a", "q", "s", "?", "1", "b", "u")

    assert page.run("document.querySelector('#comment').value") == "aqs?1bu"
    assert text(page, f"{FIRST} .paper") == "aqs?1bu"
    assert counts(page).startswith("0 of ")
    assert list(page.downloads.iterdir()) == []


def test_filters_show_what_they_say(page: Page, run: Run, tmp_path: Path) -> None:
    known = list(facts(run).steps)
    marks = {
        known[0]: StepMark("agreed", "BO", "2025-05-01", "A"),
        known[1]: StepMark("query", "BO", "2025-05-01", "A"),
    }
    fresh(page, write(run, tmp_path, Standing(facts(run), marks, frozenset(known[2:5]), (), {})))
    found = {}
    for name in ("all", "open", "query", "changed", "failing"):
        page.choose("#show", name)
        found[name] = shown(page)
    page.choose("#show", "all")
    page.choose("#chapter", "c2")
    chapter = shown(page)

    assert (found["all"], found["open"], found["query"], found["changed"]) == (len(known), len(known) - 1, 1, 3)
    assert 0 <= found["failing"] < 10
    assert chapter == sum(key.startswith("A/ground/") for key in known)
    assert text(page, f"{FIRST} .stamp").endswith("revision A")


def test_saved_file_can_be_loaded_again(page: Page, written: Path) -> None:
    fresh(page, written)
    page.click("#initials")
    page.type("BO")
    page.press("Escape", "a", "j", "q")
    page.type(HOSTILE)
    page.press("Escape")
    before = counts(page)
    page.click("#save")
    path = page.downloaded()
    fresh(page, written)
    assert counts(page) != before
    page.give_file("#load", path)
    page.wait("document.getElementById('message').textContent.includes('entries loaded')")

    assert counts(page) == before
    assert text(page, f"{SECOND} .paper") == HOSTILE
    assert page.run("document.title") != "taken"
    assert path.name == "review-2025-014-GEO-C-001-A.json"


def test_text_of_a_checker_stays_text_in_the_page(page: Page, run: Run, tmp_path: Path) -> None:
    """A review which was taken in stands in the next page, inside its data and inside its text."""
    known = facts(run)
    first = next(iter(known.steps.values()))
    entry = Entry(
        key=first.key, fingerprint=first.fingerprint, mark="query", comment=HOSTILE, initials="</s>", date="2025-05-01",
        own="1",
    )  # fmt: skip
    said = Said("checker", "</p>", "2025-05-01", HOSTILE, HOSTILE, closing=False)
    comment = Comment(1, first.key, first.number, HOSTILE, "query", "open", (said,))
    gone = Comment(2, "gone", "A.9.9", HOSTILE, "query", "open", (said,))
    fresh(page, write(run, tmp_path, Standing(known, {}, frozenset(), (comment, gone), {first.key: entry})))

    assert page.complaints() == []
    assert page.run("document.title") != "taken"
    assert text(page, f"{FIRST} .paper") == HOSTILE
    shown_text = text(page, f"{FIRST} .comment .text")
    page.click(f"{FIRST} .title")
    assert page.run("document.querySelector('#comment').value") == HOSTILE
    assert shown_text == HOSTILE.replace("\x07", "\ufffd").replace("\u202e", "\ufffd").replace("\u2028", "\ufffd")
    assert "the step is no longer in the calculation" in page.run("document.querySelector('.comments').textContent")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"run": "0" * 64}, "another run"), ({"format": 2}, "no review file"), ({"steps": {}}, "no review file"),
        ({"steps": [None, 1, {"key": "x"}, {"key": "A/basis/-/gamma_G", "mark": 1}]}, "4 could not be read"),
    ],
)  # fmt: skip
def test_foreign_file_is_refused_in_words(
    page: Page, written: Path, run: Run, tmp_path: Path, change: Mapping[str, Any], words: str
) -> None:
    fresh(page, written)
    path = tmp_path / "back.json"
    path.write_text(json.dumps({"format": 1, "kind": "review", "run": facts(run).run, "steps": []} | dict(change)))
    page.give_file("#load", path)
    page.wait("document.getElementById('message').textContent !== ''")

    assert words in message(page)
    assert counts(page).startswith("0 of ")


def test_link_leads_to_a_step_that_the_filter_hides(page: Page, written: Path) -> None:
    fresh(page, written)
    page.choose("#chapter", "c4")
    link = '#c4 .beneath a.step[href^="#n2"]'
    target = page.run(f"document.querySelector({json.dumps(link)}).getAttribute('href')")
    page.click(link)

    assert f"#{focused(page)}" == target
    assert page.run("document.activeElement.checkVisibility()")
    assert page.run("document.getElementById('chapter').value") == ""


def test_query_without_a_comment_is_not_saved(page: Page, written: Path) -> None:
    fresh(page, written)
    page.click("#initials")
    page.type("BO")
    mark(page, '[id="n2.3"]', "query")
    page.choose("#chapter", "c4")
    page.click("#save")

    assert message(page) == "Not saved: A 2.3: a query needs a comment."
    assert focused(page) == "comment"
    assert page.run("here.element.id") == "n2.3"
    assert page.run("here.element.checkVisibility()")
    assert list(page.downloads.iterdir()) == []


@pytest.mark.slow
def test_print_shows_every_step_with_marks_and_whole_comments(page: Page, written: Path, run: Run) -> None:
    fresh(page, written)
    page.click("#initials")
    page.type("BO")
    page.press("Escape", "j", "q")
    page.type("word " * 400 + "end-of-comment")
    printed = "".join(page_texts(page.printed()))
    words = set(printed.split())

    assert "end-of-comment" in printed
    assert "query · BO 20" in " ".join(printed.split())
    numbers = [step.number.split()[1] for step in facts(run).steps.values()]
    assert [number for number in numbers if number not in words] == []
    assert "Save review file" not in printed
    assert "own value" not in printed


def test_page_of_a_title_with_markup_shows_it_as_text(page: Page, run: Run, tmp_path: Path) -> None:
    project = run.design.project.model_copy(update={"title": "</title><script>document.title='taken'</script>"})
    fresh(page, write(replace(run, design=replace(run.design, project=project)), tmp_path))

    assert page.complaints() == []
    assert page.run("document.title").endswith("</title><script>document.title='taken'</script>")
