"""Every point of the sampling in a Parquet file, a part of a replicate at a time: memory holds a few of them."""

import os
from functools import partial
from pathlib import Path

import numpy as np

from calc.study.engines import Engine, in_order
from calc.study.vary.in_chunks import model_numbers
from calc.study.vary.marginals import Floats
from calc.study.vary.sampling import normal_blocks
from calc.study.vary.study import Studied
from calc.study.vary.vary_run import Varied

PART = 2**14  # points that are worked out, sent and written together


def write_samples(of: Varied, file: Path, engine: Engine) -> int:
    """Write section, replicate, inputs in kN, m, kPa, rad, day and utilisations; the number of rows.

    Of an input by sublayer every sublayer has a column.

    The file appears whole or not at all. Sections without distributions, and verdicts that the chain alone can
    evaluate, have no points.
    """
    import pyarrow as pa  # noqa: PLC0415 - an extra
    import pyarrow.parquet as pq  # noqa: PLC0415 - the same

    inputs = [*dict.fromkeys(path for section in of.sections for varied in of.vary.inputs
                             for path in _columns_of(section, varied.path))]  # fmt: skip
    verdicts = [state.verdict for state in of.vary.limit_states]
    numbers = [pa.field(name, pa.float64()) for name in (*inputs, *verdicts)]
    schema = pa.schema([pa.field("section", pa.string()), pa.field("replicate", pa.int32()), *numbers])
    begun, rows = file.with_name(f".{file.name}.{os.getpid()}"), 0
    try:
        with pq.ParquetWriter(begun, schema) as writer:
            for section in of.sections:
                replicates = range(of.vary.replicates if section.joint.size else 0)
                count = min(PART, of.vary.points)
                tasks = [(index, at) for index in replicates for at in range(0, of.vary.points, count)]
                points = partial(_points, section, of.vary.seed, count)
                for place, columns in enumerate(in_order(engine.results(points, tasks))):
                    every = {"section": [section.section] * count, "replicate": [tasks[place][0]] * count} | {
                        name: columns.get(name, np.full(count, np.nan)) for name in (*inputs, *verdicts)
                    }
                    writer.write_table(pa.table(every, schema=schema))
                    rows += count
        begun.replace(file)
    finally:
        begun.unlink(missing_ok=True)
    return rows


def _columns_of(section: Studied, path: str) -> tuple[str, ...]:
    """The columns of an input: of a field one for every sublayer."""
    return section.joint.fields[path].parts if path in section.joint.fields else (path,)


def _points(section: Studied, seed: int, count: int, part: tuple[int, int]) -> dict[str, Floats]:
    """Some points of a replicate, the same that the sampling had."""
    index, first = part
    blocks = [
        _columns_at(section, u) for u in normal_blocks(section.joint.size, count, (seed, 0, index), first)
    ]  # fmt: skip
    return {name: np.concatenate([block[name] for block in blocks]) for name in blocks[0]}


def _columns_at(section: Studied, u: Floats) -> dict[str, Floats]:
    columns = section.joint.values(u)
    for answer in section.answers:
        if not answer.asked.chained:
            columns |= model_numbers(answer.asked.model, answer.asked.own(section.joint).values(u))
    return columns
