"""What every chapter of a section shares: its stages and sublayers as axes, and where a typed value comes from."""

from collections.abc import Sequence
from dataclasses import dataclass

from calc.engine.formula import Evidence
from calc.engine.levels import same
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.factors import FactorSet
from calc.formulas.ground import strength_at_depth
from calc.inputs import Design, Section
from calc.inputs.tables.heads import bends
from calc.inputs.tables.section import DERIVED
from calc.inputs.tables.stages import Stage
from calc.procedures.sublayers import HeadZone, Sublayers, divide

say = words_of(__name__)

LOADS = ("G", "G+Q")
TRANSIENT = "transient"
SHORT, END, LONG = "short-term", "end of construction", "long-term"
STIFFNESS = (SHORT, END, LONG)
CENTRE, SHOULDER, SLOPE = "centre", "crest edge", "mid-slope"
GIVEN_RATIO, CELL_RATIO = "n for stability", "n of the cell"
RATIOS = (GIVEN_RATIO, CELL_RATIO)  # of load and gain together; the second only where a gain counts
AS_GIVEN, LOW, HIGH = "cₕ best estimate", "cₕ lower", "cₕ upper"
SCENARIOS = (AS_GIVEN, LOW, HIGH)
POSITIONS = (CENTRE, SHOULDER, SLOPE)
HEAD_DIAMETERS = 2.0  # below the column heads, over which sublayers are no thicker than half a diameter


@dataclass(frozen=True)
class Frame:
    """Axis labels of a section; stage 0 is the column just built, with no fill."""

    stages: tuple[str, ...]
    filled: tuple[Stage | None, ...]
    sublayers: Sublayers
    layers: tuple[str, ...]

    @property
    def situations(self) -> tuple[str, ...]:
        """The design situation of every stage; building the columns is transient."""
        return tuple(stage.situation if stage else TRANSIENT for stage in self.filled)

    @property
    def persistent(self) -> tuple[str, ...]:
        """The stages whose design situation is persistent; the last one always is."""
        situations = zip(self.stages, self.situations, strict=True)
        return tuple(label for label, situation in situations if situation == "persistent")

    @property
    def loaded_stages(self) -> tuple[str, ...]:
        """The stages with fill."""
        return tuple(label for label, stage in zip(self.stages, self.filled, strict=True) if stage)


def frame(design: Design, section: Section) -> Frame:
    """Stages and sublayers of a section."""
    labels = ("0 columns built", *(f"{k} {stage.name}" for k, stage in enumerate(section.stages, start=1)))
    used = {initial_water(section), *(stage.water for stage in section.stages)}
    depths = [section.ground_level - level.level for level in section.water if level.name in used]
    ground, table = section.ground_level, section.water_table
    lines = [table.line(head.water, ground) for head in table.heads if head.water in used]
    for kink in (ground - level for line in lines for level in bends(line)):
        depths += [] if any(same(kink, depth) for depth in depths) else [kink]
    columns = section.columns
    head = HeadZone(HEAD_DIAMETERS * columns.diameter - columns.upstand, columns.diameter / 2)
    thickness = [layer.thickness for layer in section.layers]
    sublayers = divide(thickness, depths, design.basis.sublayer_max, head, section.halvings)
    return Frame(labels, (None, *section.stages), sublayers, sublayers.labels([layer.key for layer in section.layers]))


def initial_water(section: Section) -> str:
    """Name of the water level of the initial state: the one given for it, or that of the first stage."""
    return section.initial_water or section.stages[0].water


def chapter(key: str, design: Design, section: Section) -> Sheet:
    """A new chapter with the axes of the section."""
    shared = frame(design, section)
    sheet = Sheet(section=section.key, key=key)
    sheet.axis("factor_set", [factor_set.key for factor_set in design.factor_sets(section)])
    sheet.axis("stage", shared.stages)
    sheet.axis("position", POSITIONS)
    sheet.axis("load", LOADS)
    sheet.axis("stiffness", STIFFNESS)
    sheet.axis("layer", shared.layers)
    return sheet


def at_labels(value: Value, **case: str) -> Value:
    """The value at labels of those axes that it has."""
    return value.at(**{axis: label for axis, label in case.items() if axis in value.axis_names})


def origin_of(owner: Design | Section, path: str) -> Origin:
    """The origin of a typed value or of a default, by the path of its field."""
    provenance = owner.provenance[path] if isinstance(owner, Design) else owner.origin(path)
    path = path if isinstance(owner, Design) else owner.path_of(path)
    if provenance.origin == "default":
        return Origin("default", path=path, typed=provenance.text)
    if provenance.origin == "proposed":
        return Origin("project rule", path=path, text=say("rule", found_text=provenance.text))
    if provenance.origin == DERIVED:
        return Origin("project rule", path=path, text=provenance.text)
    return Origin("file", path=path, line=provenance.line, typed=provenance.text)


