"""The cases of the slip searches: states of the ground, stress shares, strength of the reinforcement."""

from collections.abc import Callable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from calc.chapters.shared.column_zones import zone_sheets
from calc.chapters.shared.frame import frame
from calc.chapters.shared.geometry import (
    NAMES,
    Berm,
    Profile,
    berm_places,
    crest_places,
    place_of,
    profile,
)
from calc.chapters.shared.heads import BELOW, BOTTOM, HEADS, TOP
from calc.chapters.shared.mats import ACROSS
from calc.chapters.shared.mobilised import tension_by_stage
from calc.chapters.shared.other_values import OtherSheets
from calc.chapters.shared.sloping_layers import across_places
from calc.chapters.shared.soft_ground import Side
from calc.chapters.shared.zones import ZONES
from calc.chapters.stability.search_settings import (
    DEEP,
    SETTINGS,
    deep_search,
    number,
    record_search,
    search_around,
    search_of_slope,
    search_within_fill,
    whole,
)
from calc.chapters.stability.slip_ground import LOADS, SOILS, STRIP, record_fill, record_gain, record_ground, record_tie
from calc.chapters.stability.slip_zones import ZoneInSlip
from calc.chapters.stability.stage_model import Case, Read, Ties, model
from calc.chapters.stability.states import DRAINED, END, END_CELL, LIFT, LIFT_CELL, State
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.stages import Stage
from calc.procedures.slip import Circle, Result, Search
from calc.procedures.slip.model import Direction, Line, Method
from calc.procedures.stage_search import Asked, Floats, Found, Question, over_stages

say = words_of(__name__)

EMPTY = say("no-fill")
NO_BALANCE = say("no-balance")


@dataclass(frozen=True)
class Searched:
    """The decisive surfaces of one state over (factor set, stage), with the scope that records them."""

    scope: Scope
    answers: Found
    utilisation: float
    kappa: Callable[[int, int], Mapping[int, float]]


@dataclass(frozen=True)
class WithinFill:
    """Circles within the fill of a side over (factor set, stage), with title, scope and case of their verdict."""

    title: str
    scope: Scope
    answers: Found
    case: Mapping[str, str]


