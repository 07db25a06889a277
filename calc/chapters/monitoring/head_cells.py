"""Pressure cells at the heads of the columns: by the unit cell over time, and by arching stage by stage."""

import numpy as np

from calc.chapters.monitoring.reading_dates import Floats
from calc.chapters.shared.frame import SERVICE
from calc.chapters.shared.ratio_limits import LARGEST_MEASURED, MEASURED
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.monitoring import pressure_on_soil
from calc.formulas.unit_cell import column_stress_increment, stress_ratio

say = words_of(__name__)

NO_PRESSURE = say("no-pressure-on-the-soil")
COMPATIBLE = "compatible_"


def heads_in_time(scope: Scope, gained: Floats, load: Value, done: dict[str, Sheet]) -> None:
    """The uppermost sublayer of the cell at every date; ``gained`` is the effective stress (scenarios, dates)."""
    top = scope.sheet.axes["layer"][0]
    scope.reading(
        "Dsigma_sob",
        gained,
        ["scenario", "date"],
        inputs=[scope["t"]],
        title=say("reading-dsigma-sob-title"),
        note=say("reading-dsigma-sob-note"),
    )
    soil = scope(pressure_on_soil, u_ob=scope["u_ob"].at(layer=top))
    scope.take("a_E", done["columns"]["a_E"])
    scope(column_stress_increment, Dsigma_vc="sigma_cob", Dsigma_0=load, Dsigma_vs="sigma_sob")
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


def heads_by_arching(sheet: Sheet, done: dict[str, Sheet]) -> Scope | None:
    """Pressure on soil and heads in every stage where arching, reinforcement and ground agree."""
    stresses = [
        scope["sigma_su"].at(factor_set=SERVICE, load="G+Q").largest("stage")
        for name, scope in done["load_transfer"].scopes.items()
        if name.startswith(COMPATIBLE)
    ]
    if not any(value.valid.any() for value in stresses):
        sheet.limitation("heads-arching", say("limitation-heads-arching"), "project rule")
        return None
    scope = sheet.scope("heads", say("scope-heads-title"))
    largest = np.fmax.reduce([np.where(value.valid, value.array, np.nan) for value in stresses])
    scope.reading("sigma_slt", largest, ["stage"], title=say("reading-sigma-slt-title"), inputs=stresses,
                  mask=np.isnan(largest), reason=NO_PRESSURE, note=say("reading-sigma-slt-note"))  # fmt: skip
    scope.take("a_E", done["columns"]["a_E"])
    programme = sheet.scopes["programme"]
    scope(column_stress_increment, Dsigma_vc="sigma_clt", Dsigma_0=programme["Dsigma_0"], Dsigma_vs="sigma_slt")
    _ratio(scope, "n_lt", "sigma_clt", scope["sigma_slt"])
    return scope
