"""What bearing, squeezing, stability and thrust share: loads of a stage, strength of the soft ground, sides."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from calc.chapters.shared.earthquake import strength_left
from calc.chapters.shared.frame import (
    CELL_RATIO,
    GIVEN_RATIO,
    RATIOS,
    frame,
    give_factor,
    given_of_section,
    given_of_stages,
    origin_of,
    origins_of_layers,
)
from calc.chapters.shared.missing import quoted_names
from calc.chapters.shared.strips import LEFT, RIGHT, symmetrical
from calc.engine.levels import same
from calc.engine.sheet import Again, Axis, Origin, Scope, Sheet, Value
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas.ground import depth_of_layer_bottom, depth_of_layer_top, strength_at_bottom
from calc.formulas.shear_parameters import soil_stress_share
from calc.formulas.thrust import field_width_of_stage
from calc.inputs import Design, Section
from calc.inputs.tables.embankment import Berm
from calc.inputs.tables.stages import COMPUTED
from calc.procedures.failures import ProcedureError
from calc.procedures.strength_line import METHOD, StrengthLine, line_below

say = words_of(__name__)

SOFT_LAYERS = "soft_layers"
CREDITED = say("credited")
NO_GAIN = say("no-gain")
NO_FILL = say("no-fill")


@dataclass(frozen=True, slots=True)
class Side:
    """One side slope, or both where they are alike: ending of keys, words, run of the slope and its field."""

    ending: str
    words: str
    slope: float
    path: str
    extent_path: str
    extent: float | None
    berm: Berm | None = None

    @property
    def end(self) -> str:
        """Last letter of the symbols of its places; where both sides are alike the right one stands for both."""
        return "l" if self.ending == "_left" else "r"

    @property
    def pushed_side(self) -> float:
        """The side whose crest edge is pushed, where strips of load act."""
        return RIGHT if self.end == "r" else LEFT

    @property
    def berm_side(self) -> str:
        """The side whose berm counts."""
        return "left" if self.end == "l" else "right"


def sides(section: Section, *, layers: bool = False) -> tuple[Side, ...]:
    """The two sides, or one for both where slope, height, berm, load and extent of the columns are the same.

    With ``layers`` those have to be the same as well; all but slip surfaces take them as they are at one place.
    Beside an old bank those that have columns.
    """
    fill, field = section.embankment, section.column_field
    left_extent = field.beyond_left if field else None
    right_extent = field.beyond_right if field else None
    left = Side("_left", say("left-side"), fill.slope_left, "embankment.slope_left", "field.beyond_left", left_extent,
                fill.berms.get("left"))  # fmt: skip
    right = Side("_right", say("right-side"), fill.slope_right, "embankment.slope_right", "field.beyond_right",
                 right_extent,
                 fill.berms.get("right"))  # fmt: skip
    alike = (left.slope, left.extent, left.berm) == (right.slope, right.extent, right.berm)
    mirrored = not layers or all(same(layer.at_toe("left"), layer.at_toe("right")) for layer in section.layers)
    if alike and mirrored and symmetrical(section) and not fill.lower and _zones_mirror(section):
        return (replace(left, ending="", words=say("either-side")),)
    old = section.widening
    return tuple(
        flank for flank, side in ((left, "left"), (right, "right")) if old is None or old.innermost[side] is not None
    )


def _zones_mirror(section: Section) -> bool:
    """Whether the zones of the columns and of the fill are the same on both sides of the axis."""
    fill = section.embankment
    ends = [(*fill.ends(zone), zone.bottom, zone.top, zone.gamma, zone.phi, zone.c) for _, zone in fill.zones]
    if sorted(ends) != sorted((-high, -low, *rest) for low, high, *rest in ends):
        return False
    strips = [(low, high, zone.pattern, zone.spacing) for _, zone in section.columns.zones for low, high in zone.strips]
    return sorted(strips) == sorted((-high, -low, *grid) for low, high, *grid in strips)


def stress_ratio(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Give the stress ratio that the project gives for stability, stage by stage."""
    sheet.take("a_E", done["columns"]["a_E"])
    ratios = [1.0, *(stage.n_stability for stage in section.stages)]
    given_of_stages(sheet, "n_st", section, ratios, "n_stability", NO_FILL)


