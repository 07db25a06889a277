"""Slip surfaces of every stage: minimum factors by several methods, tension that the reinforcement must give.

The chapter records ``T_stab`` over (factor set, stage) on its sheet, for the chapter on the reinforcement.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.earthquake import take_coefficients
from calc.chapters.shared.mobilised import state_strain
from calc.chapters.shared.positions import lacks_positions
from calc.chapters.shared.ratio_limits import LARGEST_MEASURED, unproven
from calc.chapters.shared.soft_ground import Side, factors, missing_strength, sides, slope
from calc.chapters.shared.strips import strips_of
from calc.chapters.shared.zones import friction_of_fill
from calc.chapters.stability.blocks import blocks
from calc.chapters.stability.cut_columns import embedment, one_column, reductions
from calc.chapters.stability.limits import at_the_edge, limits, remarks
from calc.chapters.stability.search_settings import WITHIN_FILL, number
from calc.chapters.stability.shares import record_shares
from calc.chapters.stability.single_strips import one_strip
from calc.chapters.stability.slip_cases import EMPTY, NO_BALANCE, Searched, Searches, WithinFill, direction_of
from calc.chapters.stability.slip_ground import record_strips
from calc.chapters.stability.stage_model import Ties, model
from calc.chapters.stability.states import END, State
from calc.engine.formula import Source
from calc.engine.sheet import Procedure, Scope, Sheet, Value, stage_name
from calc.engine.words import words_of
from calc.formulas.column_field import design_friction_angle
from calc.formulas.earthquake import face_safety_under_shaking
from calc.formulas.overall_stability import (
    face_safety,
    moment_gap,
    plant_in_slip_analysis,
    safety_from_moments,
    traffic_in_slip_analysis,
)
from calc.formulas.slip import BISHOP, FELLENIUS
from calc.inputs import Design, Section
from calc.procedures.known_circles import SURE, Failed, Settled, least_of_circles, stops, tried_circles
from calc.procedures.slip import Circle, RequiredForce, Result
from calc.procedures.stage_search import Found, Wanted, force_asked, ground_moment, tension, tension_moment

say = words_of(__name__)

TITLE = say("global-stability")
SEARCH = Source("project rule: minimum of all circles of a grid, refined around its smallest values", "derived")
SPENCER = Source(
    "Spencer (1967), Géotechnique 17(1), 11–26, as in USACE EM 1110-2-1902 (2003), App. C and p. F-9", "confirmed"
)
PRICE = Source("Morgenstern & Price (1965), Géotechnique 15(1), 79–93", "not inspected")
WITHOUT = say("without")
CLOSE = 1e-5
NOT_IN_FILL = say("fill-too-low")


def slip(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Search every stage and factor set on both sides; without what it needs the question stays open."""
    if why := missing_for_search(section) or lacks_positions(section, done):
        sheet.not_verified("global_stability", TITLE, why)
        if section.position:
            _stress_ratio(sheet, done)
        return
    searches = prepared_searches(sheet, design, section, done)
    searches.ends_at_failure = stops() and not unproven(done)
    sheet.kept["surfaces"] = [  # circles, blocks and circles within the fill of every side
        (_circles(searches, at), blocks(searches, at), _face(searches, done, at)) for at in sides(section, layers=True)
    ]
    _demand(searches)
    _withhold_verdicts(sheet, unproven(done))
    limits(sheet, section)
    held = (verdict for verdict in sheet.verdicts if verdict.state == "pass")
    turns = [verdict.key for verdict in held if verdict.key.startswith("global_stability")]
    state_strain(sheet, section, searches.across, turns)


