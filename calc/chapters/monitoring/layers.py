"""Levels of what differs from layer to layer: the sublayers that decide on them, what each layer has to show."""

from collections.abc import Sequence

import numpy as np

from calc.chapters.monitoring.bounds import Bounds, asked_of, counted_strength, pressure_read
from calc.chapters.monitoring.dates import words_of_trigger
from calc.engine.sheet import Table, TableColumn, number_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs.tables.monitoring import Trigger

say = words_of(__name__)


def strength_by_layer(of: Bounds, one: Trigger) -> tuple[tuple[str, float], ...]:
    """Key of each layer of a trigger and the strength in kPa that is counted on in its weakest sublayer."""
    counted = counted_strength(of, one)
    if counted is None:
        return ()
    least: dict[str, float] = {}
    for k, value in zip(of.layers(one), counted, strict=True):
        key = of.section.layers[of.shared.sublayers.layer[k]].key
        least[key] = min(float(value), least.get(key, float(value)))
    return tuple(least.items())


def pressure_table(of: Bounds, levels: Sequence[tuple[int, Trigger, float]]) -> Table:
    """Of levels of pore pressure, each with its number: the sublayer that reads most, the one that holds least."""
    shown = symbol("u_T")
    heads = (("no.", ""), ("when", ""), ("level", shown.unit_text), (say("pressure-table-heads"), shown.unit_text),
             ("in sublayer", ""), (say("pressure-table-heads-2"), shown.unit_text), ("in sublayer", ""))  # fmt: skip
    rows = []
    for number, one, level in levels:
        labels = [of.shared.layers[k] for k in of.layers(one)]
        read, asked = pressure_read(of, one)[0].max(axis=0), asked_of(of, one)
        most, least = int(np.argmax(read)), int(np.argmin(asked))
        texts = [
            number_text(float(value) * shown.factor, shown.decimals) for value in (level, read[most], asked[least])
        ]
        rows.append([f"T{number}", words_of_trigger(one), *texts[:2], labels[most], texts[2], labels[least]])
    note = say("pressure-table-note")
    title = say("pressure-table-title")
    return Table("pressures", title, [TableColumn(words=words, unit=unit) for words, unit in heads], rows, note)