def origins_of_layers(section: Section, *fields: str) -> list[Origin]:
    """The origins of those fields of the layers that have a value."""
    return [
        origin_of(section, f"layer.{layer.key}.{field}")
        for layer in section.layers for field in fields if getattr(layer, field) is not None
    ]  # fmt: skip


def given_of_section(scope: Scope, name: str, section: Section, path: str, value: float) -> Value:
    """Give a symbol the value of one field of the section."""
    return scope.given(name, value, origin=origin_of(section, path))


def given_of_layers(scope: Scope, name: str, section: Section, sublayers: Sublayers, attribute: str) -> Value:
    """Give a symbol the value of one field of the layer that each sublayer lies in."""
    values = [getattr(section.layers[k], attribute) for k in sublayers.layer]
    origins = [origin_of(section, f"layer.{section.layers[k].key}.{attribute}") for k in sublayers.layer]
    return scope.given(name, values, ["layer"], origin=origins, origin_axis="layer")


def given_of_stages(
    scope: Scope, name: str, section: Section, values: Sequence[float], attribute: str, at_start: str
) -> Value:
    """Give a symbol one value per stage; ``at_start`` says why stage 0 has its own."""
    origins = [Origin("project rule", text=at_start)]
    origins += [origin_of(section, f"stage.{k}.{attribute}") for k in range(len(section.stages))]
    return scope.given(name, values, ["stage"], origin=origins, origin_axis="stage")


def tops_of_layers(section: Section, shared: Frame, ground: Sheet) -> list[float]:
    """Recorded depths of the tops of the layers: each is that of its first sublayer."""
    depths = ground["d_st"].array.tolist()
    return [depths[shared.sublayers.layer.index(k)] for k in range(len(section.layers))]


def strength_of_sublayers(scope: Scope, section: Section, shared: Frame, ground: Sheet) -> Value:
    """Undrained strength at the middle of every sublayer, from the top of its layer on."""
    layers = [section.layers[k] for k in shared.sublayers.layer]
    none = Origin("project rule", text=say("no-strength"))
    for name, field in (("c_ut", "c_u"), ("rho_ut", "c_u_growth")):
        values = [getattr(layer, field) for layer in layers]
        origins = [none if value is None else origin_of(section, f"layer.{layer.key}.{field}")
                   for layer, value in zip(layers, values, strict=True)]  # fmt: skip
        scope.given(name, [value or 0.0 for value in values], ["layer"], origin=origins, origin_axis="layer")
    tops = tops_of_layers(section, shared, ground)
    scope.reading("d_lt", [tops[k] for k in shared.sublayers.layer], ["layer"], title=say("reading-d-lt-title"),
                  inputs=[ground["d_st"]], note=say("reading-d-lt-note"), moves=("layer",))  # fmt: skip
    return scope(strength_at_depth, z=ground["z"])


ENDS = {"top": 1.0, "both": 2.0}

G, G_Q, FACTORED = "G", "G+Q", "factored actions"
COMBINATIONS = (G, G_Q, FACTORED)

MID, TOP = "mid-depth", "top of the sublayer"

SERVICE = "serviceability"


def give_factor(
    scope: Scope, shared: Frame, sets: Sequence[FactorSet], name: str, attribute: str, *, enters: Sequence[bool]
) -> Value:
    """Give a partial factor over factor sets and stages; 1 in the sets where it does not enter."""
    values = [
        [getattr(factor_set.at(situation), attribute) if uses else 1.0 for situation in shared.situations]
        for factor_set, uses in zip(sets, enters, strict=True)
    ]
    origins = [
        Origin("factor set", text=factor_set.key, evidence=_evidence(factor_set, shared, attribute, uses=uses))
        for factor_set, uses in zip(sets, enters, strict=True)
    ]
    return scope.given(name, values, ["factor_set", "stage"], origin=origins, origin_axis="factor_set")


def _evidence(factor_set: FactorSet, shared: Frame, attribute: str, *, uses: bool) -> Evidence:
    """The weakest status over the situations in use; a factor that does not enter is a rule."""
    known = {factor_set.evidence_for(situation, attribute) for situation in shared.situations}
    return next((evidence for evidence in ("not inspected", "confirmed") if uses and evidence in known), "inspected")
