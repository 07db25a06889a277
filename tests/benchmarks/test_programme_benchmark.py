"""The search for a filling programme does not try every date, and its benchmark prints what it measures."""

import pytest

from tests.benchmarks.programme_search import main
from tests.study.bank import bank_text


def test_benchmark_prints_a_row_for_every_section_and_a_search_evaluates_few_programmes(
    tmp_path_factory: pytest.TempPathFactory, capsys: pytest.CaptureFixture[str]
) -> None:
    """Seen: 135, by halving; every pair of weeks in three years would be 24 000.

    Work is counted and not time, which the load of the machine doubles; the times stand in docs/programme.md.
    """
    for text in (bank_text(), bank_text(residual="2 mm")):
        folder = tmp_path_factory.mktemp("bank")
        (folder / "project.toml").write_text(text, encoding="utf-8")
        main(folder)
    rows = [line for line in capsys.readouterr().out.split("\n") if line.startswith("| A ")]
    found, none = (int(row.split("|")[2]) for row in rows)

    assert 0 < found < 200
    assert none == 0
