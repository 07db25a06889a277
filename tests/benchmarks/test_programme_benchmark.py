"""The search for a filling programme takes no longer than an engineer waits for."""

from time import process_time

import pytest

from tests.benchmarks.programme_search import main
from tests.study.bank import bank_text, search_of


def test_search_of_a_section_takes_less_than_three_seconds() -> None:
    """Seen: 0.9 s of processor time; the three sections of the example together must stay below 10 s."""
    start = process_time()
    search_of().dates()

    assert process_time() - start < 6


def test_benchmark_prints_a_row_for_every_section(
    tmp_path_factory: pytest.TempPathFactory, capsys: pytest.CaptureFixture[str]
) -> None:
    for text in (bank_text(), bank_text(residual="2 mm")):
        folder = tmp_path_factory.mktemp("bank")
        (folder / "project.toml").write_text(text, encoding="utf-8")
        main(folder)
    rows = [line for line in capsys.readouterr().out.split("\n") if line.startswith("| A ")]

    assert [int(row.split("|")[2]) > 0 for row in rows] == [True, False]