class Searches:
    """The cross-sections of a section over (factor set, stage), and what is asked of them."""

    def __init__(self, sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
        self.sheet, self.design, self.section = sheet, design, section
        assert section.slip is not None  # noqa: S101 - asked before
        self.slip = section.slip
        self.frame = frame(design, section)
        self.stages = self.frame.stages
        # Vertical inertia upward and downward; the same cross-section, asked once, where the earth does not shake.
        self.ways = (1.0, -1.0) if section.earthquake else (0.0,)
        self.columns = done["columns"]
        self.zones = tuple(
            ZoneInSlip(zone, section.columns.has_length(zone.zone)) for zone in zone_sheets(section, done)
        )
        self.heads = done["ground"].scopes.get(HEADS)
        self.across = [k for k, mat in enumerate(section.reinforcement) if mat.direction in ACROSS]
        self.lowest = min(self.across, key=lambda k: section.reinforcement[k].level, default=None)
        self.tension = {k: tension_by_stage(sheet, section, done, k) for k in self.across}
        self._record(done)
        tie = None if self.lowest is None else sheet.scopes[f"slip_tie_{self.lowest}"]
        self.settings = record_search(sheet, section, self.slip, done, tie)
        self.search, self.slices = deep_search(self.settings), whole(self.settings, "n_sl")
        self.tolerance = number(self.settings, "eps_F")
        self.strips = sheet.axes["strip"] if LOADS in sheet.scopes else ()
        self.bottom = float(sheet.scopes[STRIP]["z_bot"].array)
        self.ends_at_failure = False

    def _record(self, done: dict[str, Sheet]) -> None:
        """Record what the model is made of: soils and places, fill and gain of the states, layers across."""
        sheet, section = self.sheet, self.section
        record_ground(sheet, section, self.frame, done)
        record_fill(sheet, section, done, END.ending, sheet["p_M"])
        lift = LIFT.of(sheet)
        record_fill(sheet, section, done, LIFT.ending, lift["p_Mb"], sheet["q_pl"])
        record_gain(sheet, END.ending, sheet["Dc_u"])
        by_cell = [END_CELL] if END_CELL.shares[0] in sheet.scopes else []
        for state in by_cell:
            record_gain(sheet, state.ending, state.of(sheet)["Dc_u"])
        for zone in self.zones:
            for state in (END, *by_cell):
                zone.record(sheet, state)
        for k in self.across:
            record_tie(sheet, section, k)

    def of_other_values(self, sheets: OtherSheets) -> "Searches":
        """The same searches, whose cross-sections are made of other values of the record."""
        other: Any = copy(self)
        other.sheet, other.columns = sheets["stability"], sheets["columns"]
        other.heads = sheets["ground"].scopes.get(HEADS)
        other.tension = {k: other.sheet.scopes[f"mobilised_{k}"]["T_mob"] for k in self.across}
        other.settings = other.sheet.scopes[SETTINGS]
        other.search = deep_search(other.settings)
        return other  # type: ignore[no-any-return]  # what reads sheets reads these as well

    def place(self, stage: int, *, placing: bool = False) -> Profile:
        """The places of the cross-section at the end of a stage, or while its lift is placed."""
        return profile(self.columns, self.stages[stage], self.stages[stage - 1] if placing and stage else "")

    def read(self, label: Mapping[str, str]) -> Read:
        """What reads the recorded values of the slip model at a case."""

        def number(scope: str, name: str, soil: str = "", strip: str = "") -> float:
            case = {**label, "soil": soil, "strip": strip}
            value = (self.sheet.scopes[scope] if scope else self.sheet)[name].number(case)
            assert value is not None, f"{scope} {name} {soil}"  # noqa: S101 - what is modelled has a number
            return value

        return number

    def states(self) -> Sequence[State]:
        """The states that the project asks for."""
        drained = (DRAINED,) if self.slip.drained else ()
        shared = [state for state in (LIFT_CELL, END_CELL) if state.shares[0] in self.sheet.scopes]
        cell = tuple(state for state in shared if self._has_case(state))
        return (LIFT, END, *cell, *drained)

    def _has_case(self, state: State) -> bool:
        """Whether any case belongs to a state."""
        factor_sets = range(len(self.sheet.axes["factor_set"]))
        return any(self.case(v, k, state) for v in factor_sets for k in range(len(self.stages)))

    def case(self, factor_set: int, stage: int, state: State, *, tied: bool = True, way: float = 0.0) -> Case | None:
        """One analysis, None where the stage has no fill or the state does not belong; ``way``: sign of k_v."""
        label = {"stage": self.stages[stage], "factor_set": self.sheet.axes["factor_set"][factor_set]}
        filled_stage = self.frame.filled[stage]
        place = self.place(stage, placing=state.lift)
        if filled_stage is None or not self._belongs(filled_stage, place, label, state):
            return None
        scope = state.of(self.sheet)

        def number(name: str) -> float:
            return scope[name].number(label) or 0.0

        soil, column = state.share_names
        sleeve = state.sleeve(self.sheet)
        ties = tuple(Ties(k, held.number(label) or 0.0) for k, held in self.tension.items())
        return Case(
            filled_stage, place, self.read(label), state.drained, (number(soil), number(column)), number("a_E"),
            fill=state.fill, gain=state.gain if number("Dc_u") else "", held=number("V_toe"),
            c_eq=(sleeve.number(label) or 0.0) if sleeve else 0.0,
            ties=ties if tied else (), heads=self._heads(stage), column_heads=self._column_heads(stage),
            strips=self.strips,
            k_v=way * (self.sheet.scopes[STRIP]["k_v"].number(label) or 0.0) if way else 0.0,
            zones=tuple(strip for zone in self.zones for strip in zone.strips(state, label)),
        )  # fmt: skip

    def _heads(self, stage: int) -> Line | None:
        """Piezometric levels over depth in the soil, from the bottom up."""
        if self.heads is None:
            return None
        ground, points = self.section.ground_level, []
        for layer in self.sheet.axes["layer"]:
            for point in (TOP, BOTTOM, BELOW):
                case = {"stage": self.stages[stage], "point": point, "layer": layer}
                depth, head = (self.heads[name].number(case) or 0.0 for name in ("z_p", "h_p"))
                points.append((ground - depth, ground + head))
        return tuple(reversed(points))

    def _column_heads(self, stage: int) -> Line | None:
        """Piezometric levels in the columns: at rest with the water level, or losing the head of the aquifer evenly."""
        if self.heads is None:
            return None
        label, ground = {"stage": self.stages[stage]}, self.section.ground_level
        depth, below, gradient = (self.heads[name].number(label) or 0.0 for name in ("d_B", "d_w", "i_col"))
        top, base, water = min(ground - below, ground), ground - depth, ground - below
        return (base, water + gradient * (top - base)), (top, water)

    def _belongs(self, stage: Stage, place: Profile, label: dict[str, str], state: State) -> bool:
        """Whether a stage has fill and the state belongs to it."""
        if not above(place.crest, place.ground):
            return False
        if state.lift and LIFT.of(self.sheet)["p_nf"].number(label) is None:
            return False  # nothing is placed, no plant works on it
        # A higher ratio lowers the resistance by the lower gain alone: the columns carry more with it.
        pairs = [(state.of(self.sheet), self.sheet), *((zone.scope(state), zone.sheet) for zone in self.zones)]
        if state.cell and all((scope["Dc_u"].number(label) or 0) >= (value_before["Dc_u"].number(label) or 0)
                              for scope, value_before in pairs):  # fmt: skip
            return False
        return not state.drained or stage.situation == "persistent"

    def relies_on(
        self, state: State, scope_of_state: Scope | None = None, *, tied: bool = True, search: Sequence[str] = DEEP
    ) -> list[Value]:
        """What the cases of a state are made of, and the settings of the search; shares as ``own`` has them."""
        scope, sleeve = state.of(self.sheet), state.sleeve(self.sheet)
        names = ["a_E", "gamma_Re", "q_o", *state.share_names, *(["q_pl"] if state.lift else []), state.makeup]
        names += ["V_toe", "gamma_Go", "gamma_phi", "gamma_c", *([] if state.drained else ["gamma_cu", "Dc_u"])]
        cohesion = [sleeve] if sleeve else []
        shares = scope_of_state.values if scope_of_state is not None and state.shares else {}
        values = [shares[name] if name in state.share_names and name in shares else scope[name] for name in names]
        inputs = [*values, *cohesion, *(self.tension.values() if tied else ())]
        inputs += [value for zone in self.zones for value in zone.relies_on(state)]
        return [*inputs, *self.model_values(state, tied=tied), *(self.settings[name] for name in search)]

    def model_values(self, state: State, *, tied: bool) -> list[Value]:
        """The recorded values that the slip model of a state reads."""
        strengths = ["phi_d", "c_d", *([] if state.drained else ["c_utd", "rho_utd"])]
        places = [
            name for name in ("x_Pl", "x_Pr", "d_crk", "h_crk", "k_h", "k_v") if name in self.sheet.scopes[STRIP].values
        ]
        gain = [] if state.drained else [(state.gain, ["c_utg"]), (STRIP, ["x_ml", "x_mr"])]
        gain += [] if state.drained else [(zone.gain_scope(state), ["c_utg"]) for zone in self.zones]
        ties = [(f"slip_tie_{k}", ["z_rk", "x_rl", "x_rr", "mu_po", "mu_pob", "f_tie"]) for k in self.across if tied]
        across = ["z_ltl", "z_ltr"] if self.section.slopes else []
        scopes = [
            (SOILS, ["gamma_dw", "gamma_drw", *strengths, "z_lt", *across, "gamma_wd"]),
            *([(LOADS, ["x_l1", "x_l2", "p_lst"])] if self.strips else []),
            (STRIP, ["z_bot", "z_w", "i_see", *places]), (state.fill, ["gamma_dw", "s_last", "q_cr"]), *gain, *ties,
        ]  # fmt: skip
        profiles = [place_of(self.columns, name) for name in NAMES]
        profile_values = [self.sheet[name] for name in ("d_c", "kappa_g")]
        profiles += [*crest_places(self.columns), *berm_places(self.columns), *across_places(self.columns)]
        zones = self.columns.scopes.get(ZONES)
        profiles += [zones["h_zb"], zones["h_zt"]] if zones else []
        heads = [] if self.heads is None else [self.heads[name] for name in ("h_p", "z_p", "i_col", "d_B", "d_w")]
        return [
            *profiles,
            *profile_values,
            *heads,
            *(self.sheet.scopes[scope][name] for scope, names in scopes for name in names),
        ]

    def stages_evaluated(self, factor: Floats) -> list[str]:
        """The stages with a number."""
        return [label for k, label in enumerate(self.stages) if not np.isnan(factor[:, k]).all()]

    def falling_short(self, scope: str) -> list[tuple[int, int]]:
        """Indices of (factor set, stage) that are not safe enough without the reinforcement."""
        without = self.sheet.scopes[scope]["F_B0"].array
        with np.errstate(invalid="ignore"):
            short = without < self.sheet["gamma_Re"].array
        return [(int(v), int(k)) for v, k in np.argwhere(short)]

    def ask(
        self, side: Side, state: State, method: Method, *, change: Callable[[Case], Case | None] = lambda case: case,
        at: Found | None = None, near: bool = False,
    ) -> Found:  # fmt: skip
        """Search every case of a state, or look at the circles ``at`` which another search has found, or near them.

        A case that ``change`` makes None is left out. Of both ways of vertical inertia the lower factor counts.
        """
        return least_of([self._ask(side, state, method, way, change, at, near=near) for way in self.ways])

    def _ask(
        self, side: Side, state: State, method: Method, way: float, change: Callable[[Case], Case | None],
        at: Found | None, *, near: bool,
    ) -> Found:  # fmt: skip
        berms = slopes_of_berms(self.section, side)

        def asked_at(factor_set: int, stage: int) -> list[Asked | None]:
            """The question of a case, and behind it those about the slopes of berms, where anything is searched."""
            there = self.case(factor_set, stage, state, way=way)
            case = None if there is None else change(there)
            if case is None:
                return [None] * (1 + berms)
            known = at.results[factor_set][stage] if at else None
            surface = self.search if known is None else known.surface
            if near and isinstance(surface, Circle):
                surface = search_around(self.settings, surface)
            local = self.searches_of_berms(case, side) if known is None else []
            asked = [self.question(case, side, method, search) for search in (surface, *local)]
            return [*asked, *[None] * (1 + berms - len(asked))]

        factor_sets = range(len(self.sheet.axes["factor_set"]))
        asked = [[asked_at(v, k) for k in range(len(self.stages))] for v in factor_sets]
        rows, *beside = ([[cell[place] for cell in row] for row in asked] for place in range(1 + berms))
        return self._with_those_beside(over_stages(rows, every=at is None), beside, every=True)

    def searches_of_berms(self, case: Case, side: Side) -> list[Search]:
        """The same search about the slope of a berm, which a grid over the whole slope is coarse for.

        With a lower berm about both slopes as one, and about the lower one.
        """
        berm = berm_of(case.place, side)
        toe = berm.steps[-1].toe if berm else None
        return [search_of_slope(self.search, step.edge, toe) for step in berm.steps] if berm and toe else []

    @staticmethod
    def _with_those_beside(answers: Found, beside: Sequence[Sequence[Sequence[Asked | None]]], *, every: bool) -> Found:
        """The least of the answers and of those to further questions over the same cases, where there are any."""
        asked = [rows for rows in beside if any(any(row) for row in rows)]
        return least_of([answers, *(over_stages(rows, every=every) for rows in asked)]) if asked else answers

    def within_fill(self, side: Side) -> Found:
        """Search every stage for the circle that stays above the ground level; None where none is deep enough."""
        return least_of([self._within_fill(side, way) for way in self.ways])

    def _within_fill(self, side: Side, way: float) -> Found:
        cases = [
            [self.case(v, k, END, way=way) for k in range(len(self.stages))]
            for v in range(len(self.sheet.axes["factor_set"]))
        ]
        rows = [
            [None if case is None else self._above_level(case, side, case.place.ground) for case in row]
            for row in cases
        ]
        beside = [
            [[None if case is None else self._above_berm(case, side, step) for case in row] for row in cases]
            for step in range(slopes_of_berms(self.section, side))
        ]
        return self._with_those_beside(over_stages(rows, every=False), beside, every=False)

    def questions_within_fill(self, case: Case, side: Side) -> list[Asked]:
        """All searches within the fill that one case is asked for."""
        berms = [self._above_berm(case, side, step) for step in range(slopes_of_berms(self.section, side))]
        asked = [self._above_level(case, side, case.place.ground), *berms]
        return [question for question in asked if question is not None]

    def _above_berm(self, case: Case, side: Side, step: int) -> Asked | None:
        """The slope above a berm, or above the lower one, by itself."""
        berm = berm_of(case.place, side)
        question = self._above_level(case, side, berm.steps[step].inner[1]) if berm else None
        if berm is None or question is None or not isinstance(question.surface, Search):
            return None
        crest = case.place.left_edge if direction_of(side) == "left" else case.place.right_edge
        edge = (crest, *(above.edge for above in berm.steps))[step]
        return replace(question, surface=search_of_slope(question.surface, edge, berm.steps[step].inner))

    def _above_level(self, case: Case, side: Side, low: float) -> Asked | None:
        high = case.read(SETTINGS, "z_ini")
        if not above(high, low):
            return None
        question = self.question(case, side, "bishop", search_within_fill(self.settings, low, high))
        (first, _), (last, _) = question.model.surface[0], question.model.surface[-1]
        floor = (first, low), (last, low)
        return replace(question, model=replace(question.model, hard=floor, truncate=False))

    def question(self, case: Case, side: Side, method: Method, surface: Question) -> Asked:
        """The question for one case."""
        cut = model(self.section, case)
        return Asked(cut, surface, method, direction_of(side), self.slices, self.tolerance)


def slopes_of_berms(section: Section, side: Side) -> int:
    """The number of berms on the side on which the mass slides."""
    berm = section.embankment.berms.get(direction_of(side))
    return len(berm.steps) if berm else 0


def berm_of(place: Profile, side: Side) -> Berm | None:
    """The berm on the side on which the mass slides."""
    return place.left_berm if direction_of(side) == "left" else place.right_berm


def least_of(answers: Sequence[Found]) -> Found:
    """The decisive result of every case."""

    def least(v: int, k: int) -> Result | None:
        known = [result for result in (answer.results[v][k] for answer in answers) if result is not None]
        return min(known, key=lambda result: result.factor, default=None)

    rows = answers[0].results
    return Found(tuple(tuple(least(v, k) for k in range(len(rows[v]))) for v in range(len(rows))))


def direction_of(side: Side) -> Direction:
    """The way the mass slides on a side; where both sides are alike the right one stands for both."""
    return "left" if side.ending == "_left" else "right"
