"""Levels of what differs from layer to layer: the sublayers that decide on them, what each layer has to show."""

from collections.abc import Sequence

import numpy as np

from calc.checks.monitoring_bounds import Bounds, asked_of, counted_strength, pressure_read
from calc.checks.monitoring_dates import words_of
from calc.inputs.monitoring import Trigger
from calc.nomenclature import symbol
from calc.sheet import Table, TableColumn, number_text


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
    heads = (("no.", ""), ("when", ""), ("level", shown.unit_text), ("expected, c_h as given", shown.unit_text),
             ("in sublayer", ""), ("design holds up to", shown.unit_text), ("in sublayer", ""))  # fmt: skip
    rows = []
    for number, one, level in levels:
        labels = [of.shared.layers[k] for k in of.layers(one)]
        read, asked = pressure_read(of, one)[0].max(axis=0), asked_of(of, one)
        most, least = int(np.argmax(read)), int(np.argmin(asked))
        texts = [
            number_text(float(value) * shown.factor, shown.decimals) for value in (level, read[most], asked[least])
        ]
        rows.append([f"T{number}", words_of(one), *texts[:2], labels[most], texts[2], labels[least]])
    note = (
        "A trigger without a layer is for sensors at every depth: its level has to lie beyond the largest reading "
        "expected and below the least bound of all sublayers, each sublayer by its own bound. Where that leaves no "
        "room, levels by layer do."
    )
    title = "Levels of pore pressure: the sublayers that decide"
    return Table("pressures", title, [TableColumn(words=words, unit=unit) for words, unit in heads], rows, note)
