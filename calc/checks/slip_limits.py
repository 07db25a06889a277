"""What limits the slip searches: the model, the edges of the ground that is searched."""

from calc.checks.slip_cases import Searches
from calc.checks.slip_model import ACROSS, BELOW_TOES
from calc.inputs import Section
from calc.procedures.stage_search import Found
from calc.sheet import Scope, Sheet

AT_BOTTOM = 0.05  # m above the bottom of the model within which a circle touches it


def at_the_edge(searches: Searches, scope: Scope, found: Found, verdict: str) -> None:
    """Say where the least safety lies on the edge of what was looked at: a lower one may lie beyond."""
    remarks(searches, scope, found)
    cases = []
    for v, row in enumerate(found.results):
        for k, one in enumerate(row):
            low = one is not None and min(y for _, y in one.points) < searches.bottom + AT_BOTTOM
            if one is not None and (one.at_edge or low):
                cases.append(f"{searches.sheet.axes['variant'][v]} {searches.stages[k]}")
    if cases:
        searches.sheet.limitation(
            f"slip-edge-{scope.name}",
            f"{scope.title}: the minimum lies on the edge of the circles searched, or touches the bottom of the "
            f"model {BELOW_TOES:g} m below the column toes, in {', '.join(cases)}; a lower one may lie beyond.",
            "project rule ▵",
            turns=[verdict],
        )


def remarks(searches: Searches, scope: Scope, found: Found) -> None:
    """Say what limits the surfaces of a scope: of each kind of remark the worst case, and how many there are."""
    kinds: dict[str, list[tuple[float, str, str]]] = {}
    for v, row in enumerate(found.results):
        for k, one in enumerate(row):
            for said in one.warnings if one is not None else ():
                case = f"{searches.sheet.axes['variant'][v]} {searches.stages[k]}"
                kinds.setdefault(said.key, []).append((abs(said.value), said.text, case))
    for key, cases in kinds.items():
        # A lower factor is worse, and so is a larger force or depth.
        pick = min if key == "no_equilibrium" else max
        _, text, case = pick(cases)
        searches.sheet.limitation(
            f"slip-{key.replace('_', '-')}-{scope.name}",
            f"{scope.title}: {text} (worst of {len(cases)} analyses: {case}).",
            "project rule ▵",
        )


def limits(sheet: Sheet, section: Section) -> None:
    """State what the model simplifies and how single columns stand in the plane model."""
    given = section.slip
    assert given is not None  # noqa: S101 - asked before
    sheet.limitation(
        "slip-model",
        "Weight drives as well as presses: one partial factor stands on the weight of soil, columns and water, so that "
        "favourable and unfavourable weight are not told apart (one source), and pull-out rises with it; the normal "
        "force in the columns is that of permanent load with factor 1, without compensation fill. Compensation fill is "
        "counted as heavier fill, while a lift is placed that of the stage before. Strength gained counts between the "
        "outermost columns and up to mid-slope only. Reinforcement across is counted within the fill; its wrap-back is "
        "left out. The tension required is that of transverse circles and goes to layers across; translational "
        "mechanisms are verified for themselves, without tension crack. End slopes and transitions are excluded.",
        "project rule ▵",
    )
    sheet.limitation(
        "slip-columns",
        "Columns that a slip surface cuts resist as dowels that bend, each for itself. Not modelled: progressive "
        "bending, softening of the ground, soil flowing between the columns, three dimensions, contrast between thin "
        "layers within the length that bends.",
        "project rule ▵; Chen et al. (2015) ◦",
    )
    ties = "given" if any(one.direction in ACROSS for one in section.reinforcement) else "none given"
    sheet.rests_on(
        "Shear resistance of the columns in slip surfaces",
        f"embedment of {section.columns.embedment:g} m in the firm layer; reinforcement across: {ties}",
        "hold points for pore pressure and lateral rate; stress ratio confirmed by pressure cells",
    )
    if given.plane_reduction is None:
        sheet.limitation(
            "slip-plane",
            "The columns are smeared over their field without a reduction for the plane model of single columns: no "
            "slip.plane_reduction is given.",
            "Abusharar & Han (2011) ◦",
        )
    if given.plane_reduction is not None:
        value = given.plane_reduction
        sheet.limitation(
            "slip-plane",
            f"The shear resistance of the columns is lowered by the factor {value.value:g} for the plane model of "
            f"single columns: {value.source}.",
            "project file",
        )
