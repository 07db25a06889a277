"""The benchmark of slip circles measures what it says, memory stays bounded, and the code of the document runs."""

import re
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest

from tests.benchmarks.slip_circles import circles, fused, looped, peak

DOCUMENT = Path(__file__).parents[2] / "docs" / "slip-analysis.md"


def test_the_loop_and_the_fused_circles_give_the_same_factors() -> None:
    assert fused(100, 50).factor == pytest.approx(np.array(looped(100, 50)), rel=1e-6, nan_ok=True)


def test_first_circles_are_the_same_for_every_number_of_circles() -> None:
    for few, many in zip(circles(10), circles(1000), strict=True):
        assert (few == many[:10]).all()


def test_memory_does_not_grow_with_the_circles() -> None:
    """Blocks bound it: four times the circles take their own inputs and results more, 100 bytes to a circle."""
    assert peak(16_000) - peak(4_000) < 12_000 * 200


def test_fused_circles_are_many_times_quicker_than_the_loop() -> None:
    """Seen: more than 100 times. The limit is far below, for busy machines; the document has the measured number."""
    start = perf_counter()
    looped(40, 50)
    one = (perf_counter() - start) / 40
    fused(2000, 50)
    start = perf_counter()
    fused(4000, 50)

    assert one / ((perf_counter() - start) / 4000) > 20


def test_code_of_the_document_runs() -> None:
    """One namespace for the whole page; its assertions are the worked example."""
    text = DOCUMENT.read_text(encoding="utf-8")
    pieces = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    names: dict[str, object] = {}
    for piece in pieces:
        exec(compile(piece, str(DOCUMENT), "exec"), names)  # noqa: S102 - the page is our own

    assert len(pieces) == 4
    assert {"bishop", "found", "held", "many", "steep"} <= set(names)
