"""Pressure cells at the heads of the columns: by the unit cell over time, and by arching stage by stage."""

import numpy as np

from calc.chapters.monitoring.dates import Floats
from calc.chapters.shared.frame import SERVICE, Frame
from calc.chapters.shared.ratio_limits import LARGEST_MEASURED, MEASURED
from calc.engine.sheet import Scope, Sheet, Table, TableColumn, Value, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas.monitoring import pressure_on_soil
from calc.formulas.unit_cell import column_stress, stress_ratio

say = words_of(__name__)

NO_PRESSURE = "no pressure on the soil"
COMPATIBLE = "compatible_"


def heads_in_time(scope: Scope, gained: Floats, load: Value, done: dict[str, Sheet]) -> None:
    """The uppermost sublayer of the cell at every date; ``gained`` is the effective stress (courses, dates)."""
    top = scope.sheet.axes["layer"][0]
    scope.reading(
        "Dsigma_sob", gained, ["course", "date"], inputs=[scope["t"]],
        title=say("reading-dsigma-sob-title"),
        note=say("reading-dsigma-sob-note"),
    )  # fmt: skip
    soil = scope(pressure_on_soil, u_ob=scope["u_ob"].at(layer=top))
    scope.take("a_E", done["columns"]["a_E"])
    scope(column_stress, Dsigma_vc="sigma_cob", Dsigma_0=load, Dsigma_vs="sigma_sob")
    _ratio(scope, "n_ob", "sigma_cob", soil)


def _ratio(scope: Scope, result: str, column: str, soil: Value) -> None:
    """Stress ratio where the soil carries anything."""
    bare = np.asarray(soil.array <= 0)
    carried: str | Value = soil.without(bare, NO_PRESSURE) if bare.any() else soil.symbol
    scope(stress_ratio, n=result, Dsigma_vc=column, Dsigma_vs=carried)


def measured_ratios(sheet: Sheet, scope: Scope) -> None:
    """Say where the ratio expected lies above all that was measured."""
    ratio = scope["n_ob"]
    largest = float(ratio.array[ratio.valid].max(initial=0.0))
    if largest > LARGEST_MEASURED:
        sheet.limitation(
            "ratio-measured",
            say("limitation-ratio-measured", largest=largest, largest_measured=LARGEST_MEASURED),
            MEASURED,
        )


def heads_by_arching(sheet: Sheet, shared: Frame, done: dict[str, Sheet]) -> Scope | None:
    """Pressure on soil and heads in every stage where arching, reinforcement and ground agree, and a table of them."""
    found = [
        one["sigma_su"].at(variant=SERVICE, load="G+Q").largest("stage")
        for name, one in done["load_transfer"].scopes.items()
        if name.startswith(COMPATIBLE)
    ]
    if not any(one.valid.any() for one in found):
        sheet.limitation(
            "heads-arching",
            say("limitation-heads-arching"),
            "project rule",
        )
        return None
    scope = sheet.scope("heads", say("scope-heads-title"))
    largest = np.fmax.reduce([np.where(one.valid, one.array, np.nan) for one in found])
    scope.reading(
        "sigma_slt", largest, ["stage"], title=say("reading-sigma-slt-title"), inputs=found,
        mask=np.isnan(largest), reason=NO_PRESSURE,
        note=say("reading-sigma-slt-note"),
    )  # fmt: skip
    scope.take("a_E", done["columns"]["a_E"])
    programme = sheet.scopes["programme"]
    scope(column_stress, Dsigma_vc="sigma_clt", Dsigma_0=programme["Dsigma_0"], Dsigma_vs="sigma_slt")
    _ratio(scope, "n_lt", "sigma_clt", scope["sigma_slt"])
    sheet.tables.append(_table(scope, shared, programme, done["stability"]))
    return scope


def _table(scope: Scope, shared: Frame, programme: Scope, stability: Sheet) -> Table:
    words = (("soil", "sigma_slt"), ("column", "sigma_clt"), ("ratio", "n_lt"), ("soil, counted with", "sigma_sst"),
             ("ratio, counted with", "n_st"))  # fmt: skip
    head = [TableColumn(words="stage"), *(TableColumn(words=one, unit=symbol(name).unit_text) for one, name in words)]
    rows = []
    for label in shared.loaded:
        case = {"stage": label}
        row = [value_text(scope[name], case) for name in ("sigma_slt", "sigma_clt", "n_lt")]
        rows.append([label, *row, value_text(programme["sigma_sst"], case), value_text(stability["n_st"], case)])
    note = say("table-note")
    title = say("table-title")
    return Table("heads", title, head, rows, note)
