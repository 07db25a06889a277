"""Many values at a time: sections on one line, a block, the lines of a verdict, values that repeat agreed ones."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from calc.chain import Run
from calc.engine.sheet import Step
from calc.review.earlier import Earlier
from calc.review.facts import facts
from calc.review.page import review_page
from calc.review.standing import Standing, StepMark
from calc.review.views import chapters
from tests.browser.chromium import Page
from tests.browser.test_review_page import counts, focused, fresh, message, saved, shown, write


@pytest.fixture(scope="module")
def written(two: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(two, tmp_path_factory.mktemp("page"))


@pytest.fixture
def begun(page: Page, written: Path) -> Page:
    """The page of two sections, its initials given, its first line with a value in each section in focus."""
    fresh(page, written)
    page.press("i")
    page.type("BO")
    page.press("Escape")
    return page


def number(page: Page, expression: str) -> int:
    return int(page.run(expression))


def agreed(page: Page) -> int:
    return int(counts(page).split(" of ")[0])


def steps_of(run: Run) -> dict[str, Step]:
    return {step.key: step for part in run.sections for sheet in part.sheets for step in sheet.steps}


def descent(steps: dict[str, Step], keys: list[str]) -> Iterator[str]:
    """Everything that some steps were calculated from, by the record itself."""
    known: set[str] = set()
    while keys:
        key = keys.pop()
        if key in known or key not in steps:
            continue
        known.add(key)
        yield key
        keys += [given.value.step for given in steps[key].inputs.values()]


# ---- Sections on one line -------------------------------------------------------------------------------------------


def test_a_mark_on_a_line_holds_for_all_its_sections(begun: Page) -> None:
    begun.press("a", "s")
    file = saved(begun)

    assert agreed(begun) == 2
    assert [(step["key"][0], step["mark"]) for step in file["steps"]] == [("A", "agreed"), ("B", "agreed")]
    assert begun.run("here.box.textContent") == "✓"


def test_one_section_is_marked_otherwise(begun: Page) -> None:
    begun.press("a", "2", "q")
    begun.type("Other ground?")
    begun.press("Escape", "s")
    first, second = saved(begun)["steps"]

    assert (first["mark"], first["comment"], second["mark"], second["comment"]) == (
        "agreed", "", "query", "Other ground?",
    )  # fmt: skip
    assert begun.run("here.box.textContent") == "?"
    assert begun.run("here.entered.innerText").split("\n")[0].startswith("A: agreed · BO ")
    begun.press("j", "k", "0", "a")
    assert agreed(begun) == 2
    assert begun.run("here.steps.map((step) => step.entry.comment)") == ["", "Other ground?"]


def test_own_value_is_that_of_one_section(begun: Page) -> None:
    begun.run("go(rows.find((row) => row.steps.length === 2 && row.steps[0].value !== row.steps[1].value))")
    assert begun.run("byId('own').disabled")
    begun.press("2", "v")
    begun.type("1")
    values = begun.run("here.steps.map((step) => [step.value, step.entry && step.entry.own])")

    assert values[0][1] is None
    assert values[1][1] == "1"
    assert begun.run("byId('deviation').textContent") == begun.run(f"deviation({values[1][0]}, '1')")


def test_section_that_a_line_does_not_have_is_refused(begun: Page) -> None:
    begun.press("9")

    assert message(begun) == "There is no such section."
    assert begun.run("only") == -1


def test_page_limited_to_a_section_marks_it_alone_and_writes_its_numbers_out(begun: Page, two: Run) -> None:
    begun.choose("#section", "1")
    first = begun.run("rows.find((row) => !row.given && row.steps.length === 2 && row.steps[1].numbers).element.id")
    begun.run(f"go(rowOf.get(byId({json.dumps(first)})))")
    begun.press("a")
    visible = "[...here.element.querySelectorAll('.body > .numbers')].filter((one) => one.checkVisibility())"
    texts = begun.run(f"{visible}.map((one) => one.textContent)")
    keys = begun.run("steps.filter((step) => isMarked(step)).map((step) => step.key)")

    assert [key[0] for key in keys] == ["B"]
    assert [text.partition(" = ")[0] for text in texts] == ["B"]
    assert shown(begun) == sum(key.startswith("B/") for key in facts(two).steps)


def test_numbers_of_every_section_are_written_out_on_demand(begun: Page) -> None:
    found = begun.run(
        "rows.find((row) => row.element.dataset.like && row.steps.length === 2 && row.steps[0].numbers).element.id"
    )
    begun.run(f"go(rowOf.get(byId({json.dumps(found)})))")
    begun.press("x")
    lines = begun.run("[...document.querySelectorAll('.written .numbers')].map((one) => one.textContent)")

    assert [line[:4] for line in lines] == ["A = ", "B = "]
    assert number(begun, "document.querySelectorAll('.written math').length") == 1
    begun.press("x")
    assert number(begun, "document.querySelectorAll('.written').length") == 0


def test_no_key_marks_a_line_that_is_not_shown(begun: Page) -> None:
    begun.choose("#chapter", "c4")
    begun.press("a", "b", "n", "x")
    assert begun.run("[here, byId('panel').hidden, steps.filter((step) => step.entry).length]") == [None, True, 0]
    begun.press("j")
    assert begun.run("[here.chapter.id, byId('panel').hidden]") == ["c4", False]


# ---- A block --------------------------------------------------------------------------------------------------------


def test_block_is_agreed_once_its_worked_case_has_been_on_the_screen(begun: Page) -> None:
    begun.run(
        "go(chapters[3].parts.find((one) => one.rows.filter((row) => !row.given).length > 8).rows[0]);"
        "globalThis.block = rows.filter((row) => row.part === here.part); seen.clear(); 0"
    )
    begun.press("b")
    assert "of the worked case not on the screen so far" in message(begun)
    assert agreed(begun) == 0

    begun.press("q")
    begun.type("Why?")
    begun.press("Escape")
    for index in range(number(begun, "block.length")):
        begun.run(
            f"watcher.observe(block[{index}].element); block[{index}].element.scrollIntoView({{block: 'center'}})"
        )
        begun.wait(f"block[{index}].given || seen.has(block[{index}])")
    begun.press("b")
    every = number(begun, "block.flatMap((row) => row.steps).length")
    own = number(begun, "block[0].steps.length")

    assert every > 20
    assert agreed(begun) == every - own
    assert begun.run("block[0].steps.every((step) => markOf(step) === 'query')")
    assert message(begun) == f"{every - own} values of the block agreed; u takes them back."
    begun.press("u")
    assert agreed(begun) == 0
    assert begun.run("block[0].steps.every((step) => markOf(step) === 'query' && step.entry.comment === 'Why?')")
    assert number(begun, "steps.filter((step) => step.entry).length") == own


def test_undo_brings_the_mark_before_back_and_keeps_what_was_typed(begun: Page) -> None:
    begun.press("a", "n", "c")
    begun.type("A remark.")
    begun.press("Escape", "u")

    assert agreed(begun) == 2
    assert begun.run("here.steps[0].entry.comment") == "A remark."
    begun.press("u", "u")
    assert agreed(begun) == 0
    assert message(begun) == "There are no marks to undo."
    begun.reload()
    assert agreed(begun) == 0


# ---- A verdict ------------------------------------------------------------------------------------------------------


def test_verdict_shows_every_line_that_it_descends_from_and_no_other(begun: Page, two: Run) -> None:
    """The lines are found again from the record of the run, step by step."""
    steps, known = steps_of(two), facts(two).steps
    verdicts = [
        (f"{part.section.key} · {verdict.title}", [key for key in (verdict.step, verdict.resistance_step) if key])
        for part, _, verdict in two.verdicts()
    ]
    expected = {name: sorted(key for key in descent(steps, keys) if key in known) for name, keys in verdicts if keys}
    found = begun.run("followable.map((one) => [named(one), one.lines.map((step) => step.key).sort()])")

    assert len(found) > 10
    for name, keys in found:
        assert keys == expected[name], name
    assert {name for name, _ in found} == {name for name, keys in expected.items() if keys}


def test_followed_lines_stand_from_the_verdict_to_its_inputs(begun: Page, two: Run) -> None:
    begun.press("t")
    begun.choose(
        "#verdict", begun.run("String(followable.findIndex((one) => one.section === 1 && one.lines.length > 40))")
    )
    keys = begun.run("[...viewed].map((row) => row.steps.find((step) => step.section === 1).key)")
    places = begun.run("[...document.querySelectorAll('#view .row')].map((one) => rowOf.get(one).index)")
    steps = steps_of(two)

    assert len(keys) > 40
    assert shown(begun) == len(keys) == len(places)
    for place, key in enumerate(keys):
        for read in steps[key].inputs.values():
            assert read.value.step not in keys or keys.index(read.value.step) > place
    inner = [bool(steps[key].inputs) for key in keys]
    assert inner == sorted(inner, reverse=True)
    assert begun.run("document.getElementById('section').value") == "1"
    begun.press("Escape", "a", "j", "a")
    assert {key[0] for key in begun.run("steps.filter(isMarked).map((step) => step.key)")} == {"B"}
    begun.press("Escape")
    assert begun.run("[viewed, document.getElementById('section').value]") == [None, ""]
    assert begun.run("rows.every((row, k) => row.element === document.querySelectorAll('.row')[k])")
    assert focused(begun) == begun.run("here.element.id")


def test_verdict_is_followed_when_each_of_its_lines_has_a_mark(begun: Page) -> None:
    begun.run("globalThis.least = [...followable].sort((one, other) => one.lines.length - other.lines.length)[0]; 0")
    before = begun.run("byId('followed').textContent")
    lines = number(begun, "least.lines.length")
    begun.run("setMarks(least.lines.slice(1), 'agreed'); 0")
    nearly = begun.run("[byId('followed').textContent, least.text.textContent]")
    begun.run("setMarks(least.lines.slice(0, 1), 'query'); 0")
    after = begun.run("[byId('followed').textContent, least.text.textContent]")

    assert before.startswith("0 of ")
    assert nearly == [before, f"{lines - 1} of {lines} lines have a mark"]
    assert int(after[0].split()[0]) >= 1
    assert after[1] == "✓ followed to its inputs"


def test_follow_button_of_a_verdict_opens_it(begun: Page) -> None:
    name = begun.run("named(followable[3])")
    index = begun.run("String(verdicts.indexOf(followable[3]))")
    begun.click(f'[data-verdict="{index}"] .follow')

    assert begun.run("byId('viewed').textContent") == f"Followed: {name}"
    assert focused(begun) == "viewed"
    begun.press("Escape")
    assert begun.run("viewed") is None


# ---- Repeats, and what the program evaluated ------------------------------------------------------------------------


def test_values_that_repeat_agreed_ones_are_offered_and_agreed_together(begun: Page, two: Run) -> None:
    begun.press("r")
    assert message(begun) == "No value without a mark repeats an agreed one."
    begun.run("globalThis.one = steps.find((step) => step.section === 0 && step.numbers && step.alike); go(one.row); 0")
    begun.press("1", "a")
    offered = begun.run("repeats(steps).map((step) => [step.key, step.numbers, step.printed])")
    taken = begun.run("repeats(steps).filter((step) => step.taken === one.place).map((step) => step.key)")
    offered = [said for said in offered if said[0] not in taken]
    count = len(offered) + len(taken)
    assert "repeat" in message(begun)
    assert "r shows them" in message(begun)
    begun.press("r")

    assert {tuple(said[1:]) for said in offered} == {tuple(begun.run("[one.numbers, one.printed]"))}
    assert agreed(begun) == 1
    assert begun.run("[...viewed].map((row) => row.number)") == begun.run(
        "[...new Set(repeats(steps).map((step) => step.row.number))]"
    )
    begun.press("Escape")
    assert begun.run("[viewed, offering]") == [None, False]
    assert agreed(begun) == 1
    begun.press("r", "r")
    assert agreed(begun) == 1 + count
    assert begun.run("viewed") is None
    begun.press("u")
    assert agreed(begun) == 1


def test_value_handed_on_repeats_its_line_where_it_prints_alike(begun: Page, two: Run) -> None:
    steps = steps_of(two)
    found = begun.run(
        "steps.filter((step) => step.taken >= 0)"
        ".map((step) => [step.key, step.printed, steps[step.taken].key, steps[step.taken].printed])"
    )

    assert len(found) > 100
    for key, own, first, printed in found:
        assert [given.value.step for given in steps[key].inputs.values()] == [first]
        assert own in printed
    first = found[0][2]
    begun.run(f"setMarks([steps[places.get({json.dumps(first)})]], 'agreed'); 0")
    offered = begun.run(
        f"repeats(steps).filter((step) => step.taken === places.get({json.dumps(first)})).map((step) => step.key)"
    )
    assert offered == [key for key, _, read, _ in found if read == first]


def test_what_is_recomputed_counts_as_no_mark(begun: Page) -> None:
    recomputed = number(begun, "steps.filter((step) => step.recomputed).length")

    assert recomputed > 400
    assert begun.run("byId('evaluated').textContent").startswith(f"{recomputed} of {recomputed} values")
    assert counts(begun).startswith("0 of ")
    assert begun.run("byId('followed').textContent").startswith("0 of ")
    begun.press("s")
    assert saved(begun)["steps"] == []


def test_line_that_does_not_recompute_says_so(
    page: Page, two: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from calc.review import views

    monkeypatch.setattr(views, "recomputes", lambda *_texts: False)
    fresh(page, write(two, tmp_path))

    assert page.run("document.querySelector('.evaluated').textContent") == "does not recompute"
    assert page.run("document.querySelector('.evaluated').classList.contains('wrong')")
    page.choose("#show", "unconfirmed")
    assert shown(page) == page.run("rows.length")


# ---- Marks that are there already -----------------------------------------------------------------------------------


def test_marks_of_one_section_taken_in_before_show_as_such(page: Page, two: Run, tmp_path: Path) -> None:
    known = facts(two)
    key = next(key for key in known.steps if key.startswith("B/"))
    marks: dict[str, Any] = {key: StepMark("agreed", "BO", "2025-05-01", "A")}
    fresh(page, write(two, tmp_path, Standing(known, marks, frozenset(), (), {})))

    assert agreed(page) == 1
    row = f"steps.find((step) => step.key === {json.dumps(key)}).row"
    assert page.run(f"{row}.box.textContent") == "▣"
    assert page.run(f"{row}.entered.textContent") == "B: agreed · BO 2025-05-01 · revision A"


def test_every_line_and_field_has_a_name_and_keys_reach_the_panel(begun: Page) -> None:
    begun.press("Enter")
    assert begun.run("document.activeElement.name") == "mark"
    unnamed = begun.run(
        "[...document.querySelectorAll('input, select, textarea, button')].filter((one) => one.checkVisibility()"
        " && !one.closest('label') && !one.textContent && !one.ariaLabel).length"
    )
    assert unnamed == 0


# ---- An issued revision beside the run ------------------------------------------------------------------------------


def test_results_of_an_earlier_revision_stand_where_they_differ(page: Page, two: Run, tmp_path: Path) -> None:
    printed = {
        step.key: " = ".join(filter(None, (step.result, step.also)))
        for chapter in chapters(two)
        for step in chapter.steps
    }
    changed = next(key for key, text in printed.items() if key.startswith("B/") and text.endswith(" kN/m²"))
    gone = next(key for key in printed if key.startswith("A/") and key != changed.replace("B/", "A/"))
    earlier = Earlier("A0", {key: text for key, text in printed.items() if key != gone} | {changed: "98.7 kN/m²"}, ())
    path = tmp_path / "review.html"
    path.write_text(review_page(two, None, earlier), encoding="utf-8")
    fresh(page, path)
    row = f"steps.find((step) => step.key === {json.dumps(changed)}).row"

    assert page.run(f"[...{row}.element.querySelectorAll('.was')].map((one) => one.textContent)") == ["", "98.7"]
    assert page.run(f"{row}.element.querySelectorAll('.u')[1].textContent") == "rev. A0"
    assert page.run("[...document.querySelectorAll('.was')].map((one) => one.textContent).filter(Boolean)") == [
        "new", "98.7",
    ]  # fmt: skip
    page.choose("#show", "differs")
    assert shown(page) == 2