def stress_share(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Share of the soil with this stress ratio."""
    stress_ratio(sheet, section, done)
    sheet(soil_stress_share)


def ratios(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Give the stress ratio of load and gain: that for stability, and the least of the cell where a gain counts."""
    if not any(credited_gains(section, done)):
        stress_ratio(sheet, section, done)
        return
    sheet.axis("ratio", RATIOS)
    sheet.take("a_E", done["columns"]["a_E"])
    values = [1.0, *(stage.n_stability for stage in section.stages)]
    ratio = given_of_stages(sheet, "n_sg", section, values, "n_stability", NO_FILL)
    least = done["unit_cell"].scopes["least_ratio"]["n_min"]
    # Where the cell has none, or less, the ratio for stability stands for it: less is told apart by a verdict.
    cell = np.maximum(ratio.array, np.where(least.valid, least.array, 0.0))
    sheet.reading(
        "n_st", np.stack([ratio.array, cell], axis=-1), ["stage", "ratio"], inputs=[ratio, least],
        title=say("reading-n-st-title"), note=say("reading-n-st-note"), again=Again(both_ratios, (ratio, least)),
    )  # fmt: skip


def both_ratios(ratio: Value, least: Value) -> Value:
    """The stress ratio for stability, and beside it that of the cell where it has one and more."""
    axes = union_axes((ratio, least))
    shape = tuple(len(axis.labels) for axis in axes)
    given, computed = (np.broadcast_to(spread(array, value.axes, axes), shape) for array, value in (
        (ratio.array, ratio), (np.where(least.valid, least.array, 0.0), least)))  # fmt: skip
    return Value("n_st", np.stack([given, np.maximum(given, computed)], axis=-1), (*axes, Axis("ratio", RATIOS)))


def without_idle_ratio(sheet: Sheet, value: Value) -> Value:
    """The value without the ratio of the cell in stages without a gain: there the lower ratio is the worse one."""
    if "ratio" not in value.axis_names:
        return value
    gain = sheet["Dc_u"].at(ratio=GIVEN_RATIO)
    idle = [label for label in value.labels("stage") if float(gain.at(stage=label).array) <= 0]
    none = np.zeros(value.array.shape, dtype=bool)
    lanes = none.swapaxes(0, value.axis_names.index("stage")).swapaxes(1, value.axis_names.index("ratio"))
    lanes[[value.labels("stage").index(label) for label in idle], RATIOS.index(CELL_RATIO)] = True
    return value.without(none, NO_GAIN, by=[gain])


def gains(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Gain of strength by stage; only what is given with a source, or computed and asked for, is credited."""
    rule = Origin("project rule", text=say("rule"))
    values, origins, notes = credited_gains(section, done), [rule], []
    for k, stage in enumerate(section.stages):
        origins.append(rule if stage.c_u_gain is None else origin_of(section, f"stage.{k}.c_u_gain"))
        if stage.c_u_gain_source:
            notes.append(f"{stage.name}: {stage.c_u_gain_source}")
    computed = done["consolidation"].scopes.get("gain") if "consolidation" in done else None
    known = [computed["Dc_us"]] if computed else []
    if "ratio" in scope.sheet.axes:
        if computed:
            known.append(done["consolidation"].scopes["strength"]["Dc_uc"])
        both = np.stack([values, cell_gains(section, done)], axis=-1)
        notes.insert(0, say("gains"))
        again = Again(partial(credited_by_ratio, typed=_typed_gains(section)), tuple(known), whole=("stage",))
        scope.reading("Dc_u", both, ["stage", "ratio"], title=CREDITED, inputs=known, note="; ".join(notes),
                      again=again if computed else None)  # fmt: skip
        return
    if computed is None or all(stage.c_u_gain != COMPUTED for stage in section.stages):
        scope.given("Dc_u", values, ["stage"], origin=origins, origin_axis="stage", note="; ".join(notes))
        return
    credit = partial(credited_gain, typed=_typed_gains(section), counted=any(values))
    scope.reading("Dc_u", values, ["stage"], title=CREDITED, inputs=known,
                  note="; ".join([say("reading-dc-u-note"), *notes]),
                  again=Again(credit, (computed["Dc_us"],), whole=("stage",)))  # fmt: skip


def _typed_gains(section: Section) -> list[float]:
    """Gains in kPa as typed, stage 0 first; NaN where a stage counts on the one computed."""
    typed = [stage.c_u_gain for stage in section.stages]
    return [0.0, *(np.nan if gain == COMPUTED else float(gain or 0.0) for gain in typed)]


def credited_gain(gain: Value, *, typed: Sequence[float], counted: bool) -> Value:
    """The gain that every stage counts on, of the one computed; ``counted`` is whether any does in the design run."""
    array = np.where(np.isnan(typed), gain.array, typed)
    if not counted and array.any():
        raise ProcedureError(say("gain-where-none"))
    return Value("Dc_u", array, gain.axes)


def credited_by_ratio(gain: Value, of_cell: Value, *, typed: Sequence[float]) -> Value:
    """The same for both stress ratios: with that of the cell not more than the soil stress of the cell brings."""
    credited = credited_gain(gain, typed=typed, counted=True)
    axes = union_axes((credited, of_cell))
    shape = tuple(len(axis.labels) for axis in axes)
    own, other = (
        np.broadcast_to(spread(quantity.array, quantity.axes, axes), shape) for quantity in (credited, of_cell)
    )
    return Value("Dc_u", np.stack([own, np.minimum(own, other)], axis=-1), (*axes, Axis("ratio", RATIOS)))


def missing_strength(section: Section) -> str:
    """The layers without undrained strength by their names; empty where every layer has it."""
    return quoted_names(layer.name for layer in section.layers if layer.c_u is None)


def strengths(sheet: Sheet) -> tuple[list[float], list[float]]:
    """Recorded depths in m and undrained strengths in kPa at top and bottom of every soft layer."""
    scope = sheet.scopes[SOFT_LAYERS]
    depths, values = ([scope[name].array for name in pair] for pair in (("d_lt", "d_lb"), ("c_ut", "c_utb")))
    return np.stack(depths, axis=1).ravel().tolist(), np.stack(values, axis=1).ravel().tolist()


def _soft_layers(sheet: Sheet, section: Section) -> Scope:
    """Record strength and depth of every soft layer at its top and bottom; every layer must have a strength."""
    scope, layers = sheet.scope(SOFT_LAYERS, say("scope-soft-layers-title")), section.layers
    floating, below = section.columns.floating, section.bearing_layer.key
    sheet.axis("stratum", [*(layer.key for layer in layers), *([below] if floating else [])])
    none = Origin("project rule", text=say("no-growth"))
    for name, field in (("t_l", "thickness"), ("c_ut", "c_u"), ("rho_ut", "c_u_growth")):
        values = [getattr(layer, field) for layer in layers]
        origins = [none if value is None else origin_of(section, f"layer.{layer.key}.{field}")
                   for layer, value in zip(layers, values, strict=True)]  # fmt: skip
        if floating:
            source = {"thickness": "soft_below", "c_u": "c_u"}.get(field)
            values.append(getattr(floating, source) if source else None)
            origins.append(origin_of(section, f"columns.floating.{source}") if source else none)
        scope.given(name, [value or 0.0 for value in values], ["stratum"], origin=origins, origin_axis="stratum")
    for step in (depth_of_layer_top, depth_of_layer_bottom, strength_at_bottom):
        scope(step)
    return scope


def strength_line(sheet: Sheet, section: Section) -> StrengthLine:
    """Give the line of strength and the least strength."""
    scope = _soft_layers(sheet, section)
    line = line_below(*strengths(sheet))
    title, note = say("strength-line"), say("strength-line-2", method=METHOD)
    origins = origins_of_layers(section, "thickness", "c_u", "c_u_growth")
    if section.columns.floating:
        origins += [origin_of(section, path) for path in ("columns.floating.soft_below", "columns.floating.c_u")]
    ends = [scope[name] for name in ("d_lt", "d_lb", "c_ut", "c_utb")]
    for name, part, words, said in (
        ("c_u0k", "top", say("reading-c-u0k-title", title=title), note),
        ("rho_uk", "growth", say("reading-rho-uk-title", title=title), note),
        ("c_umk", "least", say("strength-line-least"), say("reading-c-umk-note")),
    ):
        again = Again(partial(of_strength_line, part=part), tuple(ends))
        sheet.reading(name, getattr(line, part), title=words, note=said, origins=origins, inputs=ends, again=again)
    return line


def of_strength_line(*ends: Value, part: str) -> Value:
    """A part of the line below the strengths of the layers: depths of top and bottom, strengths there."""
    axes = union_axes(ends)
    shape = tuple(len(axis.labels) for axis in axes)
    d_lt, d_lb, c_ut, c_utb = (np.broadcast_to(spread(end.array, end.axes, axes), shape) for end in ends)
    depths = np.stack([d_lt, d_lb], axis=-1).reshape(*shape[:-1], -1)
    strengths_there = np.stack([c_ut, c_utb], axis=-1).reshape(*shape[:-1], -1)
    rows = zip(depths.reshape(-1, depths.shape[-1]), strengths_there.reshape(-1, depths.shape[-1]), strict=True)
    numbers = [getattr(line_below(z.tolist(), c.tolist()), part) for z, c in rows]
    return Value("c_u", np.array(numbers).reshape(shape[:-1]), axes[:-1])


def factors(scope: Scope, design: Design, section: Section, names: Sequence[tuple[str, str]]) -> None:
    """Give partial factors of strengths and resistances over factor sets and stages."""
    sets = design.factor_sets(section)
    for name, attribute in names:
        lost = section.earthquake is not None and name == "gamma_cu"
        symbol = "gamma_cus" if lost else name
        give_factor(scope, frame(design, section), sets, symbol, attribute, enters=[True] * len(sets))
        if lost:
            strength_left(scope, section)


def field_of_stage(scope: Scope, section: Section, side: Side) -> None:
    """How far the columns reach beyond the crest edge of the stage: the toe stays where the final slope has it."""
    given_of_section(scope, "b_g", section, side.extent_path, side.extent or 0.0)
    height = scope.sheet.scopes[f"untreated{side.ending}"]["H_q"]  # of every stage, also where nothing is placed
    scope.take("H_GF", height.at(stage=height.labels("stage")[-1]))
    scope(field_width_of_stage, H_G="H_q")


def slope(scope: Scope, section: Section, side: Side) -> None:
    """Give the run of the side slope."""
    given_of_section(scope, "n_S", section, side.path, side.slope)


def credited_gains(section: Section, done: dict[str, Sheet]) -> list[float]:
    """Gain in kPa that every stage counts on, stage 0 first, with the stress ratio for stability: typed or computed."""
    scope = _scope(done, "gain")
    amounts = [0.0]
    for k, stage in enumerate(section.stages, start=1):
        if stage.c_u_gain == COMPUTED:
            amounts.append(float(scope["Dc_us"].array[k]) if scope else 0.0)
        else:
            amounts.append(float(stage.c_u_gain or 0.0))
    return amounts


def cell_gains(section: Section, done: dict[str, Sheet]) -> list[float]:
    """The gain that goes with the load on the soil by the unit cell: not more than its own soil stress brings."""
    scope, credited_ones = _scope(done, "strength"), credited_gains(section, done)
    gains_of_cell = scope["Dc_uc"].array if scope else np.zeros(len(credited_ones))
    return [min(credited, float(computed)) for credited, computed in zip(credited_ones, gains_of_cell, strict=True)]


def _scope(done: dict[str, Sheet], name: str) -> Scope | None:
    sheet = done.get("consolidation")
    return sheet.scopes.get(name) if sheet else None
