"""Where the results of the unit cell leave what the method was made for or what was measured."""

import numpy as np

from calc.checks.frame import CENTRE, LONG, SHORT, Frame
from calc.checks.ratio_limits import LARGEST_MEASURED, MEASURED, state_large_ratios
from calc.inputs import Section
from calc.nomenclature import symbol
from calc.sheet import Scope, Sheet, Table, TableColumn, Value, number_text

MOST_MEASURED_RATIO = 25.0
NO_RATIO = "no load, or the column carries all of it"
AXIS_PLURALS = {"variant": "factor sets", "position": "positions", "load": "loads", "stiffness": "stiffnesses",
                "layer": "sublayers"}  # fmt: skip
USUAL_MODULUS = (500.0, 3000.0)  # kPa


def least_ratio(sheet: Sheet, shared: Frame, tension: Scope, settlement: Scope) -> Value:
    """The least ratio of the cell in each stage, which no stress ratio for stability may exceed.

    Without a number in the stage of the column just built, and where no sublayer is at its active state: there the
    column carries the whole load.
    """
    scope = sheet.scope("least_ratio", "Least stress ratio of the cell in each stage")
    loaded = np.isin(shared.stages, shared.loaded)
    values = []
    for name, runs in (("n_minF", tension["n"]), ("n_minS", settlement["n"])):
        least = runs.smallest("stage")
        over = ", ".join(AXIS_PLURALS[axis] for axis in runs.axis_names if axis != "stage")
        values.append(
            scope.reading(name, least.array, ["stage"], title=f"{symbol(name).meaning.capitalize()}, over {over}",
                          inputs=[least], mask=~(least.valid & loaded), reason=NO_RATIO)
        )  # fmt: skip
    known = np.array([one.valid for one in values])
    missing = np.asarray(~known.any(axis=0))
    least = np.where(known, [one.array for one in values], np.inf).min(axis=0)
    return scope.reading(
        "n_min", np.where(missing, np.nan, least), ["stage"], title="The lesser of the two", inputs=values,
        mask=missing, reason=NO_RATIO,
    )  # fmt: skip


def stress_ratios(sheet: Sheet, section: Section, shared: Frame, scopes: tuple[Scope, ...]) -> None:
    """The ratio of the cell beside the one to be used for stability, which is safe in the opposite direction."""
    rows = []
    for label, stage in zip(shared.loaded, section.stages, strict=True):
        parts = [scope["n"].at(stage=label) for scope in scopes]
        found = np.concatenate([part.array[part.valid] for part in parts])
        reason = parts[0].reason
        ends = [number_text(float(one), 1) for one in (found.min(), found.max())] if found.size else [reason] * 2
        rows.append([label, *ends, number_text(stage.n_stability, 1)])
    state_large_ratios(sheet, section)
    note = (
        "Over ring tension and settlement, all factor sets, loads and sublayers. The cell's ratio is safe for the "
        "sleeve and the column toe; the ratio for stability, lateral extrusion and soft ground is given and is safe "
        "when low."
    )
    words = ("stage", "least n of the cell", "largest n of the cell", "n for stability")
    head = [TableColumn(words=one) for one in words]
    title = "Stress ratio of the cell beside the one given for stability"
    sheet.tables.append(Table("stress-ratio", title, head, rows, note))


def range_of_method(sheet: Sheet, section: Section, tension: Scope, settlement: Scope) -> None:
    """State modulus, stress ratio and width outside the usual range, and what the compensation fill leaves out."""
    modulus = tension["E_oed"].array[tension["E_oed"].valid]
    if modulus.size and (modulus.min() < USUAL_MODULUS[0] or modulus.max() > USUAL_MODULUS[1]):
        sheet.limitation(
            "modulus-range",
            f"The modulus of the stress step lies between {modulus.min():.0f} and {modulus.max():.0f} kN/m² over "
            "sublayers and stages; the usual range of the method is 500 to 3000 kN/m².",
            "EBGEO (2010), ch. 10 ◦",
        )
    ratio = tension["n"].array[tension["n"].valid]
    if ratio.size and ratio.max() > MOST_MEASURED_RATIO:
        sheet.limitation(
            "stress-ratio",
            f"The cell's stress ratio reaches {ratio.max():.0f}; 2 to {LARGEST_MEASURED:g} were measured under "
            f"embankments and up to {MOST_MEASURED_RATIO:g} in large cells. The cell exaggerates the share of the "
            "column in very soft ground.",
            MEASURED,
        )
    soft = sum(layer.thickness for layer in section.layers)
    if section.embankment.crest_width < soft:
        sheet.limitation(
            "narrow-crest",
            f"The crest, {section.embankment.crest_width:g} m, is narrower than the soft ground is thick, {soft:g} m: "
            "the load is not wide, and the cell overestimates at the centre as well.",
            "project rule",
        )
    if section.makeup_fill:
        _makeup(sheet, section, settlement)


def _makeup(sheet: Sheet, section: Section, settlement: Scope) -> None:
    filled = settlement["s_M"].at(stage=sheet.axes["stage"][-1], position=CENTRE, load="G+Q")
    more = section.embankment.gamma * float(filled.at(stiffness=LONG).array - filled.at(stiffness=SHORT).array)
    sheet.limitation(
        "makeup-stiffness",
        "Ring tension is evaluated with every stiffness of the sleeve. For all else under partial factors compensation "
        f"fill follows the settlement with the upper one; the lower one would add {more:.1f} kN/m² to the load.",
        "project rule",
    )
