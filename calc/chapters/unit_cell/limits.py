"""Where the results of the unit cell leave what the method was made for or what was measured."""

from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import CENTRE, LONG, SHORT, Frame
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.ratio_limits import LARGEST_MEASURED, MEASURED
from calc.engine.sheet import Again, Scope, Sheet, Value
from calc.engine.sheet.values import spread, union_axes
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas.loads import more_compensation_fill
from calc.inputs import Section

say = words_of(__name__)

MORE = "makeup_stiffness"
MOST_MEASURED_RATIO = 25.0
NO_RATIO = say("no-ratio")
AXIS_PLURALS = {"factor_set": "factor sets", "position": "positions", "load": "loads", "stiffness": "stiffnesses",
                "layer": "sublayers"}  # fmt: skip
USUAL_MODULUS = (500.0, 3000.0)  # kPa


def least_ratio(sheet: Sheet, shared: Frame, runs_of_cell: Sequence[Scope]) -> Value:
    """The least ratio of the cell in each stage, which no stress ratio for stability may exceed.

    Without a number in the stage of the column just built, and where no sublayer is at its active state: there the
    column carries the whole load.
    """
    scope = sheet.scope("least_ratio", say("scope-least-ratio-title"))
    loaded = np.isin(shared.stages, shared.loaded_stages)
    values = []
    for name, cell in zip(("n_minF", "n_minS", "n_minFk", "n_minSk"), runs_of_cell, strict=False):
        runs = cell["n"]
        least = runs.smallest("stage")
        over = ", ".join(AXIS_PLURALS[axis] for axis in runs.axis_names if axis != "stage")
        values.append(
            scope.reading(name, least.array, ["stage"],
                          title=say("over", meaning=symbol(name).meaning.capitalize(), over=over),
                          inputs=[least], mask=~(least.valid & loaded), reason=NO_RATIO,
                          again=Again(partial(in_loaded_stages, loaded=loaded), (least,), whole=("stage",)))
        )  # fmt: skip
    again = Again(least_of, tuple(values))
    made = again.value()
    return scope.reading("n_min", made.array, ["stage"], title=say("reading-n-min-title"),
                         inputs=values, mask=made.mask, reason=NO_RATIO, again=again)  # fmt: skip


def in_loaded_stages(ratio: Value, *, loaded: NDArray[np.bool_]) -> Value:
    """A ratio by stage, in those with fill alone."""
    return ratio.without(np.broadcast_to(~loaded, ratio.array.shape), NO_RATIO)


def least_of(*values: Value) -> Value:
    """The least of several values over the same axes, lane by lane, of those that have a number."""
    axes = union_axes(values)
    shape = tuple(len(axis.labels) for axis in axes)
    known = np.stack([np.broadcast_to(spread(value.valid, value.axes, axes), shape) for value in values])
    rows = np.stack([np.broadcast_to(spread(value.array, value.axes, axes), shape) for value in values])
    missing = np.asarray(~known.any(axis=0))
    least = np.where(known, rows, np.inf).min(axis=0)
    return Value("n_min", np.where(missing, np.nan, least), axes, mask=missing, reason=NO_RATIO)


def _of_every_run(sheet: Sheet, name: str) -> NDArray[np.float64]:
    """What all runs of the cell have for a symbol: for ring tension, its points, settlement and strain."""
    runs = [scope[name] for scope in sheet.scopes.values() if name in scope]
    return np.concatenate([run.array[run.valid] for run in runs])


def range_of_method(sheet: Sheet, section: Section, done: dict[str, Sheet], settlement: Scope) -> None:
    """State modulus, stress ratio and width outside the usual range, and what the compensation fill leaves out."""
    modulus = _of_every_run(sheet, "E_oed")
    if modulus.size and (modulus.min() < USUAL_MODULUS[0] or modulus.max() > USUAL_MODULUS[1]):
        sheet.limitation(
            "modulus-range",
            say("limitation-modulus-range", min=modulus.min(), max=modulus.max()),
            "EBGEO (2010), ch. 10 ◦",
        )
    ratio = _of_every_run(sheet, "n")
    if ratio.size and ratio.max() > MOST_MEASURED_RATIO:
        sheet.limitation(
            "stress-ratio",
            say(
                "limitation-stress-ratio",
                max=ratio.max(),
                largest_measured=LARGEST_MEASURED,
                most_measured_ratio=MOST_MEASURED_RATIO,
            ),
            MEASURED,
        )
    columns = done["columns"]
    soft, crest = float(columns["t_soft"].array), float(place_of(columns, "b_K").array)
    if crest < soft:
        sheet.limitation(
            "narrow-crest",
            say("limitation-narrow-crest", crest_width=crest, soft=soft),
            "project rule",
        )
    if section.makeup_fill:
        filled = settlement["s_M"].at(stage=sheet.axes["stage"][-1], position=CENTRE, load="G+Q")
        scope = sheet.scope(MORE, say("scope-more-title"))
        ends = {"s_ML": filled.at(stiffness=LONG), "s_MS": filled.at(stiffness=SHORT)}
        for name, value in ends.items():
            scope.take(name, value)
        more = float(scope(more_compensation_fill).array)
        sheet.limitation("makeup-stiffness", say("limitation-makeup-stiffness", more=more), "project rule")
