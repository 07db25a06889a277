"""What limits the slip searches: the model, the edges of the ground that is searched."""

from itertools import pairwise

from calc.chapters.shared.mats import ACROSS
from calc.chapters.shared.strips import laid_strips
from calc.chapters.stability.slip_cases import Searches
from calc.chapters.stability.slip_ground import BELOW_TOES
from calc.engine.levels import same
from calc.engine.sheet import Scope, Sheet, stage_name
from calc.engine.words import words_of
from calc.inputs import Section
from calc.procedures.stage_search import Found

say = words_of(__name__)

AT_BOTTOM = 0.05  # m above the bottom of the model within which a circle touches it


def at_the_edge(searches: Searches, scope: Scope, answers: Found, verdict: str) -> None:
    """Say where the minimum factor of safety lies on the edge of what was searched: a lower one may lie beyond."""
    remarks(searches, scope, answers)
    cases = []
    for v, row in enumerate(answers.results):
        for k, result in enumerate(row):
            # Below the soft ground under floating columns the ground is firm: no lower factor lies there.
            deep = result is not None and searches.section.columns.floating is None
            low = result is not None and deep and min(y for _, y in result.points) < searches.bottom + AT_BOTTOM
            if result is not None and (result.at_edge or low):
                cases.append(f"{searches.sheet.axes['factor_set'][v]} {stage_name(searches.stages[k])}")
    if cases:
        searches.sheet.limitation(
            f"slip-edge-{scope.name}",
            say("limitation-slip-edge", scope_title=scope.title, below_toes=BELOW_TOES, cases=", ".join(cases)),
            "project rule ◇",
            turns=[verdict],
        )


def remarks(searches: Searches, scope: Scope, answers: Found) -> None:
    """Say what limits the surfaces of a scope: of each kind of remark the worst case, and how many there are."""
    kinds: dict[str, list[tuple[float, str, str]]] = {}
    for v, row in enumerate(answers.results):
        for k, result in enumerate(row):
            for said in result.warnings if result is not None else ():
                case = f"{searches.sheet.axes['factor_set'][v]} {stage_name(searches.stages[k])}"
                kinds.setdefault(said.key, []).append((abs(said.value), said.text, case))
    for key, cases in kinds.items():
        # A lower factor is worse, and so is a larger force or depth.
        pick = min if key == "no_equilibrium" else max
        _, text, case = pick(cases)
        searches.sheet.limitation(
            f"slip-{key.replace('_', '-')}-{scope.name}",
            say("limitation-slip", scope_title=scope.title, text=text, cases=len(cases), case=case),
            "project rule ◇",
        )


def limits(sheet: Sheet, section: Section) -> None:
    """State what the model simplifies and how single columns stand in the plane model."""
    table = section.slip
    assert table is not None  # noqa: S101 - asked before
    sheet.limitation("slip-model", say("limitation-slip-model"), "project rule ◇")
    sheet.limitation("slip-columns", say("limitation-slip-columns"), "project rule ◇; Chen et al. (2015) ◦")
    ties = "given" if any(mat.direction in ACROSS for mat in section.reinforcement) else say("none-given")
    if section.columns.floating is None:
        text = say("rests-on-text", embedment=section.columns.embedment, ties=ties)
        proof = say("rests-on-proof")
    else:
        text, proof = say("rests-on-text-floating", ties=ties), say("rests-on-proof-floating")
    sheet.relies_on(say("rests-on-title"), text, proof)
    if section.earthquake is not None:
        sheet.limitation("slip-earthquake", say("limitation-slip-earthquake"), "EN 1998-5:2004, 4.1.3.3 ◦")
    strips = [strip.position for strip, _ in laid_strips(section)]
    if any(not same(strip, other) for strip, other in pairwise(strips)):
        heads = ("global_stability", "tension_across")
        sheet.limitation(
            "slip-one-strip", say("limitation-slip-one-strip"), "project rule ◇",
            turns=lambda verdict: verdict.key.startswith(heads),
        )  # fmt: skip
    if table.plane_reduction is None:
        sheet.limitation("slip-plane", say("limitation-slip-plane"), "Abusharar & Han (2011) ◦")
    else:
        value = table.plane_reduction
        text = say("limitation-slip-plane-2", value=value.value, source=value.source)
        sheet.limitation("slip-plane", text, "project file")
