"""The model of docs/scale.md gives the table there, and behaves as a model of growth must."""

from pathlib import Path

import pytest

from calc.study.engines import engine
from tests.benchmarks import engines
from tests.benchmarks.scale_model import NATIONAL, RATE, WORKERS, Programme, hours, row

DOCUMENT = Path(__file__).parents[2] / "docs" / "scale.md"


@pytest.mark.parametrize("workers", WORKERS)
def test_table_unchanged(workers: int) -> None:
    """The table is our own run of the model."""
    assert row(workers) in DOCUMENT.read_text(encoding="utf-8")


def test_time_falls_to_the_part_that_no_worker_shortens() -> None:
    by_many = [hours(NATIONAL, workers, 1e9)[0] * 3600 for workers in (1, 10, 100, 10**9)]

    assert by_many == sorted(by_many, reverse=True)
    assert by_many[0] == pytest.approx(NATIONAL.start + NATIONAL.chunks * NATIONAL.each)
    assert by_many[-1] == pytest.approx(NATIONAL.start + NATIONAL.each + NATIONAL.chunks / RATE)


def test_the_slowest_sets_the_pace() -> None:
    assert hours(Programme(1000, 1.0, 0.0), 10, 100.0)[2] == "workers"
    assert hours(Programme(1000, 1e-3, 0.0), 10, 100.0)[2] == "scheduler"
    assert hours(Programme(1000, 1.0, 50.0), 10, 100.0)[2] == "drive"


def test_the_benchmark_reduces_the_same_by_any_engine() -> None:
    for workers in (1, 2):
        with engine("processes", workers) as made:
            assert engines.seconds(made, 1000, 3) > 0
            assert engines.handing_out(made) > 0
