"""Old and new outline, named positions across, and the vertical stress under both at every sublayer, two methods."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np

from calc.chapters.shared.frame import at_labels, frame, given_of_section, origin_of
from calc.chapters.shared.geometry import PLACES, place_of
from calc.chapters.shared.history import preconsolidation
from calc.engine.levels import above, same
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas import widening as wd
from calc.inputs import Design, Section
from calc.inputs.tables.embankment import SIDES
from calc.inputs.tables.widening import Widening

say = words_of(__name__)

HALF_SPACE, FULL_HEIGHT = "half-space", "height above"
MINUS = "\N{MINUS SIGN}"
METHODS = (HALF_SPACE, FULL_HEIGHT)
OLD_PLACES = (say("old-toe-left"), say("old-edge-left"), say("old-edge-right"), say("old-toe-right"))
NEW_PLACES = (say("toe-left"), say("edge-left"), say("edge-right"), say("toe-right"))
OF_OLD = {"x_W1": "x_O1", "x_W2": "x_O2", "x_W3": "x_O3", "x_W4": "x_O4"}


@dataclass(frozen=True)
class Position:
    """A place across by its name: whether it lies on the crest after widening, and whether columns stand there.

    ``step``: innermost columns, a place with columns and one without.
    """

    label: str
    x: float
    crest: bool
    columns: bool
    step: bool


def stresses(
    sheet: Sheet, design: Design, section: Section, widening: Widening, done: dict[str, Sheet]
) -> tuple[Position, ...]:  # fmt: skip
    """Stress before and after widening; gives the positions from left to right."""
    stage = frame(design, section).stages[-1]
    _history(sheet, design, section, done)
    _outlines(sheet, section, widening, done, stage)
    positions = _with_places_between(_positions(sheet, widening, done), widening)
    sheet.axis("position", [position.label for position in positions])
    sheet.axis("method", METHODS)
    sheet.kept["columns"] = {position.label for position in positions if position.columns}
    edges = [sheet[name] for name in ("x_W1", "x_W2", "x_W3", "x_W4", "x_O1", "x_O2", "x_O3", "x_O4")]
    origins = [origin_of(section, f"widening.positions.{k}") for k in range(len(widening.positions))]
    sheet.reading(
        "x_W",
        [position.x for position in positions],
        ["position"],
        title=say("positions-title"),
        inputs=edges,
        origins=origins,
        note=say("positions-note"),
    )
    for name in ("h", "z"):
        sheet.take(name, done["ground"][name])
    sheet.take("sigma_v0s", at_labels(done["ground"]["sigma_v0s"], stage=stage))
    sheet.take("p_W", at_labels(done["ground"]["p_W"], stage=stage))
    _influences(sheet)
    sheet.leads[""] = {"position": printed_position(positions), "method": HALF_SPACE}
    for step in (
        wd.stress_of_old_bank, wd.stress_of_widened_bank, wd.increment_by_widening, wd.stress_before_widening,
        wd.stress_after_widening, wd.preconsolidation_under_old_bank,
    ):  # fmt: skip
        sheet(step)
    return positions


def printed_position(positions: tuple[Position, ...]) -> str:
    """The position that stress and settlement print at: that of innermost columns."""
    return next(position.label for position in positions if position.step and position.columns)


def _outlines(sheet: Sheet, section: Section, widening: Widening, done: dict[str, Sheet], stage: str) -> None:
    places, fill = done["columns"].scopes[PLACES], section.embankment
    for name, place in (("x_W1", "x_tl"), ("x_W2", "x_el"), ("x_W3", "x_er"), ("x_W4", "x_tr")):
        sheet.take(name, at_labels(places[place], stage=stage))
    given_of_section(sheet, "H_W", section, "embankment.height", fill.height)
    given_of_section(sheet, "gamma_E", section, "embankment.gamma", fill.gamma)
    for name, key in (
        ("H_O", "height"), ("x_O2", "crest_left"), ("x_O3", "crest_right"), ("n_OL", "slope_left"),
        ("n_OR", "slope_right"), ("gamma_O", "gamma"), ("q_O", "surcharge"), ("U_O", "consolidation"),
        ("Dsigma_age", "ageing"),
    ):  # fmt: skip
        given_of_section(sheet, name, section, f"widening.{key}", getattr(widening, key))
    sheet(wd.left_toe_of_old_bank)
    sheet(wd.right_toe_of_old_bank)
    sheet.take("f_q", done["unit_cell"].scopes["settlement"]["f_q"].at(stage=stage, load="G+Q"))
    sheet.take("q", done["unit_cell"]["q"])


def _positions(sheet: Sheet, widening: Widening, done: dict[str, Sheet]) -> list[Position]:
    """From left to right; places that coincide are one, with all their names, but innermost columns are two."""
    places: list[tuple[list[str], float]] = []
    for name, x in _places(sheet, widening):
        known = next((names for names, other in places if same(x, other)), None)
        if known is None:
            places.append(([name], x))
        else:
            known.append(name)
    left, right = (float(sheet[name].array) for name in ("x_W2", "x_W3"))
    ends = {side: float(place_of(done["columns"], f"x_c{side[0]}").array) for side in SIDES}
    inner = {x: side for side, x in widening.innermost.items() if x is not None}
    made: list[Position] = []
    for names, x in sorted(places, key=lambda place: place[1]):
        label, crest = ", ".join(names), not above(left, x) and not above(x, right)
        position = Position(label, x, crest, widening.stands(x, ends), x in inner)
        bare = Position(say("bare-place", label=label), x, crest, columns=False, step=True)
        both = {"left": [position, bare], "right": [bare, position]}
        made += both[inner[x]] if position.step else [position]
    return made


def _with_places_between(positions: list[Position], widening: Widening) -> tuple[Position, ...]:
    """With places on the crest between others that are farther from one another than the base length."""
    base = widening.limits.base if widening.limits else None
    made = positions[:1]
    for position in positions[1:]:
        last = made[-1]
        if base and last.crest and position.crest and above(position.x - last.x, base):
            for x in np.linspace(last.x, position.x, ceil(round((position.x - last.x) / base, 9)) + 1)[1:-1].tolist():
                label = say("place-given", x=f"{x:.2f}".replace("-", MINUS))
                made.append(Position(label, x, crest=True, columns=position.columns, step=False))
        made.append(position)
    return tuple(made)


def _places(sheet: Sheet, widening: Widening) -> Iterator[tuple[str, float]]:
    old, new = ([float(sheet[f"x_{name}{k}"].array) for k in (1, 2, 3, 4)] for name in "OW")
    for side, inner in widening.innermost.items():
        if inner is not None:
            yield say("place-columns", side=side), inner
    yield from zip(OLD_PLACES, old, strict=True)
    yield say("place-axis"), (old[1] + old[2]) / 2
    yield say("place-new-axis"), 0.0
    yield from zip(NEW_PLACES, new, strict=True)
    for x in widening.positions:
        yield say("place-given", x=f"{x:g}".replace("-", MINUS)), x


def _influences(sheet: Sheet) -> None:
    """Both methods for both outlines, the old one with its own places, stacked over the methods."""
    crest = {name: OF_OLD[name] for name in ("x_W2", "x_W3")}
    outline, on_top = (wd.influence_of_outline, wd.share_of_height), (wd.influence_of_crest, wd.on_crest)
    none: dict[str, str] = {}
    parts = (
        ("I_W", outline, ("I_Wh", "I_Wp"), none), ("I_O", outline, ("I_Oh", "I_Op"), OF_OLD),
        ("I_qW", on_top, ("I_qWh", "I_qWp"), none), ("I_qO", on_top, ("I_qOh", "I_qOp"), crest),
    )  # fmt: skip
    for name, steps, results, places in parts:
        renamed = [{step.symbol: result} if places else {} for step, result in zip(steps, results, strict=True)]
        both = [sheet(step, **symbols, **places) for step, symbols in zip(steps, renamed, strict=True)]
        shape = both[0].array.shape
        stacked = np.stack([both[0].array, np.broadcast_to(both[1].array[:, None], shape)], axis=1)
        sheet.reading(name, stacked, ["position", "method", "layer"], title=say("influence-title"), inputs=both,
                      note=say("influence-note"))  # fmt: skip


def _history(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Preconsolidation pressure of the ground beside the bank."""
    scope = sheet.scope("history", say("scope-history-title"))
    preconsolidation(scope, section, frame(design, section), done["ground"])
    sheet.take("sigma_pc", scope["sigma_pc"])
