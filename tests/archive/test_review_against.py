"""The review page with the results of a revision that was issued before."""

import json
import re
from pathlib import Path

from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.recorded import read_recorded
from calc.archive.store.contract import issues
from calc.archive.store.folder import FolderStore
from tests.archive.scenario import Command


def differing(page: Path) -> dict[str, bool]:
    found = re.search(r'id="data">(.*?)</script>', page.read_text(encoding="utf-8"), re.DOTALL)
    assert found
    return {step[0]: step[10] for step in json.loads(found[1])["steps"]}


def test_page_tells_where_an_issued_revision_has_other_results(project: Path, command: Command, tmp_path: Path) -> None:
    store = FolderStore(project / "archive")
    first, second = (
        {key: step.step.shown.get(step.step.symbol) for key, step in read_recorded(
            content_of(store, manifest_of(store, entry).file("results")), entry.label).steps().items()}
        for entry in issues(store.entries())
    )  # fmt: skip
    assert command("review", project, "--against", "A", "--out", tmp_path).exit_code == 0
    against_first = differing(tmp_path / "review.html")
    assert command("review", project, "--against", "B", "--out", tmp_path).exit_code == 0
    against_second = differing(tmp_path / "review.html")

    changed = {key for key in against_first if first.get(key) != second[key]}
    assert changed
    assert {key for key, differs in against_first.items() if differs} == changed
    assert not any(against_second.values())
    assert "rev. A" not in (tmp_path / "review.html").read_text(encoding="utf-8")


def test_page_lists_lines_of_the_revision_that_the_run_does_not_print(
    project: Path, command: Command, tmp_path: Path
) -> None:
    def written() -> str:
        assert command("review", project, "--against", "A", "--out", tmp_path).exit_code == 0
        return (tmp_path / "review.html").read_text(encoding="utf-8")

    assert "that this run does not print" not in written()
    file = project / "project.toml"
    text = file.read_text(encoding="utf-8")
    assert text.count('\nkey = "A"') == 1
    file.write_text(text.replace('\nkey = "A"', '\nkey = "Q9"'), encoding="utf-8")
    page = written()
    store = FolderStore(project / "archive")
    results = manifest_of(store, issues(store.entries())[0]).file("results")
    steps = read_recorded(content_of(store, results), "A").steps().values()
    numbers = [f"A {step.step.number} · {step.chapter} · " for step in steps if step.step.number is not None]

    assert f"Lines of revision A that this run does not print: {len(numbers)}" in page
    assert all(f"<p>{number}" in page for number in numbers)


def test_revision_that_was_not_issued_is_wrong_usage(project: Path, command: Command, tmp_path: Path) -> None:
    result = command("review", project, "--against", "Z", "--out", tmp_path)

    assert result.exit_code == 2
    assert 'no revision "Z" is issued (issued: A, B)' in result.stderr
    assert list(tmp_path.glob("review.html")) == []
