"""Working platform: operations with what they require, site rules, the track on the platform to scale."""

from collections.abc import Iterator

from calc.engine.figure import Arrow, Callouts, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.engine.sheet import AXIS_WORDS, Page, Sheet, Table, TableColumn, value_text
from calc.engine.words import words_of
from calc.factors.tracked_plant import TRACKED_PLANT as PUBLISHED
from calc.inputs import Design, Section
from calc.inputs.tables.rig import Rig

say = words_of(__name__)

CAN, CANNOT = say("can"), say("cannot")


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Table, rules and sketch where a rig is given."""
    rig = section.platform.rig if section.platform else None
    if rig is None or "thickness" not in of.sheet.scopes:
        return
    of.figures.append(platform_sketch(of, section, rig))
    of.tables.append(_operations(of.sheet, rig))
    of.tables.append(_rules(of.sheet, rig))
    of.notes += [
        say("angle", run=1 / rig.spread.value),
        say("sources", before=rig.c_u_source or say("of-layers"), after=rig.c_u_after_source, phi=rig.phi_source,
            punching=rig.punching.source, spread=rig.spread.source, least=rig.least.source, factors=rig.factors.source),
    ]  # fmt: skip


def _operations(sheet: Sheet, rig: Rig) -> Table:
    """A row for each operation and state of the ground."""
    of_scopes = {
        "": ("W_sh", "L_lo", "q_lo", "q_op", "c_u", "r_sg"),
        say("spread"): ("D_spr",),
        say("punching"): ("D_pun",) if rig.geosynthetic is None else ("D_geo", "D_pun"),
        say("least"): ("D_least",),
        say("thickness"): ("D_req",),
    }
    columns = [(sheet.scopes[scope] if scope else sheet)[name] for scope, names in of_scopes.items() for name in names]
    head = [TableColumn(words=AXIS_WORDS["operation"]), TableColumn(words=say("relieve")),
            TableColumn(words=AXIS_WORDS["ground"])]  # fmt: skip
    head += [TableColumn(symbol=value.symbol) for value in columns]
    rows = [
        [operation.name, CAN if operation.relieves else CANNOT, ground]
        + [value_text(value, {"operation": operation.name, "ground": ground}, value.symbol) for value in columns]
        for operation in rig.operations for ground in sheet.axes["ground"]
    ]  # fmt: skip
    note = say("operations-note", machine=rig.machine, sheet=rig.sheet, standing=f"{PUBLISHED.bare_standing:.1f}",
               extracting=f"{PUBLISHED.bare_extracting:.1f}")  # fmt: skip
    return Table("platform-operations", say("operations"), head, rows, note)


def _rules(sheet: Sheet, rig: Rig) -> Table:
    loaded = float(sheet["a_lo"].array)
    rows = [
        [say("rule-1"), say("rule-1-text")],
        [say("rule-2"), say("rule-2-text")],
        [say("rule-3"), say("rule-3-text")],
        [say("rule-4"), say("rule-4-text")],
        [say("rule-5"), say("rule-5-text")],
        [say("rule-6"), say("rule-6-text", edge=rig.edge_distance, loaded=round(loaded, 3))],
    ]
    return Table("platform-rules", say("rules"), [TableColumn(words=say("when")), TableColumn(words=say("rule"))], rows)


def platform_sketch(of: Page, section: Section, rig: Rig) -> Scene:
    """Cut across the track that governs."""
    case = of.case("thickness")
    width, thick = float(of.sheet["W_lo"].array), section.platform.thickness if section.platform else 0.0
    spread, edge = rig.spread.value, float(of.sheet["a_lo"].array)
    alt = say("sketch-alt", width=width, thickness=thick, edge=edge, spread=spread)
    note = say("sketch-note", operation=case.get("operation", rig.operations[0].name))
    items = tuple(_items(width, thick, spread, edge, rig.edge_slope, rig.track_distance))
    return Scene("platform", say("sketch-title"), alt, items, height_mm=52.0, note=note)


def _items(width: float, thick: float, spread: float, edge: float, run: float, apart: float) -> Iterator[Item]:
    half, out = width / 2, spread * thick
    left, crest, low = -half - max(out, 0.4 * apart), half + edge, -max(1.2, thick)
    toe = crest + run * thick
    yield Polygon(box(left, toe + 0.5, 0.0, low), "soft")
    yield Polygon(((left, thick), (crest, thick), (toe, 0.0), (left, 0.0)), "platform")
    yield Polygon(box(-half, half, thick + 0.22, thick), "firm")
    for share in (-0.8, -0.4, 0.0, 0.4, 0.8):
        yield Arrow(share * half, thick + 0.75, share * half, thick + 0.24)
    outer = out if edge >= thick else 0.0
    yield Line(((-half, thick), (-half - out, 0.0)), "dashed")
    yield Line(((half, thick), (half + outer, 0.0)), "dashed")
    for side in (-half, half):
        yield Line(((side, thick), (side, 0.0)), "thin")
    for k in range(5):
        x = -half - out + (2 * half + out + outer) * k / 4
        yield Arrow(x, -0.45, x, -0.03)
    yield Label(-half - 0.15, thick + 0.55, symbol_text("q_op"), "end")
    yield Dimension(-half, thick + 0.22, half, thick + 0.22, symbol_text("W_lo"), 9.0)
    yield Dimension(half, thick, crest, thick, symbol_text("a_lo"), 4.0)
    yield Dimension(left, 0.0, left, thick, symbol_text("t_P"), 3.0)
    yield Label(0.0, -0.75, symbol_text("c_u"))
    yield Callouts("right", ((thick / 2, say("scene-platform")), (low / 2, say("scene-ground"))))
