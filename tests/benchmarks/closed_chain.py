"""Ring tension and settlement for up to a million sets of inputs by the recorded steps, on one process and on two.

    python -m tests.benchmarks.closed_chain [SAMPLES …]

The example `weak-sleeve` with thirteen sublayers, without and with compensation fill, in the case that governs
each verdict in the design run. Eight inputs differ in every sample. Processor time counts the processes beside it.
"""

# ruff: noqa: T201 - a script prints its figures

import resource
import sys
from collections.abc import Sequence
from pathlib import Path
from time import perf_counter

import numpy as np

from calc.chain import Run, finish_run, run_section
from calc.inputs import Design, read_design
from calc.study.changed import with_numbers
from calc.study.replay import Replay, governing

PROJECT = Path(__file__).parents[2] / "projects" / "weak-sleeve"
VERDICTS = ("sleeve/ring_tension_iso", "unit_cell/settlement_total")
INPUTS = (
    "layer.clay-upper.E_oed_ref", "layer.clay-lower.E_oed_ref", "layer.clay-upper.phi", "layer.clay-lower.phi",
    "embankment.gamma", "columns.fill.phi", "sleeve.stiffness.1.J", "sleeve.strength",
)  # fmt: skip
SUBLAYERS, MOST = 13, 0.65  # m; the thickness that gives so many of them
DEVIATION = 0.05


def design_run(*, makeup: bool) -> tuple[Design, Run]:
    """The example with thirteen sublayers, with or without compensation fill."""
    design = read_design(PROJECT)
    design, section = with_numbers(design, design.sections[0].without_slip(), {"basis.sublayer_max": MOST})
    part = run_section(design, section.model_copy(update={"makeup_fill": makeup}))
    return design, finish_run(design, [part])


def replay_of(*, makeup: bool) -> Replay:
    """Both verdicts, each in its governing case."""
    design, run = design_run(makeup=makeup)
    found = {f"{sheet.key}/{verdict.key}": verdict for _, sheet, verdict in run.verdicts()}
    return Replay(run, design, "T", VERDICTS, INPUTS, {name: governing(found[name]) for name in VERDICTS})


def samples_of(replay: Replay, count: int) -> dict[str, np.ndarray]:
    """Lognormal numbers about those of the design."""
    chance = np.random.default_rng(1)
    return {path: base * np.exp(DEVIATION * chance.standard_normal(count)) for path, base in replay.base.items()}


def _processor_time() -> float:
    uses = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(use.ru_utime + use.ru_stime for use in uses)


def main(counts: Sequence[int]) -> None:
    """Print time by the clock and of the processors, and memory at its peak, with ever more samples."""
    for makeup in (False, True):
        replay = replay_of(makeup=makeup)
        sheet = next(sheet for sheet in replay.part.sheets if sheet.key == "ground")
        print(f"compensation fill {makeup}: {len(sheet.axes['layer'])} sublayers")
        for count in counts:
            _measure(replay, count)


def _measure(replay: Replay, count: int) -> None:
    values = samples_of(replay, count)
    for workers in (1, 2):
        clock, processors = perf_counter(), _processor_time()
        found = replay(values, workers)
        clock, processors = perf_counter() - clock, _processor_time() - processors
        share = {name: float(np.mean(found[name] > replay.limits[name])) for name in VERDICTS}
        peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
        print(
            f"{count} samples, {workers} processes: {clock:.2f} s, processors {processors:.2f} s, "
            f"{1e6 * processors / count:.1f} µs a sample, peak {peak / 1024:.0f} MB, {share}",
            flush=True,
        )


if __name__ == "__main__":
    main([int(count) for count in sys.argv[1:]] or [10_000, 100_000, 1_000_000])
