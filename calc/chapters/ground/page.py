"""The page of the chapter on the ground: initial state of the sublayers as a table and against depth."""

from calc.chapters.shared.earthquake import shaken_stages
from calc.chapters.shared.frame import origin_of
from calc.chapters.shared.heads import BOTTOM, HEADS
from calc.chapters.shared.layer_tables import layer_profile, layer_table
from calc.engine.sheet import Page, Scope, Sheet, Table, TableColumn, number_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

PANELS = (
    ("σ′", "kN/m²", ((say("soil"), "sigma_ip"), (say("column"), "sigma_icp"))),
    ("u", "kN/m²", ((say("by-heads"), "u_p"), (say("at-rest"), "u_hp"))),
    ("σ", "kN/m²", ((say("total"), "sigma_tp"),)),
)
SCREENING = "liquefaction_screening"
SOUNDINGS = ("N_60", "q_cj", "FC_j", "sigma_ej", "CSR_rj", "CSR_0j", "N_cs", "q_cs", "CRR_j", "MSF_j", "K_sig", "F_liq")
FLOW = ("h_sat", "k_vs", "i_l", "Dh_l", "h_fl", "i_cr", "F_i")
INITIAL = ("h", "z", "gamma_eff", "sigma_v0s", "sigma_v0c", "K_0s", "K_star", "p_1")


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Initial state of the sublayers."""
    layer_table(of, "initial", say("initial-title"), "", INITIAL)
    of.tables += [_soundings(of.sheet.scopes[name], section) for name in of.sheet.scopes if name.startswith(SCREENING)]
    if HEADS in of.sheet.scopes:
        _heads(of, section)
    else:
        panel = ("σ′", "kN/m²", ((say("soil"), "sigma_v0s"), (say("column"), "sigma_v0c")))
        layer_profile(of, "initial", say("profile-title"), "", section, (panel,))


def _soundings(scope: Scope, section: Section) -> Table:
    """Every reading of a kind, in its worst seismic stage: what was measured, stress ratio, resistance, safety."""
    names = [name for name in SOUNDINGS if name in scope]
    head = [TableColumn(words=say("reading")), *(TableColumn(symbol=name) for name in names)]
    rows = []
    safety = scope["F_liq"].at(stage=shaken_stages(section, scope.sheet.axes["stage"]))
    worst = safety.array.argmin(axis=safety.axis_names.index("stage"))
    for label, stage in zip(safety.labels("reading"), worst, strict=True):
        case = {"reading": label, "stage": safety.labels("stage")[stage]}
        values = [scope[name].number(case) for name in names]
        rows.append([
            label,
            *("–" if value is None else number_text(value, symbol(name).decimals)
              for name, value in zip(names, values, strict=True)),
        ])  # fmt: skip
    return Table(f"{scope.name}-readings", scope.title, head, rows)


def _heads(of: Page, section: Section) -> None:
    """Heads, pore pressure and stresses at the bottoms of the sublayers, as a table and against depth; steady flow."""
    of.tables.append(_points(section))
    layer_profile(of, HEADS, say("heads-title"), HEADS, section, PANELS, "z_p", point=BOTTOM)
    if "flow" in of.sheet.scopes:
        layer_table(of, "flow", say("flow-title"), "flow", FLOW, say("flow-note"))


def _points(section: Section) -> Table:
    """The points of the heads as given, the line of the project file and the source."""
    head = [
        TableColumn(words=say("points-water")), TableColumn(words=say("points-level"), unit="m"),
        TableColumn(words=say("points-head"), unit="m"), TableColumn(words=say("line")),
        TableColumn(words=say("source")),
    ]  # fmt: skip
    rows = [
        [
            water_head.water,
            number_text(point.level, 2),
            number_text(point.head, 2),
            str(origin_of(section, f"water.head.{index}.points.{k}.head").line or ""),
            water_head.source,
        ]
        for index, water_head in enumerate(section.water_table.heads)
        for k, point in enumerate(water_head.points)
    ]
    return Table("head-points", say("points-title"), head, rows, say("points-note"))