def prepared_searches(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> Searches:
    """Record what the searches are made of, and make them; nothing is searched yet."""
    names = (("gamma_Go", "gamma_G"), ("gamma_Qo", "gamma_Q"), ("gamma_Re", "gamma_R_e"))
    factors(sheet, design, section, names)
    strips = strips_of(done)
    sheet.take("q", done["unit_cell"]["q"] if strips is None else strips["q_0"])
    sheet(traffic_in_slip_analysis)
    if strips is not None:
        record_strips(sheet, strips, done)
    sheet.take("p_pl", done["bearing"]["p_pl"])
    sheet(plant_in_slip_analysis)
    sheet.take("p_M", done["bearing"]["p_M"])
    record_shares(sheet, section, done)
    _stress_ratio(sheet, done)
    embedment(sheet, section, done)
    return Searches(sheet, design, section, done)


def _withhold_verdicts(sheet: Sheet, why: str) -> None:
    """No circle and no block is verified with a stress ratio above that of the cell."""
    for verdict in tuple(sheet.verdicts) if why else ():
        if verdict.key.startswith("global_stability") and verdict.utilisation is not None:
            sheet.withhold(verdict, why)


def _face(searches: Searches, done: dict[str, Sheet], side: Side) -> WithinFill | None:
    """Surficial stability by the infinite slope, and deeper circles within the fill, where traffic and water act."""
    sheet, section = searches.sheet, searches.section
    scope = sheet.scope(f"face{side.ending}", say("scope-face-title", side_words=side.words))
    slope(scope, section, side)
    friction_of_fill(scope, section)
    scope(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    if section.earthquake is None:
        scope(face_safety, phi="phi_E")
    else:
        take_coefficients(scope, done, "k_h", "f_vu")
        scope(face_safety_under_shaking, phi="phi_E")
    filled = sheet.axes["stage"][1:]  # before them there is no slope
    effect, resistance = (
        value.at(stage=filled) if "stage" in value.axis_names else value for value in (sheet["gamma_Re"], scope["F_fs"])
    )
    title = say("verdict-face-of-slope-title", side_words=side.words)
    sheet.verdict(f"face_of_slope{side.ending}", title, effect=effect, resistance=resistance)
    within = searches.within_fill(side)
    factor = within.array(lambda result: result.factor)
    nothing = np.isnan(factor)
    if nothing.all():
        return None
    title = say("face-title", min_depth=number(searches.settings, "t_min"))
    rests = [*searches.relies_on(END, search=WITHIN_FILL), scope["n_S"]]
    scope.reading("F_fi", factor, ["factor_set", "stage"], title=say("reading-f-fi-title", title=title), source=BISHOP,
                  inputs=rests, mask=nothing, reason=NOT_IN_FILL)  # fmt: skip
    stages = searches.stages_evaluated(factor)
    needed, safety = (value.at(stage=stages) for value in (sheet["gamma_Re"], scope["F_fi"]))
    made = sheet.verdict(
        f"slip_in_fill{side.ending}", f"{TITLE}, {title}, {side.words}",
        effect=needed.without(~safety.valid, NOT_IN_FILL), resistance=safety,
    )  # fmt: skip
    sheet.leads[scope.name] = dict(made.case)
    return WithinFill(f"{title[0].upper()}{title[1:]}, {side.words}", scope, within, dict(made.case))


def _stress_ratio(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """Compare the stress ratio for stability with that of the cell and with measured ones."""
    sheet.take("n_min", done["unit_cell"].scopes["least_ratio"]["n_min"])
    key, title = "stress_ratio", say("cell-ratio")
    why = unproven(done)
    if why:
        sheet.not_verified(key, title, why)
    else:
        sheet.settled(key, title, say("settled-cell-ratio-why", largest_measured=LARGEST_MEASURED))


def missing_for_search(section: Section) -> str:
    """What the search needs and the project does not give, in words."""
    if section.position:
        return say("position", key=section.of)
    if section.widening is not None:
        return say("widened")
    if section.slip is None:
        return say("left-out") if section.slip_left_out else say("missing")
    missing = missing_strength(section)
    if missing:
        return say("missing-2", missing=missing)
    field = section.column_field
    lacking = [f"field.{name}" for name in ("beyond_left", "beyond_right") if getattr(field, name, None) is None]
    return say("missing-3", lacking=", ".join(lacking)) if lacking else ""


def _circles(searches: Searches, side: Side) -> list[Searched]:
    """The deep-seated circles of every state of one side, those with the ratio of the cell near those without."""
    by_ending: dict[str, Searched] = {}
    for state in searches.states():
        by_ending[state.ending] = _state(searches, side, state, by_ending.get(state.given))
    return [*by_ending.values()]


def _state(searches: Searches, side: Side, state: State, known: Searched | None) -> Searched:
    """Minimum of one side in one state: by the methods for comparison, or by Bishop alone near what is known."""
    sheet = searches.sheet
    at = known.answers if known else None
    key, title = f"global_stability{state.ending}{side.ending}", f"{TITLE}, {state.words}, {side.words}"
    settled_by = _Settling(searches, side, state, (key, f"{title}, Bishop"))
    settled_by.known_circles()
    bishop = searches.ask(side, state, "bishop", at=at, near=True)
    settled_by.circles_found(bishop)
    factor = bishop.array(lambda result: result.factor)
    empty = np.isnan(factor)
    scope = sheet.scope(
        f"slip{state.ending}{side.ending}", say("scope-slip-title", state_words=state.words, side_words=side.words)
    )
    near = [] if known is None else [known.scope["F_Bi"]]
    _bishop(searches, scope, state, bishop, near)
    one_column(searches, scope, state, bishop)
    if known is None:
        _comparisons(searches, scope, side, state, bishop, empty)
    else:
        untied = searches.ask(side, state, "bishop", change=lambda case: replace(case, ties=()), at=at, near=True)
        _record_other(
            scope, "F_B0", untied, (WITHOUT, BISHOP), [*near, *searches.relies_on(state, scope, tied=False)], empty
        )
    stages = searches.stages_evaluated(factor)
    needed, safety = (value.at(stage=stages) for value in (sheet["gamma_Re"], scope["F_Bi"]))
    made = sheet.verdict(key, f"{title}, Bishop", effect=needed.without(~safety.valid, EMPTY), resistance=safety)
    sheet.leads[scope.name] = dict(made.case)
    if known is None:
        _by_spencer(searches, scope, f"{key}_spencer", f"{title}, Spencer", stages)
        one_strip(searches, scope, side, state, bishop, (key, title))
    at_the_edge(searches, scope, bishop, key)
    return Searched(scope, bishop, made.utilisation or 0.0, reductions(searches, state, bishop))


@dataclass(frozen=True)
class _Settling:
    """Ends a run where a circle fails and it is known that this is enough: a search for the design asks for no more."""

    searches: Searches
    side: Side
    state: State
    verdict: tuple[str, str]

    def known_circles(self) -> None:
        """Try the circles that failed at other designs."""
        circles = tried_circles(self._scope) if self.searches.ends_at_failure else []
        for way, (v, k) in product(self.searches.ways, np.ndindex(self._resistance_factor.shape) if circles else ()):
            case = self.searches.case(v, k, self.state, way=way)
            if case is not None:
                asked = self.searches.question(case, self.side, "bishop", self.searches.search)
                least = least_of_circles(asked, circles, self.searches.search.min_depth)
                if least is not None:
                    self._end(v, k, *least)

    def circles_found(self, answer: Found) -> None:
        """The same of what a search has found."""
        for v, k in np.ndindex(self._resistance_factor.shape) if self.searches.ends_at_failure else ():
            result = answer.results[v][k]
            if result is not None and isinstance(result.surface, Circle):
                self._end(v, k, result.factor, result.surface)

    @property
    def _resistance_factor(self) -> NDArray[np.float64]:
        return self.searches.sheet["gamma_Re"].array

    @property
    def _scope(self) -> str:
        return f"slip{self.state.ending}{self.side.ending}"

    def _end(self, v: int, k: int, factor: float, circle: Circle) -> None:
        needed = float(self._resistance_factor[v, k])
        if factor * (1 + SURE) < needed:
            raise Settled(*self.verdict, needed / factor, Failed(self._scope, circle))


def _by_spencer(searches: Searches, scope: Scope, key: str, title: str, stages: list[str]) -> None:
    """The second method, where it finds an equilibrium; where it finds none, Bishop's method stands alone."""
    sheet, safety = searches.sheet, scope["F_Sp"].at(stage=stages)
    nothing = ~safety.valid
    if nothing.any():
        cases = ", ".join(f"{safety.labels('factor_set')[v]} {stage_name(stages[k])}" for v, k in np.argwhere(nothing))
        sheet.limitation(
            f"slip-balance-{scope.name}",
            say("limitation-slip-balance", scope_title=scope.title, cases=cases),
            "project rule ◇",
        )
    if nothing.all():
        sheet.not_verified(key, title, say("open-by-spencer-why"), required=False)
        return
    needed = sheet["gamma_Re"].at(stage=stages).without(nothing, NO_BALANCE)
    sheet.verdict(key, title, effect=needed, resistance=safety)


def _bishop(
    searches: Searches, scope: Scope, state: State, bishop: Found, near: Sequence[Value]
) -> None:  # fmt: skip
    """The least of the circles, searched near another state's where ``near`` is its factor, with its moments."""
    factor = bishop.array(lambda result: result.factor)
    empty = np.isnan(factor)
    axes = ["factor_set", "stage"]
    tried = int(np.nansum(bishop.array(lambda result: float(result.tried))))
    procedure = Procedure(
        say("condition"),
        say("found-procedure"),
        say("tolerance", tolerance=f"{searches.tolerance:.0e}"), tried, int((~empty).sum()), "F_dM",
    )  # fmt: skip
    for name in state.share_names if state.shares else ():
        scope.take(name, state.of(scope.sheet)[name])
    rests = searches.relies_on(state, scope)
    scope.solved("F_Bi", factor, axes, title=say("solved-f-bi-title"),
                 source=BISHOP, inputs=[*rests, *near], procedure=procedure, mask=empty, reason=EMPTY)  # fmt: skip
    sums: tuple[tuple[str, str, Callable[[Result], float]], ...] = (
        ("M_Rs", say("found-sums"), ground_moment),
        ("M_Ts", say("found-sums-2"), tension_moment),
        ("M_Ds", say("found-sums-3"), lambda result: result.driving),
        ("T_av", say("found-sums-4"), tension),
    )
    if searches.section.earthquake is not None:
        sums = *sums, ("k_vF", say("found-sums-5"), lambda result: result.k_v)
    for name, title, read in sums:
        scope.reading(
            name, bishop.array(read), axes, title=title, source=SEARCH, inputs=[scope["F_Bi"], *rests], mask=empty,
            reason=EMPTY,
        )  # fmt: skip
    scope(safety_from_moments)
    scope(moment_gap)
    scope.confirm("F_Bi", tolerance=CLOSE)


def _comparisons(searches: Searches, scope: Scope, side: Side, state: State, bishop: Found, empty: np.ndarray) -> None:
    """Other methods beside: a search of its own by Spencer, the critical circle by the others and by other models."""
    on_it = say("others-on-it")
    untied = searches.ask(side, state, "bishop", change=lambda case: replace(case, ties=()))
    spencer = searches.ask(side, state, "spencer", at=bishop, near=True)
    remarks(searches, scope, spencer)
    averaged = searches.ask(side, state, "bishop", change=lambda case: replace(case, averaged=True), at=bishop)
    price, ordinary = (searches.ask(side, state, method, at=bishop) for method in ("morgenstern-price", "ordinary"))
    circle = [scope["F_Bi"], *searches.relies_on(state, scope)]
    rows = (
        ("F_Sp", spencer, (say("others-rows"), SPENCER), circle),
        ("F_MP", price, (say("price", on_it=on_it), PRICE), circle),
        ("F_OM", ordinary, (say("ordinary", on_it=on_it), FELLENIUS), circle),
        ("F_B0", untied, (WITHOUT, BISHOP), searches.relies_on(state, scope, tied=False)),
        ("F_av", averaged, (say("others-rows-2", on_it=on_it), BISHOP), circle),
    )  # fmt: skip
    for name, answers, method, rests in rows:
        _record_other(scope, name, answers, method, rests, empty)


def _record_other(
    scope: Scope,
    name: str,
    answers: Found,
    method: tuple[str, Source],
    rests: Sequence[Value],
    empty: NDArray[np.bool_],
) -> None:
    """Record the factors of another method or model; ``rests`` is what its surfaces are found from."""
    value = answers.array(lambda result: result.factor)
    nothing = np.isnan(value)
    title, source = method
    scope.reading(name, value, ["factor_set", "stage"], title=title, source=source, inputs=rests, mask=nothing,
                  reason=NO_BALANCE if (nothing & ~empty).any() else EMPTY)  # fmt: skip


def _demand(searches: Searches) -> None:
    """The tension that stability asks of the reinforcement: largest over sides and states."""
    lowest = searches.lowest
    if lowest is None:
        return
    sheet, section = searches.sheet, searches.section
    largest = np.zeros([len(sheet.axes[name]) for name in ("factor_set", "stage")])
    short = False
    for side, state in product(sides(section, layers=True), searches.states()):
        for v, k in searches.falling_short(f"slip{state.ending}{side.ending}"):
            demand = _force(searches, side, state, lowest, v, k)
            largest[v, k] = np.maximum(largest[v, k], demand.force if demand else 0.0)
            short = short or demand is None or demand.uncovered < demand.safety
    sheet.reading("T_stab", largest, ["factor_set", "stage"], title=say("reading-t-stab-title"),
                  source=SEARCH, inputs=_rests_of_demand(searches, lowest),
                  note=say("reading-t-stab-note"))  # fmt: skip
    if short:
        sheet.limitation(
            "slip-uncovered",
            say("limitation-slip-uncovered"),
            "project rule ◇",
        )


def _rests_of_demand(searches: Searches, lowest: int) -> list[Value]:
    """What the demand follows from: the factors without reinforcement, and where the layer lies that is to give it."""
    without = [
        searches.sheet.scopes[f"slip{state.ending}{side.ending}"]["F_B0"]
        for side, state in product(sides(searches.section, layers=True), searches.states())
    ]
    tie = searches.sheet.scopes[f"slip_tie_{lowest}"]
    return [searches.sheet["gamma_Re"], *without, *(tie[name] for name in ("z_rk", "x_rl", "x_rr"))]


def _force(searches: Searches, side: Side, state: State, place: int, v: int, k: int) -> RequiredForce | None:
    """The force that one layer must give in one case, between its ends; None where it lies above the fill."""
    section = searches.section
    cases = [searches.case(v, k, state, tied=False, way=way) for way in searches.ways]
    case = cases[0]
    assert case is not None  # noqa: S101 - the case has been looked at before
    ties = model(section, replace(case, ties=(Ties(place, 1.0),))).reinforcement
    if not ties:
        return None
    safety = float(searches.sheet["gamma_Re"].array[v, k])
    reach = ties[0].x_left, ties[0].x_right
    local = searches.searches_of_berms(case, side)
    demands = [
        force_asked(
            Wanted(model(section, case), search, direction_of(side), searches.slices, ties[0].level, reach, safety,
                   searches.tolerance)
        )
        for case in cases if case is not None
        for search in (searches.search, *local)
    ]  # fmt: skip
    uncovered = float(np.fmin.reduce([demand.uncovered for demand in demands]))
    return replace(max(demands, key=lambda demand: demand.force), uncovered=uncovered)
