"""What limits the slip searches: the model, the depth that is left out, the edges of the ground looked at."""

from calc.checks.slip_cases import Searches
from calc.checks.slip_model import BELOW_TOES
from calc.inputs import Section
from calc.procedures.slip import Result
from calc.procedures.stage_search import Found
from calc.sheet import Scope, Sheet

BINDS = 0.05  # share of the least depth within which a circle lies on it
AT_BOTTOM = 0.05  # m above the bottom of the model within which a circle touches it


def depth_of(one: Result) -> float:
    """Depth of the deepest point of a surface below the ground, in m."""
    return float((one.table.y_top - one.table.y_base).max())


def at_the_edge(searches: Searches, scope: Scope, found: Found) -> None:
    """Say where the least safety lies on the edge of what was looked at: a lower one may lie beyond."""
    remarks(searches, scope, found)
    cases = []
    for v, row in enumerate(found.results):
        for k, one in enumerate(row):
            low = one is not None and min(y for _, y in one.points) < searches.bottom + AT_BOTTOM
            if one is not None and (one.at_edge or low):
                cases.append(f"{searches.sheet.axes['variant'][v]} {searches.stages[k]}")
    limit = searches.slip.min_depth
    bound = [
        f"{searches.sheet.axes['variant'][v]} {searches.stages[k]}"
        for v, row in enumerate(found.results)
        for k, one in enumerate(row)
        if limit and one is not None and depth_of(one) < (1 + BINDS) * limit
    ]
    if bound:
        searches.sheet.limitation(
            f"slip-depth-{scope.name}",
            f"{scope.title}: the critical circle lies at the least depth that is looked at ({limit:g} m) in "
            f"{', '.join(bound)}; shallower circles have a lower safety, down to that of the face of the slope.",
            "project rule ▵",
        )
    if cases:
        searches.sheet.limitation(
            f"slip-edge-{scope.name}",
            f"{scope.title}: the least safety lies on the edge of the circles looked at, or touches the bottom of the "
            f"model {BELOW_TOES:g} m below the column toes, in {', '.join(cases)}; a lower one may lie beyond.",
            "project rule ▵",
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
    """State what the model simplifies, the depth that is left out and the plane model of single columns."""
    given = section.slip
    assert given is not None  # noqa: S101 - asked before
    sheet.limitation(
        "slip-model",
        "Weight drives as well as presses: one partial factor stands on the weight of soil, columns and water, so that "
        "favourable and unfavourable weight are not told apart (one source), and pull-out rises with it. Make-up fill "
        "is counted as heavier fill, while a lift is placed that of the stage before. Traffic and make-up fill load "
        "the columns too, which adds to their friction. Strength gained counts between the outermost columns only. "
        "Reinforcement is counted within the fill; what is folded back at its ends is left out. The tension asked for "
        "is that of circles; sliding blocks are verified for themselves, without tension crack. End slopes and the "
        "stability of transitions are not looked at.",
        "project rule ▵",
    )
    sheet.limitation(
        "slip-depth",
        f"Circles whose deepest point lies less than {given.min_depth:g} m below the surface are left out: skin slides "
        "of the slope are not looked at.",
        "project file",
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
