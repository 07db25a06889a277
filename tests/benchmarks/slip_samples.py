"""Slip safety of many samples by known surfaces, on one process and on two, beside one whole search.

    python -m tests.benchmarks.slip_samples [SAMPLES …]

Section A of `marsh-approach`, global stability at the end of a stage: strength of both soft layers, unit weight of the
fill and friction of the columns differ in every sample, so that the ground in time is made anew for each as well.
"""

# ruff: noqa: T201 - a script prints its figures

import sys
from collections.abc import Sequence
from pathlib import Path
from time import perf_counter

import numpy as np

from calc.study.engines import Engine, Here
from calc.study.process_engine import Processes
from calc.study.vary.in_chunks import utilisations
from calc.study.vary.section_models import Recipe
from calc.study.vary.slip_models import BySurfaces, SlipRecipe, by_recipe, whole_searches
from tests.benchmarks.closed_chain import _processor_time

PROJECT = Path(__file__).parents[2] / "projects" / "marsh-approach" / "project.toml"
VERDICT = "stability/global_stability"
INPUTS = ("layer.peat.c_u", "layer.organic-clay.c_u", "embankment.gamma", "columns.fill.phi")
DEVIATION = 0.15


def main(counts: Sequence[int]) -> None:
    """Print time by the clock and of the processors of the searches, and of ever more samples."""
    recipe = Recipe((("project.toml", PROJECT.read_bytes()),), ("A",), (VERDICT,), INPUTS, "A", VERDICT)
    slip, clock, work = SlipRecipe(recipe, 0), perf_counter(), _processor_time()
    rows = whole_searches(slip, [{}], Here())
    print(f"one whole search: {perf_counter() - clock:.2f} s, processors {_processor_time() - work:.2f} s")
    model = by_recipe(slip.with_rows(rows))
    print(f"{len(model.slip.known)} surfaces in {len(model.slip.stages)} stages", flush=True)
    for count in counts:
        _measure(model, count)


def _measure(model: BySurfaces, count: int) -> None:
    chance = np.random.default_rng(1)
    values = {
        path: base * np.exp(DEVIATION * chance.standard_normal(count)) for path, base in model.replay.base.items()
    }
    engines: tuple[Engine, ...] = (Here(), Processes(2))
    times, found = [], []
    for engine in engines:
        clock, work = perf_counter(), _processor_time()
        found.append(utilisations(model, values, engine)[VERDICT])
        times.append(perf_counter() - clock)
        work = _processor_time() - work
        print(
            f"{count} samples, {engine.workers} processes: {times[-1]:.1f} s, processors {work:.1f} s, "
            f"{1e3 * work / count:.1f} ms a sample",
            flush=True,
        )
    print(
        f"two against one: {times[0] / times[1]:.2f} times; the same bytes: {found[0].tobytes() == found[1].tobytes()}"
    )


if __name__ == "__main__":
    main([int(count) for count in sys.argv[1:]] or [200, 2_000])
