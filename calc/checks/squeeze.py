"""Lateral squeezing of the soft ground under a side slope: treated, before consolidation, untreated, FHWA form."""

from calc.checks.squeeze_ground import Side, slope
from calc.formulas.squeezing import (
    base_strength,
    block_resistance,
    critical_thickness,
    fhwa_resistance,
    mean_block_strength,
    slope_length,
    squeezing_safety,
    squeezing_screen,
)
from calc.inputs import Section
from calc.sheet import Scope, Sheet, Table, TableColumn, Value, number_text

FIELD = "engineering reading; no published rule for encased columns was found"


def squeeze(sheet: Sheet, section: Section, side: Side) -> None:
    """The block under the slope in the column field, driven by the soil's share, in every stage with fill."""
    height = sheet["H"]
    filled = [label for label, one in zip(height.labels("stage"), height.array, strict=True) if one > 0]
    treated = _treated(sheet, section, side, filled)
    untreated = _untreated(sheet, treated, side, filled)
    sheet.verdict(
        f"squeeze{side.ending}", f"Lateral squeezing under the side slope, {side.words}", effect=treated["p_sE"],
        resistance=treated["p_Rsq"],
    )  # fmt: skip
    columns = {
        "untreated, block": untreated["F_sq"], "n = 1, block": treated["F_sq1"], "n for stability, block":
        treated["F_sq"], "n for stability, FHWA form": treated["F_sqF"],
    }  # fmt: skip
    sheet.tables.append(_table(side, filled, columns))
    _limits(sheet, treated, side)


def _treated(sheet: Sheet, section: Section, side: Side, filled: list[str]) -> Scope:
    scope = sheet.scope(f"squeeze{side.ending}", f"Squeezing in the column field, {side.words}")
    for name in ("H", "p_E", "p_sE", "c_u0f"):
        scope.take(name, sheet[name].at(stage=filled))
    scope.take("rho_uf", sheet["rho_uf"].at(stage=filled))
    slope(scope, section, side)
    scope(slope_length)
    strength = {"c_u0": "c_u0f", "rho_u": "rho_uf"}
    scope(critical_thickness, **strength)
    scope(mean_block_strength, **strength)
    scope(base_strength, **strength)
    scope(block_resistance, c_u0="c_u0f")
    scope(squeezing_safety)
    scope(squeezing_safety, F_sq="F_sq1", p_sE="p_E")
    scope(fhwa_resistance, p_Rsq="p_RsqF", c_u="c_u0f", D_sq="t_soft")
    scope(squeezing_safety, F_sq="F_sqF", p_Rsq="p_RsqF")
    return scope


def _untreated(sheet: Sheet, treated: Scope, side: Side, filled: list[str]) -> Scope:
    """The same ground without columns and without a gain of strength, under the whole pressure."""
    scope = sheet.scope(f"untreated{side.ending}", f"Squeezing without columns, {side.words}")
    for name in ("c_u0e", "rho_ud", "p_E"):
        scope.take(name, sheet[name].at(stage=filled))
    scope.take("L_S", treated["L_S"])
    strength = {"c_u0": "c_u0e", "rho_u": "rho_ud"}
    scope(squeezing_screen, c_u="c_u0e")
    scope(critical_thickness, **strength)
    scope(mean_block_strength, **strength)
    scope(base_strength, **strength)
    scope(block_resistance, c_u0="c_u0e")
    scope(squeezing_safety, p_sE="p_E")
    return scope


def _table(side: Side, filled: list[str], columns: dict[str, Value]) -> Table:
    head = [TableColumn(words="stage"), *(TableColumn(words=words) for words in columns)]
    rows = []
    for label in filled:
        least = [float(value.at(stage=label).array.min()) for value in columns.values()]
        rows.append([label, *(number_text(one, 3) for one in least)])
    note = (
        "Pressure that squeezes over pressure that acts, both with their partial factors: 1 is needed. Least over the "
        "factor sets. Untreated: neither columns nor a gain of strength. n = 1: the gain credited in the stage, but "
        "all pressure on the ground as at fast filling. Only the block with n for stability is verified."
    )
    return Table(f"squeeze{side.ending}", f"Safety against squeezing, {side.words}", head, rows, note)


def _limits(sheet: Sheet, treated: Scope, side: Side) -> None:
    sheet.limitation(
        "squeeze-field",
        "In the column field the soil is driven by its own share of the pressure and has its strength on its own area "
        "only; the columns' own shear resistance is not counted. This is an engineering reading: no published "
        "rule for encased columns was found.",
        FIELD,
    )
    sheet.limitation(
        "squeeze-fhwa",
        "The FHWA form counts full shear at the top of the soft ground, which the reinforcement would have to carry, "
        "and one strength over the whole thickness, here that of the line at its top; it is printed beside the block "
        "for comparison.",
        "FHWA-NHI-06-088 (2006), FHWA-NHI-07-092 (2008) ◦",
    )
    early = treated["F_sq1"]
    low = [label for label in early.labels("stage") if early.at(stage=label).array.min() < 1]
    if low:
        sheet.limitation(
            f"squeeze-early{side.ending}",
            f"With a stress ratio of 1, as while filling fast, the ground under the slope would be squeezed out "
            f"in {', '.join(low)} ({side.words}, least safety {float(early.array.min()):.2f}). Each of these stages "
            "rests on the stress ratio and the gain of strength given for it: they must be reached before it is "
            "filled, which is a hold point.",
            "project rule",
        )
