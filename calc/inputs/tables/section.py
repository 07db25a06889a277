"""The list [[section]], and everything of it that may be stated once for all sections."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pydantic import PrivateAttr

from calc.engine.levels import above, same
from calc.inputs.reading.kinds import Level, SectionKey, Table, WaterName, field
from calc.inputs.reading.texts import Flag, Line
from calc.inputs.tables.columns import ColumnField, Columns, ColumnZone
from calc.inputs.tables.consolidation import Consolidation
from calc.inputs.tables.construction import Construction
from calc.inputs.tables.earthquake import Earthquake
from calc.inputs.tables.embankment import Embankment, Platform
from calc.inputs.tables.filters import Filters, Plug
from calc.inputs.tables.floating_zones import above_the_toes, ground_of_zone, works_of_zone
from calc.inputs.tables.ground import BearingLayer, Layer, LayerBelow, Water, WaterLevel
from calc.inputs.tables.ground_model import GroundModel
from calc.inputs.tables.layer_parts import PART, cut_parts, parts_by_points
from calc.inputs.tables.load_transfer import LoadTransfer
from calc.inputs.tables.monitoring import Monitoring
from calc.inputs.tables.neighbours import Neighbours
from calc.inputs.tables.sleeve import ReinforcementLayer, Sleeve
from calc.inputs.tables.slip import Slip
from calc.inputs.tables.stages import FirstLift, Stage
from calc.inputs.tables.traffic import Traffic
from calc.inputs.tables.uplift import Uplift
from calc.inputs.tables.widening import Widening

DERIVED = "derived"  # origin of a value that is not typed as it counts: its text says where it comes from
ZONE = "."  # between the key of a section and that of a zone of its columns; no key of the file has it
TRAFFIC_SPREAD = 0.5  # run over height by which traffic at the crest edge spreads outward; common practice, no source


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a value comes from: its text as typed; line and column of its key, None for a default."""

    text: str
    line: int | None
    column: int | None
    origin: str


@dataclass(frozen=True, slots=True)
class Position:
    """A place across at which a section whose layers change their thickness is calculated with level ground."""

    side: str
    toe: bool

    @property
    def ending(self) -> str:
        """What is added to the key of the section, which has no point: ".re" or ".rt" for the right edge or toe."""
        return f".{self.side[0]}{'t' if self.toe else 'e'}"

    @property
    def words(self) -> str:
        """The place by its name."""
        return f"{self.side} {'toe' if self.toe else 'crest edge'}"


