"""The tables [size] and [catalogue]: the grid of a search for the design, what may be chosen, and what it costs."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated

from calc.inputs.reading.kinds import (
    Coefficient,
    ColumnDiameter,
    Fraction,
    LayerKey,
    Length,
    LengthOrNone,
    LineForce,
    Name,
    SectionKey,
    Table,
    Time,
    TimeAfter,
    field,
)
from calc.inputs.reading.locate import Path
from calc.inputs.reading.scalars import Number
from calc.inputs.reading.texts import Flag, Line, OneOf, Words
from calc.inputs.tables.columns import Columns, Pattern
from calc.inputs.tables.embankment import SIDES, Embankment
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.sleeve import GammaM, Iso20432, StiffnessAt, StrengthFactors, geosynthetic

COST, CARBON, SETTLEMENT, TIME = "cost", "carbon", "settlement", "time"
OBJECTIVES = (COST, CARBON, SETTLEMENT, TIME)
MOST_VALUES = 200


class Charge(Table):
    """A price or a carbon factor and where it comes from; none is ever assumed."""

    value: Annotated[float, Number(ge=0, le=1e9)] = field(
        "Value: a price in the currency of [size], carbon in kg of CO2 equivalent.", 14.5
    )
    source: Words = field("Where it comes from.", "tender of 2025-02, item 3.1")


class ColumnCharges(Table):
    """What installing and filling the columns takes; the sleeve comes on top."""

    column: Charge = field("For every column, whatever its length.", '{ value = 60, source = "…" }')
    metre: Charge = field("For every metre of column.", '{ value = 22, source = "…" }')
    volume: Charge = field(
        "For every cubic metre of column: fill, losses and compaction included.", '{ value = 31, source = "…" }'
    )


class Installation(Table):
    """A way to install the columns."""

    method: Annotated[str, OneOf(words=("displacement", "excavation"))] = field(
        "As columns.installation.", "displacement"
    )
    K_star: Coefficient | None = field("As columns.K_star.", 1.2, default=None, usual=(0.5, 2.5))
    price: ColumnCharges | None = field("Prices; mandatory for the objective cost.", "[size.installation.price]",
                                        default=None)  # fmt: skip
    carbon: ColumnCharges | None = field("Carbon factors; mandatory for the objective carbon.",
                                         "[size.installation.carbon]", default=None)  # fmt: skip


class Geosynthetic(Table):
    """A product of the catalogue of the project."""

    name: Name = field("Name used in this project.", "sleeve type 1")
    strength: LineForce = field("Characteristic short-term strength.", "300 kN/m", usual=("20 kN/m", "3000 kN/m"))
    stiffness: tuple[StiffnessAt, ...] = field(
        "Stiffness at two or more times, in ascending order.", "[[catalogue.sleeve.stiffness]]",
        min_length=2, max_length=20,
    )  # fmt: skip
    factors: StrengthFactors | None = field(
        "Reduction factors A1 to A5; this format, the other, or both.", "[catalogue.sleeve.factors]", default=None
    )
    iso20432: Iso20432 | None = field(
        "Reduction factors of ISO/TS 20432; this format, the other, or both.",
        "[catalogue.sleeve.iso20432]",
        default=None,
    )
    gamma_M: GammaM = field("Partial factor of the strength.", "[catalogue.sleeve.gamma_M]")
    price: Charge | None = field(
        "Price of a square metre of fabric, what is lost included; mandatory for the objective cost.",
        '{ value = 9, source = "…" }', default=None,
    )  # fmt: skip
    carbon: Charge | None = field(
        "Carbon of a square metre of fabric, what is lost included; mandatory for the objective carbon.",
        '{ value = 2.1, source = "…" }', default=None,
    )  # fmt: skip


class CatalogueSleeve(Geosynthetic):
    """A sleeve that may be chosen; its oversize is that of the section."""

    seam: Words = field("How the sleeve is closed.", "woven as a tube without seam")


class CatalogueMat(Geosynthetic):
    """A layer of reinforcement that may be chosen; level, ends, laps and joints are those of the layer it replaces."""

    interaction: Fraction = field("Coefficient of friction between layer and soil over tan φ of the soil.", 0.8)


class Catalogue(Table):
    """Products that a search may choose from."""

    sleeve: tuple[CatalogueSleeve, ...] = field("Sleeves.", "[[catalogue.sleeve]]", default=(), max_length=MOST_VALUES)
    mat: tuple[CatalogueMat, ...] = field("Reinforcement.", "[[catalogue.mat]]", default=(), max_length=MOST_VALUES)


class Mat(Table):
    """A layer of reinforcement whose product is varied."""

    replaces: Name = field("Name of the layer of the section.", "grid type 2")
    products: tuple[Name, ...] = field("Names of the catalogue that are tried.", '["mat 1", "mat 2"]', name="by",
                                       min_length=1, max_length=MOST_VALUES)  # fmt: skip

    def place_in(self, names: Sequence[str]) -> int | None:
        """Place of the layer among those of a section: by its name, or by that of a product put in its place."""
        wanted = [name for name in (self.replaces, *self.products) if name in names]
        return names.index(wanted[0]) if wanted else None


class ZoneGrid(Table):
    """A zone of the columns whose grid is varied; everything else of it stays as typed."""

    key: LayerKey = field("Key of the zone, as in [[columns.zone]].", "slope")
    spacing: tuple[Length, ...] = field("Spacings of its columns.", '["2.2 m", "2.4 m", "2.6 m"]', min_length=1,
                                        max_length=MOST_VALUES)  # fmt: skip


BOTH = "both"


class BermSize(Table):
    """A berm that is varied: every width with every height. The section has it already, with its slope and stage."""

    side: Annotated[str, OneOf(words=(*SIDES, BOTH))] = field("Side of the berm; both sides alike.", "left")
    width: tuple[Length, ...] = field("Widths of its top.", '["4 m", "6 m"]', min_length=1, max_length=20)
    height: tuple[LengthOrNone, ...] = field("Heights of its top; 0 is no berm.", '["0 m", "1.0 m", "1.5 m"]',
                                             min_length=1, max_length=20)  # fmt: skip
    price: Charge | None = field(
        "Price of a cubic metre of its fill in place; mandatory for the objective cost.",
        '{ value = 18, source = "…" }', default=None,
    )  # fmt: skip
    carbon: Charge | None = field(
        "Carbon of a cubic metre of its fill in place; mandatory for the objective carbon.",
        '{ value = 6, source = "…" }', default=None,
    )  # fmt: skip

    @property
    def sides(self) -> tuple[str, ...]:
        """The sides that it stands on."""
        return SIDES if self.side == BOTH else (self.side,)


class Programme(Table):
    """The filling programme of every candidate is searched: the earliest dates with which it satisfies every check."""

    step: TimeAfter = field("Step of the dates, from the start of the first stage.", "7 d", name="round")
    least_wait: Time = field("Least wait after every stage.", "0 d", default=0.0)
    latest: TimeAfter = field("Latest hand-over, from the start of works.", "2 a")
    cautious: Flag = field("Whether the dates have to hold with the low c_h of [consolidation].", False, default=False)


class Size(Table):
    """The grid of a search for the design of a section; every combination of the values is considered."""

    section: SectionKey | None = field("Key of the section; left out where there is one only.", "A", default=None)
    objective: tuple[Annotated[str, OneOf(words=OBJECTIVES)], ...] = field(
        "What is to be least; with two, the designs that neither betters without worsening the other. Cost and carbon "
        "are those of columns, sleeves and the reinforcement and berms that are varied, for a square metre of the "
        "column field; time is the day of the earliest hand-over, with [size.programme].",
        '["cost"]', min_length=1, max_length=2,
    )  # fmt: skip
    currency: Line | None = field("Currency of the prices; mandatory for the objective cost.", "EUR", default=None)
    diameter: tuple[ColumnDiameter, ...] = field("Diameters of the columns.", '["0.70 m", "0.80 m"]', min_length=1,
                                                 max_length=MOST_VALUES)  # fmt: skip
    spacing: tuple[Length, ...] = field("Spacings of the columns.", '["1.8 m", "1.9 m", "2.0 m"]', min_length=1,
                                        max_length=MOST_VALUES)  # fmt: skip
    pattern: tuple[Pattern, ...] = field("Patterns of the grid.", '["triangular", "square"]', min_length=1,
                                         max_length=2)  # fmt: skip
    sleeve: tuple[Name, ...] = field("Names of the sleeves of the catalogue that are tried.", '["sleeve type 1"]',
                                     min_length=1, max_length=MOST_VALUES)  # fmt: skip
    installation: tuple[Installation, ...] = field("Ways to install the columns.", "[[size.installation]]",
                                                   min_length=1, max_length=20)  # fmt: skip
    mat: tuple[Mat, ...] = field("Layers of reinforcement whose product is varied.", "[[size.mat]]", default=(),
                                 max_length=5)  # fmt: skip
    zone: tuple[ZoneGrid, ...] = field("Zones of the columns whose spacing is varied.", "[[size.zone]]", default=(),
                                       max_length=4)  # fmt: skip
    berm: tuple[BermSize, ...] = field("Berms that are varied.", "[[size.berm]]", default=(), max_length=2)
    programme: Programme | None = field(
        "The filling programme of every candidate is searched too; without it the dates are those typed.",
        "[size.programme]", default=None,
    )  # fmt: skip


def products_sound(catalogue: Catalogue | None) -> Problems:
    """Products have names of their own and whole strength chains."""
    for kind in ("sleeve", "mat"):
        products = getattr(catalogue, kind) if catalogue else ()
        yield from unique([product.name for product in products], ("catalogue", kind), "name")
        for index, product in enumerate(products):
            yield from geosynthetic(product, ("catalogue", kind, index))


def values_once(size: Size | None) -> Problems:
    """No value of the grid stands twice, columns do not touch in all of it, displacement has its K*."""
    if size is None:
        return
    for name in ("objective", "diameter", "spacing", "pattern", "sleeve"):
        yield from _once(getattr(size, name), ("size", name))
    for index, mat in enumerate(size.mat):
        yield from _once(mat.products, ("size", "mat", index, "by"))
    yield from unique([mat.replaces for mat in size.mat], ("size", "mat"), "replaces")
    yield from _parts_once(size)
    if TIME in size.objective and size.programme is None:
        yield Problem(("size", "programme"), f"be given for the objective {TIME}", "nothing")
    if max(size.spacing) <= min(size.diameter):
        yield Problem(("size", "spacing"), f"have a value greater than the least diameter ({min(size.diameter):g} m)",
                      "none")  # fmt: skip
    for index, installation in enumerate(size.installation):
        if installation.method == "displacement" and installation.K_star is None:
            yield Problem(("size", "installation", index, "K_star"), "be given for displacement columns", "nothing")


def _parts_once(size: Size) -> Problems:
    """No value of a zone or berm stands twice, nor does one of them."""
    for index, zone in enumerate(size.zone):
        yield from _once(zone.spacing, ("size", "zone", index, "spacing"))
    yield from unique([zone.key for zone in size.zone], ("size", "zone"), "key")
    for index, berm in enumerate(size.berm):
        yield from _once(berm.width, ("size", "berm", index, "width"))
        yield from _once(berm.height, ("size", "berm", index, "height"))
        if any(side in other.sides for other in size.berm[:index] for side in berm.sides):
            yield Problem(("size", "berm", index, "side"), "not be that of a berm that is varied already")


def products_known(size: Size | None, catalogue: Catalogue | None) -> Problems:
    """What is tried stands in the catalogue, with a charge for every objective that counts one."""
    if size is None:
        return
    charges = [name for name, objective in (("price", COST), ("carbon", CARBON)) if objective in size.objective]
    lists: list[tuple[str, Sequence[str], Path]] = [("sleeve", size.sleeve, ("size", "sleeve"))]
    lists += [("mat", mat.products, ("size", "mat", index, "by")) for index, mat in enumerate(size.mat)]
    for kind, names, path in lists:
        known = {product.name: k for k, product in enumerate(getattr(catalogue, kind) if catalogue else ())}
        for index, name in enumerate(names):
            if name not in known:
                listed = ", ".join(f'"{entry}"' for entry in known) or "none is given"
                yield Problem((*path, index), f"be the name of a {kind} of [catalogue] ({listed})")
                continue
            product = getattr(catalogue, kind)[known[name]]
            yield from _missing_charges(product, charges, ("catalogue", kind, known[name]))
    for index, installation in enumerate(size.installation):
        yield from _missing_charges(installation, charges, ("size", "installation", index))
    for index, berm in enumerate(size.berm):
        yield from _missing_charges(berm, charges, ("size", "berm", index))
    if COST in size.objective and size.currency is None:
        yield Problem(("size", "currency"), "be given for the objective cost", "nothing")


def section_of_size(
    size: Size | None, section_keys: tuple[str, ...], section_values: list[dict[str, object]]
) -> Problems:
    """The section is known and has the layers that are replaced; its sleeve follows the diameter."""
    if size is None or not section_values:
        return  # that there is no section is told by itself
    if size.section not in section_keys and (size.section is not None or len(section_keys) > 1):
        got = None if size.section is not None else "nothing"
        yield Problem(("size", "section"), f"be the key of a section ({', '.join(map(str, section_keys))})", got)
        return
    place = section_keys.index(size.section) if size.section is not None else 0
    values = section_values[place]
    layers = values.get("reinforcement")
    names = [layer.name for layer in layers] if isinstance(layers, tuple) else None
    for index, mat in enumerate(size.mat):
        if names is not None and mat.place_in(names) is None:
            listed = ", ".join(f'"{name}"' for name in names) or "it has none"
            yield Problem(("size", "mat", index, "replaces"), f"be the name of a layer of the section ({listed})")
    yield from _parts_of_section(size, values)
    sleeve = values.get("sleeve")
    if len(size.diameter) > 1 and getattr(sleeve, "installed_radius", None) is not None:
        must = "have one value where sleeve.installed_radius is given: give its oversize"
        yield Problem(("size", "diameter"), must, f"{len(size.diameter)} values")


def _parts_of_section(size: Size, values: Mapping[str, object]) -> Problems:
    """The section has the zones and berms that are varied, and where berms are charged the width of its field."""
    columns, embankment, column_field = (values.get(name) for name in ("columns", "embankment", "column_field"))
    if isinstance(columns, Columns):
        known = [zone.key for zone in columns.zone]
        listed = ", ".join(f'"{key}"' for key in known) or "it has none"
        for index, zone in enumerate(size.zone):
            if zone.key not in known:
                yield Problem(("size", "zone", index, "key"), f"be the key of a zone of the section ({listed})")
    for index, berm in enumerate(size.berm if isinstance(embankment, Embankment) else ()):
        for side in berm.sides:
            there = getattr(embankment, f"berm_{side}")
            if there is None:
                yield Problem(("size", "berm", index, "side"), f"be that of a berm: give embankment.berm_{side}")
            elif 0.0 in berm.height and there.lower_steps:
                must = f"be greater than 0 where embankment.berm_{side} has a lower berm, which would go with it"
                yield Problem(("size", "berm", index, "height", berm.height.index(0.0)), must)
    edges = [getattr(column_field, f"beyond_{side}", None) for side in SIDES] if "column_field" in values else []
    if size.berm and None in edges and {COST, CARBON} & set(size.objective):
        must = "stand in a section with field.beyond_left and field.beyond_right: it is charged over their width"
        yield Problem(("size", "berm", 0, "side"), must)


def _missing_charges(
    of: Geosynthetic | Installation | BermSize, charges: Sequence[str], path: Path
) -> Iterator[Problem]:
    for name in charges:
        if getattr(of, name) is None:
            objective = COST if name == "price" else CARBON
            yield Problem((*path, name), f"be given for the objective {objective}", "nothing")


def _once(values: Sequence[object], path: Path) -> Iterator[Problem]:
    for index, value in enumerate(values):
        if value in values[:index]:
            yield Problem((*path, index), "be used once only")


SIZE_RULES = (products_sound, values_once, products_known, section_of_size)
