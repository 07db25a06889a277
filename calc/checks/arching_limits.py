"""Where the arching models leave their limits of use, and their results side by side."""

import numpy as np

from calc.checks.arching import COEFFICIENT, MODELS
from calc.formula import EVIDENCE_MARKS
from calc.formulas.arching_shells import CLEAR_DISTANCE_UNDER_HEAVY_LOAD, USE_LIMITS, UseLimit
from calc.inputs import Section
from calc.sheet import Scope, Sheet, Table, TableColumn, Value, case_words, number_text, value_text
from calc.sheet.cases import Cases

SINGULAR = (("domes", 1.5, "domes and vaults"), ("concentric", 1.5, "hemispheres"), ("concentric", 2.0, "arches"))
NEAR = 1e-6
HEAVY = 20.0  # kN/m² of traffic, project rule: what counts as heavy live load for the clear distance
LIMIT_WORDS = {
    "r_ds": "diameter of the head over the diagonal spacing",
    "r_hs": "fill height over the clear distance on the diagonal",
    "L_m": "clear distance between the heads in m",
    "r_k": "ratio of the subgrade moduli of column and ground",
}


def limits_of_use(sheet: Sheet, section: Section) -> None:
    """State each limit that a model leaves in some stage with fill enough for arching."""
    shells = sheet.scopes["shells"]
    for limit in USE_LIMITS:
        heavy = limit.symbol == "L_m" and section.traffic is not None and section.traffic.q >= HEAVY
        _check(sheet, CLEAR_DISTANCE_UNDER_HEAVY_LOAD if heavy else limit, shells)
    for key, words in (("domes", "domes"), ("concentric", "hemispheres")):
        _height(sheet, sheet.scopes[key], words)
    _singular(sheet)
    _too_low(sheet)
    sheet.limitation(
        "arching-encased",
        "The models of arching are made for heads that do not settle with the ground. Encased columns settle with it: "
        "full arching and equal settlement are the two limits, and the design lies between them unless the project "
        "asks for full arching.",
        "project rule ▵",
    )
    sheet.limitation(
        "arching-coefficient",
        "The form of BS 8006-1 is not in vertical equilibrium: heads and strips carry another load than that of the "
        "cell (see the table of models). It stands for comparison and does not enter the design.",
        "Van Eekelen et al. (2011), Geotext. Geomembr. 29 (abstract read); BS 8006-1:2010 ◦",
    )


def _check(sheet: Sheet, limit: UseLimit, shells: Scope) -> None:
    value = shells[limit.symbol]
    found = value.array[value.valid]
    if not found.size:
        return
    worst = float(found.min() if limit.at_least else found.max())
    if worst >= limit.bound if limit.at_least else worst <= limit.bound:
        return
    side = "at least" if limit.at_least else "at most"
    sheet.limitation(
        f"shells-{limit.symbol}",
        f"Shells of arches: the {LIMIT_WORDS[limit.symbol]} is {number_text(worst, 2)}, the model asks for {side} "
        f"{limit.bound:g}.",
        f"{limit.source.citation} ◦",
    )


def _height(sheet: Sheet, scope: Scope, words: str) -> None:
    """The arches must stand within the fill."""
    low, height = float(scope["H_1L"].array), scope["H_ar"]
    if (height.array[height.valid] < low).any():
        sheet.limitation(
            f"{scope.name}-height",
            f"In some stages the fill is lower than the {words}, which need {number_text(low, 2)} m.",
            "geometry of the model ▵",
        )


def _singular(sheet: Sheet) -> None:
    K_p = sheet["K_p"].array  # noqa: N806 - printed symbol
    for key, at, words in SINGULAR:
        if (np.abs(K_p - at) < NEAR).any():
            sheet.limitation(
                f"{key}-singular-{at:g}",
                f"The coefficient of passive earth pressure is {at:g} in some case, where the quotient of the {words} "
                "has no value; its limit is used.",
                "derived here ▵",
            )


def _too_low(sheet: Sheet) -> None:
    height, loaded = sheet["H_ar"], sheet["H_A"].array > 0
    low = [label for label, one in zip(height.labels("stage"), ~height.valid & loaded, strict=True) if one]
    if low:
        sheet.limitation(
            "too-low",
            f"Below {number_text(float(sheet['H_part'].array), 2)} m of fill no arching is counted on; the "
            f"reinforcement carries the whole pressure there: stage {', '.join(low)}.",
            "BS 8006-1:2010, 8.3.3 ◦",
        )


def model_table(sheet: Sheet) -> None:
    """The models side by side at the case that the chapter prints at."""

    def fill(cases: Cases) -> None:
        case = cases[sheet.key, "domes"]
        head = [TableColumn(words="model"), *(TableColumn(symbol=name) for name in ("sigma_sA", "E_A", "W_T", "r_eq")),
                TableColumn(words="evidence")]  # fmt: skip
        rows = []
        for model in (*MODELS, COEFFICIENT):
            scope = sheet.scopes.get(model.key)
            if scope is None:
                continue
            cells = [_cell(scope, name, case) for name in (model.symbol, "E_A", "W_T", "r_eq")]
            mark = EVIDENCE_MARKS[model.source.evidence]
            rows.append([model.title, *cells, f"{mark} {model.source.evidence}".strip()])
        note = f"The last but one column is 1 where vertical equilibrium holds. At {case_words(case)}."
        sheet.tables.append(Table("models", "Models of full arching side by side", head, rows, note))

    sheet.at_cases.append(fill)


def _cell(scope: Scope, name: str, case: dict[str, str]) -> str:
    if not name or name not in scope:
        return "–"
    value: Value = scope[name]
    return value_text(value, case, name)