class Section(Table):
    """A part of the embankment, by its chainage, with its own ground and columns."""

    key: SectionKey = field("Key of the section, unique; printed numbers begin with it.", "A")
    title: Line = field("Title as printed.", "North approach")
    chainage: Line = field("Chainage that the section stands for, from and to.", "0+120 to 0+480")
    factor_set_names: tuple[Line, ...] | None = field(
        "Sets of partial factors by which the section is verified, of those that basis.factor_sets names; without it "
        "all of them.",
        '["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]',
        name="factor_sets",
        default=None,
        min_length=1,
        max_length=10,
    )
    ground_level: Level = field("Elevation of the ground.", "0.40 m")
    makeup_fill: Flag = field("Whether fill is added for the settlement so that the crest keeps its level.", True)
    embankment: Embankment = field("The embankment.", "[embankment]")
    traffic: Traffic | None = field("The variable load on the crest.", "[traffic]", default=None)
    platform: Platform | None = field("The working platform.", "[platform]", default=None)
    water_table: Water = field("Elevations of the water levels.", "[water]", name="water")
    initial_water: WaterName | None = field(
        "Name of the water level of the initial state, before construction; without it that of the first stage. A "
        "stage with a lower level counts the drop as load, one with a higher level loses effective stress.",
        "mean",
        default=None,
    )
    layers: tuple[Layer, ...] = field(
        "Soft layers from the top down.", "[[section.layer]]", name="layer", min_length=1, max_length=40
    )
    bearing_layer: BearingLayer = field("The layer that the column toes stand in.", "[section.bearing_layer]")
    layers_below: tuple[LayerBelow, ...] = field(
        "Layers below the column toes, from the top down.",
        "[[section.layer_below]]",
        name="layer_below",
        default=(),
        max_length=40,
    )
    columns: Columns = field("The columns.", "[columns]")
    column_field: ColumnField | None = field(
        "The column field across the embankment.", "[field]", name="field", default=None
    )
    sleeve: Sleeve = field("The sleeve.", "[sleeve]")
    reinforcement: tuple[ReinforcementLayer, ...] = field(
        "Horizontal reinforcement over the columns.", "[[reinforcement]]", default=(), max_length=10
    )
    load_transfer: LoadTransfer | None = field("Load transfer above the column heads.", "[load_transfer]", default=None)
    first_lift: FirstLift | None = field("The first lift over the reinforcement.", "[first_lift]", default=None)
    stages: tuple[Stage, ...] = field(
        "Stages of filling in time order; the last is the final state.",
        "[[stage]]",
        name="stage",
        min_length=1,
        max_length=50,
    )
    consolidation: Consolidation | None = field(
        "Consolidation under the filling programme.", "[consolidation]", default=None
    )
    slip: Slip | None = field("The search for slip surfaces.", "[slip]", default=None)
    earthquake: Earthquake | None = field(
        'Seismic action; it acts in the stages whose situation is "seismic".', "[earthquake]", default=None
    )
    filters: Filters | None = field("Filter stability and drainage.", "[filters]", default=None)
    plug: Plug | None = field("The plug of the columns against an aquifer.", "[plug]", default=None)
    uplift: Uplift | None = field("Uplift by a head above the water level.", "[uplift]", default=None)
    construction: Construction | None = field("What the site needs.", "[construction]", default=None)
    monitoring: Monitoring | None = field("What is measured, and levels to act at.", "[monitoring]", default=None)
    ground_model: GroundModel | None = field(
        "Results of tests, and the values that rest on them.", "[ground_model]", default=None
    )
    neighbours: Neighbours | None = field("Neighbours of the embankment.", "[neighbours]", default=None)
    widening: Widening | None = field("The bank that is widened.", "[widening]", default=None)

    _provenance: Mapping[str, Provenance] = PrivateAttr(default_factory=dict)
    _typed_layers: tuple[Layer, ...] = PrivateAttr(default=())
    _paths: Mapping[str, str] = PrivateAttr(default_factory=dict)
    _cuts: Mapping[str, tuple[float, ...]] = PrivateAttr(default_factory=dict)
    _own: Mapping[str, float] = PrivateAttr(default_factory=dict)
    _zone: ColumnZone | None = PrivateAttr(default=None)
    _halvings: int = PrivateAttr(default=0)
    _slip_left_out: bool = PrivateAttr(default=False)
    _wedge_in_every_stage: bool = PrivateAttr(default=False)
    _position: Position | None = PrivateAttr(default=None)
    _of: str = PrivateAttr(default="")

    @property
    def halvings(self) -> int:
        """How often every sublayer is halved, because results still depend on the division."""
        return self._halvings

    def with_halved_sublayers(self) -> "Section":
        """The section with every sublayer halved once more."""
        finer = self.model_copy()
        finer._halvings = self._halvings + 1  # noqa: SLF001 - of its own class
        return finer

    @property
    def soft_layers(self) -> tuple[Layer, ...]:
        """The soft layers as the project file has them; `layers` are their parts where strength is given by points."""
        return self._typed_layers or self.layers

    def in_parts(self) -> "Section":
        """The section with every layer cut where its strength by points bends or jumps, and where `cut` asks for it."""
        parts, paths, origins, top = list[Layer](), dict[str, str](), dict[str, Provenance](), 0.0
        for layer in self.layers:
            if layer.key in self._cuts:
                parts += self._with_own_values(layer, top, paths, origins)
            else:
                parts += parts_by_points(layer, top, paths)
            top += layer.thickness
        cut = self.model_copy(update={"layers": tuple(parts)})
        cut._typed_layers, cut._paths = self.layers, paths  # noqa: SLF001 - of its own class
        cut._provenance = {**self._provenance, **origins}  # noqa: SLF001
        return cut

    def cut(self, thickness: Mapping[str, Sequence[float]], own: Mapping[str, float]) -> "Section":
        """The section with soft layers cut into parts of these thicknesses (m), from the top of the layer down.

        ``own`` are values that parts have by themselves, whatever the layer has: "layer.peat/2.E_oed_ref" is that of
        the second part of the layer peat.
        """
        typed = self.model_copy(update={"layers": self.soft_layers})
        typed._cuts = {key: tuple(parts) for key, parts in thickness.items()}  # noqa: SLF001 - of its own class
        typed._own = dict(own)  # noqa: SLF001
        return typed.in_parts()

    @property
    def own_values(self) -> Mapping[str, float]:
        """The values that parts of layers have by themselves, by their paths."""
        return self._own

    def with_own_values(self, own: Mapping[str, float]) -> "Section":
        """The section with other values in parts; it is cut by `in_parts`."""
        changed = self.model_copy()
        changed._own = {**self._own, **own}  # noqa: SLF001 - of its own class
        return changed

    def _with_own_values(
        self, layer: Layer, top: float, paths: dict[str, str], origins: dict[str, Provenance]
    ) -> Iterator[Layer]:  # fmt: skip
        """The parts of a layer that is cut, each with its own values, whose places are those of the layer."""
        for part in cut_parts(layer, top, self._cuts[layer.key], paths):
            head = f"layer.{part.key}."
            own = {path.removeprefix(head): path for path in self._own if path.startswith(head)}
            for name, path in own.items():
                paths[path], origins[path] = path, self._provenance[f"layer.{layer.key}.{name}"]
            yield part.part(part.key, **{name: self._own[path] for name, path in own.items()})

    @property
    def zone(self) -> ColumnZone | None:
        """The zone of the columns that this stands for, None where it is a whole section."""
        return self._zone

    def by_zones(self) -> "tuple[Section, ...]":
        """The section once for every zone with another grid, with that grid as its own."""
        return tuple(self._in_zone(zone) for _, zone in self.columns.zones)

    def _in_zone(self, zone: ColumnZone) -> "Section":
        """No compensation fill beyond the crest of the final stage, no traffic where none reaches by its spread."""
        grid = {"pattern": zone.pattern, "spacing": zone.spacing, "zone": ()}
        grid["embedment"] = self.columns.embedment_of(zone)
        changed: dict[str, object] = {"key": f"{self.key}{ZONE}{zone.key}", "title": f"{self.title}, zone {zone.key}"}
        paths, derived = dict[str, str](), dict[str, str]()
        if zone.floating is not None:
            ground = ground_of_zone(zone, zone.floating, self.layers, self.layers_below)
            works = works_of_zone(self.stages, self.consolidation, self.filters)
            grid["floating"] = ground.changed.pop("floating")
            changed |= ground.changed | works.changed
            paths, derived = ground.paths, ground.derived | works.derived
        changed["columns"] = self.columns.model_copy(update=grid)
        if not self._below_crest(zone, self.embankment.height):
            changed["makeup_fill"] = False
        # Traffic at the crest edge spreads outward down to the heads: a zone that it reaches counts all of it.
        strips = self.traffic.spread.slope if self.traffic and self.traffic.spread else 0.0
        beyond = max(TRAFFIC_SPREAD, strips) * self.embankment.height
        if not any(self._below_crest(zone, stage.fill_height, beyond) for stage in self.stages if stage.traffic):
            changed["traffic"] = None
        part = self.model_copy(update=changed)
        part._zone, part._of = zone, self.key  # noqa: SLF001 - of its own class
        fields = ("pattern", "spacing", *(["embedment"] if zone.embedment is not None else []))
        own = {f"columns.{name}": f"columns.zone.{zone.key}.{name}" for name in fields}
        part._paths = {**self._paths, **own, **{path: self.path_of(typed) for path, typed in paths.items()}}  # noqa: SLF001
        origins = {path: Provenance(text, None, None, DERIVED) for path, text in derived.items()}
        part._provenance = {**self._provenance, **origins}  # noqa: SLF001
        if zone.floating is not None and self._typed_layers:
            part._typed_layers = above_the_toes(zone.floating, self._typed_layers)  # noqa: SLF001
        return part

    def part_of(self, zone: ColumnZone | None) -> "Section":
        """The section with the grid of a zone as its own, or as it is outside all zones."""
        return next((part for part in self.by_zones() if part.zone == zone), self)

    def toe_depth(self, zone: ColumnZone | None) -> float:
        """Depth of the toes of a zone, or outside all zones, below the ground at the axis in m."""
        floating = zone.floating if zone is not None else None
        layers = self.layers if floating is None else above_the_toes(floating, self.layers)
        return sum(layer.thickness for layer in layers) + self.columns.embedment_of(zone)

    def _below_crest(self, zone: ColumnZone, height: float, beyond: float = 0.0) -> bool:
        """Whether a zone reaches below the crest at a height of fill, or ``beyond`` it (m)."""
        fill = self.embankment
        left, right = (
            fill.crest_width / 2 + run * (fill.height - height) for run in (fill.slope_left, fill.slope_right)
        )
        return any(above(right + beyond, low) and above(high, -left - beyond) for low, high in zone.strips)

    @property
    def slip_left_out(self) -> bool:
        """Whether the table [slip] is given and left out of this run."""
        return self._slip_left_out

    def without_slip(self) -> "Section":
        """The section without its search for slip surfaces, for a run that says so."""
        bare = self.model_copy(update={"slip": None})
        bare._slip_left_out = self.slip is not None or self._slip_left_out  # noqa: SLF001 - of its own class
        return bare

    @property
    def wedge_in_every_stage(self) -> bool:
        """Whether lateral extrusion is worked out in every stage, also where the soil alone bears its share."""
        return self._wedge_in_every_stage

    def with_wedge_in_every_stage(self) -> "Section":
        """The section for a study of lateral extrusion: with other numbers the soil alone may bear less."""
        asked = self.model_copy()
        asked._wedge_in_every_stage = True  # noqa: SLF001 - of its own class
        return asked

    @property
    def position(self) -> Position | None:
        """The place across whose ground this section has; None for a section of the project file."""
        return self._position

    @property
    def of(self) -> str:
        """Key of the section of the project file that this one is, or is a position or a zone of."""
        return self._of or self.key

    def slopes_on(self, side: str) -> bool:
        """Whether any layer is thicker or thinner at the toe of a side, "left" or "right", than at the axis."""
        return any(not same(layer.at_toe(side), layer.thickness) for layer in self.layers)

    @property
    def slopes(self) -> bool:
        """Whether any layer changes its thickness across."""
        return self.slopes_on("left") or self.slopes_on("right")

    def at_position(
        self, position: Position, layers: tuple[Layer, ...], origins: Mapping[str, Provenance], **changed: object
    ) -> "Section":
        """The section with level ground as it is at a position; ``origins`` are those of the thickness there.

        Slip surfaces are searched in the section itself. A toe has the neighbours of its own side alone.
        """
        paths: dict[str, str] = {}
        if self.neighbours and position.toe:
            changed["neighbours"], paths = self._neighbours_on(position.side)
        title = f"{self.title}: ground at the {position.words}"
        made = self.model_copy(update={"key": self.key + position.ending, "title": title, "layers": layers, **changed})
        made._position, made._of = position, self.key  # noqa: SLF001 - of its own class
        made._provenance = {**self._provenance, **origins}  # noqa: SLF001
        made._paths = {**self._paths, **paths}  # noqa: SLF001
        return made

    def _neighbours_on(self, side: str) -> tuple[Neighbours | None, dict[str, str]]:
        """The neighbours of one side, None without any, and where their values stand in the file by new places."""
        assert self.neighbours is not None  # noqa: S101 - asked before
        every = self.neighbours.neighbours
        kept = [place for place, neighbour in enumerate(every) if neighbour.side == side]
        if not kept:
            return None, {}
        heads = {f"neighbours.neighbour.{old}.": f"neighbours.neighbour.{new}." for new, old in enumerate(kept)}
        paths = {path.replace(old, new, 1): path for path in self._provenance for old, new in heads.items()
                 if path.startswith(old)}  # fmt: skip
        return self.neighbours.model_copy(update={"neighbours": tuple(every[place] for place in kept)}), paths

    @property
    def water(self) -> tuple[WaterLevel, ...]:
        """The water levels that are given, from low to flood."""
        return self.water_table.levels()

    @property
    def has_heads(self) -> bool:
        """Whether heads over depth are given for any water level."""
        return bool(self.water_table.heads)

    @property
    def drains(self) -> bool:
        """Whether the columns connect the ground with the aquifer: no plug closes them."""
        return self.plug is None or not self.plug.needed

    def origin(self, path: str) -> Provenance:
        """Where a value comes from, stated in the section or for all of them.

        The path is that of the file: "columns.spacing", "layer.<key>.gamma", "stage.<index>.fill_height".
        """
        return self._provenance[self.path_of(path)]

    def path_of(self, path: str) -> str:
        """The path that a value has in the file: that of a point for what a part of a layer takes from it."""
        if path in self._paths:
            return self._paths[path]
        head, _, rest = path.partition(PART)
        return f"{head}.{rest.partition('.')[2]}" if rest else path


OF_SECTION = ("key", "title", "chainage", "factor_set_names")
COMMON = tuple(item.alias or name for name, item in Section.model_fields.items() if name not in OF_SECTION)
"""What may be stated once at the top of the file for all sections."""
