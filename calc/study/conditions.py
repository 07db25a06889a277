"""What has to hold at the dates of a section, by its ground in time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from calc.chapters.consolidation.ratio import counted_ratios, least_ratio
from calc.chapters.shared.frame import AS_GIVEN, HIGH, LOW, SCENARIOS
from calc.chapters.shared.ground_in_time import PLASTIC, by_plastic_column, ground_in_time, settlement_laws, sleeve_laws
from calc.chapters.shared.programme import opening, steps_of
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.consolidation_strength import gain_above_given, stress_by_share
from calc.inputs import Design, Section
from calc.procedures.ground_in_time import GroundInTime
from calc.study.chapters import chapters
from calc.study.date_search import Check, Condition, Dates

say = words_of(__name__)

GAIN, DEGREE, RATIO, RESIDUAL = "gain", "degree", "stress ratio", "residual settlement"
AFTER = 1.0  # day by which steps that are not dated yet follow the date considered; nothing of them counts there
KEPT = 4096
MM, PERCENT = 1000.0, 100.0


@dataclass(frozen=True, slots=True)
class Needed:
    """Gain (kPa) that a stage needs where it counts on the computed one, and what asks for it."""

    gain: float
    kind: str
    title: str


class Ground:
    """The checks of the dates of a section; ``course`` is the case of c_h that governs, the only one followed here."""

    def __init__(self, design: Design, section: Section, done: Mapping[str, Sheet], scenario: str = AS_GIVEN) -> None:
        self.section = section
        self.needed: dict[int, Needed] = {}
        model = ground_in_time(design, section, dict(done))
        self.model = model.of_scenario(SCENARIOS.index(scenario))
        # A gain is credited at the lower end of the range; of the residual settlement the largest of the range counts.
        self.ends = {end: model.of_scenario(SCENARIOS.index(end)) for end in (LOW, HIGH)}
        # The larger residual settlement of two methods counts: laws of the second one for the same steps.
        second = by_plastic_column(model, design, section, dict(done))
        self.second = {name: getattr(second, name) for name in ("settled", "settled_long", "permanent")}
        bearing = chapters(design, section, until="bearing", done=done)["bearing"].scopes
        whole = bearing.get("rest")
        # What the ground below the toes settles in time depends on the dates: all of it counts here, on the safe side.
        counted = "s_b" if "below_time" in bearing else "s_bre"
        self.below = float(whole[counted].array) if whole else 0.0  # m, at any date
        self.limits = residual_limits(design, section)
        self.steps = steps_of(section)
        scope = done["consolidation"].scopes["gain"]
        self.strength = {name: scope[name].array for name in ("sigma_v0s", "sigma_ph", "S_nc", "c_u")}
        self.shares = {name: scope[name].array for name in ("mu_sb", "p_Gb", "zeta_p")}
        self.secondary = "secondary" in done["consolidation"].scopes
        self.counted = [ratio for ratio, _ in counted_ratios(section)]
        self.opening = opening(section)
        ratio = done["consolidation"].scopes.get("ratio")
        # One row a stage, stage 0 first; what is under a stage does not depend on the dates.
        self.transfer = ratio["mu_sf"].array if ratio else np.zeros((0, 0))
        self.a_E = float(done["columns"]["a_E"].array)
        self.dated = lru_cache(KEPT)(self._with_dates)
        self.looked = 0

    def take_settlement(self, cell: Sheet, labels: Sequence[str]) -> None:
        """Take the settlement of the steps ``labels`` from another unit cell.

        The date at which the works end sets the stiffness of the sleeve then, and nothing else of the model.
        """
        laws = sleeve_laws(self.section, cell, list(labels), cell.axes["layer"])
        self.model = replace(self.model, **laws)
        self.ends = {end: replace(ground, **laws) for end, ground in self.ends.items()}
        self.second |= settlement_laws(self.section, cell, list(labels), cell.axes["layer"], PLASTIC)
        self.dated.cache_clear()

    def checks(self, place: int) -> Sequence[Check]:
        """The checks of a stage, by its place from 0, or of the hand-over after the last one."""
        if place == len(self.section.stages):
            return [self.residual] if self.limits and self.secondary else []
        stage = self.section.stages[place]
        checks: list[Check] = [self.degree] if stage.degree_min else []
        checks += [self.ratio] if self.counted[place] > 1 else []
        asks = isinstance(stage.c_u_gain, float) or (place in self.needed and self.needed[place].gain > 0)
        return [*checks, self.gain] if asks else checks

    def degree(self, dates: Dates) -> Condition:
        """Degree of consolidation under the load placed before, in percent."""
        stage = self.section.stages[len(dates) - 1]
        title = say("degree", stage=stage.name)
        required = PERCENT * (stage.degree_min or 0.0)
        return Condition(DEGREE, title, PERCENT * self._degree(dates), required, "%", decimals=1)

    def _degree(self, dates: Dates, *, end: str = "") -> float:
        place = len(dates) - 1
        before = sum(step < place for step in self.steps)
        law = float(self.model.settled.sum(axis=-1)[before - 1]) if before else 0.0
        if law <= 0:
            return 0.0
        return float(self.dated(dates, end).settlement_at(dates[-1:]).total().value()[0, 0, 0]) / law

    def ratio(self, dates: Dates) -> Condition:
        """Least stress ratio of all sublayers under the load placed before, against the one counted with."""
        place = len(dates) - 1
        title = say("ratio", stage=self.section.stages[place].name)
        return Condition(RATIO, title, self._ratio(dates), self.counted[place])

    def _ratio(self, dates: Dates, *, end: str = "") -> float:
        share = self.dated(dates, end).drained_at(dates[-1:])[0, 0]
        ratio = float(least_ratio(share, self.transfer[len(dates)], self.a_E))
        return 1.0 if np.isnan(ratio) else ratio

    def gain(self, dates: Dates) -> Condition:
        """Gain of strength at the start of a stage against the one that it counts on, or that its verdicts need."""
        place = len(dates) - 1
        stage = self.section.stages[place]
        counted = stage.c_u_gain if isinstance(stage.c_u_gain, float) else 0.0
        asks = self.needed.get(place, Needed(counted, GAIN, say("gain", stage=stage.name)))
        return Condition(asks.kind, asks.title, self.gain_at(dates), asks.gain, "kN/m²", decimals=2)

    def gain_at(self, dates: Dates) -> float:
        """Least gain of strength (kPa) of all sublayers at the last of the dates, with the ratio for stability."""
        place = len(dates) - 1
        before = sum(step < place for step in self.steps)
        if not before:
            return 0.0
        law = self.model.soil_stress[:, before - 1]
        gained = self.dated(dates, LOW).stress_gain_at(dates[-1:])[0, :, 0]
        share = np.divide(gained, law, out=np.zeros_like(law), where=law != 0)
        at, required = place + 1, self.section.stages[place].degree_min or 1.0
        degree = np.minimum(share.min(axis=0), required)
        stress = stress_by_share(
            sigma_v0s=self.strength["sigma_v0s"][at], U_b=degree, mu_sb=self.shares["mu_sb"][at],
            zeta_p=self.shares["zeta_p"], p_Gb=self.shares["p_Gb"][at],
        )  # fmt: skip
        strengths = {name: self.strength[name] for name in ("S_nc", "c_u")}
        return float(np.min(gain_above_given(**strengths, sigma_vt=stress, sigma_ph=self.strength["sigma_ph"][at])))

    def residual(self, dates: Dates) -> Condition:
        """Residual settlement after a hand-over in mm, against what leaves it the least room."""
        limit, reached = self._tightest(dates)
        return Condition(RESIDUAL, limit.title, MM * reached, MM * limit.value, "mm", decimals=1, most=True)

    def _tightest(self, dates: Dates) -> tuple["Residual", float]:
        residuals = [(limit, self._residual(dates, limit.ends)) for limit in self.limits]
        return min(residuals, key=lambda pair: pair[0].value - pair[1])

    def _residual(self, dates: Dates, ends: Sequence[str]) -> float:
        at = dates[-1]
        both = (ground for end in ends for ground in self._model_by_both_methods(dates, end))
        return max(float(ground.residual_at([at])[0, 0]) for ground in both) + self.below

    def _model_by_both_methods(self, dates: Dates, end: str) -> tuple[GroundInTime, GroundInTime]:
        """The model before a hand-over by both methods of the unit cell."""
        *starts, at = dates
        # Only where traffic goes with it does the hand-over set the end of the works: elsewhere one model serves all.
        standard = self.dated(tuple(starts), end, at if self.opening else None)
        return standard, replace(standard, **self.second)

    def low(self, kind: str, dates: Dates) -> float | None:
        """What a condition at the last of the dates reaches with c_h at the lower end of its range."""
        if kind == DEGREE:
            return PERCENT * self._degree(dates, end=LOW)
        if kind == RATIO:
            return self._ratio(dates, end=LOW)
        return MM * self._residual(dates, (LOW,)) if kind == RESIDUAL else None

    def parts(self, dates: Dates) -> dict[str, float]:
        """What the residual settlement after a hand-over consists of, in mm."""
        at = dates[-1]
        models = [self.dated(dates[:-1], end, at) for end in self._tightest(dates)[0].ends]
        both = [replace(model, **laws) for model in models for laws in ({}, self.second)]
        ground = max(both, key=lambda model: float(model.residual_at([at])[0, 0]))
        ends = np.array([at, at + ground.life])

        def total(values: NDArray[np.float64]) -> NDArray[np.float64]:
            return np.asarray(MM * values[0])

        primary = total(ground.settlement_at(ends).total().value()[..., 0])
        handed = float(MM * ground.handed_over_at([at])[0, 0])
        long = total(ground.settlement_at(ends, long=True).total().value()[..., 0])
        secondary = total(ground.secondary_at(ends).sum(axis=-1))
        return {
            say("primary"): float(primary[1]) - handed,
            say("creep"): float(long[1] - primary[1]),
            say("secondary"): float(secondary[1] - secondary[0]),
            **({say("below"): MM * self.below} if self.below else {}),
        }

    def _with_dates(self, dates: Dates, end: str = "", hand_over: float | None = None) -> GroundInTime:
        """The model with the stages that have dates; the others follow, where nothing of them counts."""
        self.looked += 1
        place = len(dates) - 1
        after = dates[-1] + self.section.stages[place].duration
        begin, ends = [], []
        for k, step in enumerate(self.steps):
            start = dates[step] if step <= place else after + AFTER * (k + 1)
            begin.append(start)
            ends.append(start + self.section.stages[step].duration if step <= place else start)
        return self.ends.get(end, self.model).with_dates(
            tuple(begin), tuple(ends), hand_over or max(after, ends[-1]), after
        )


@dataclass(frozen=True, slots=True)
class Residual:
    """A residual settlement (m) that something is said about: its words, and the c_h that it holds for."""

    value: float
    title: str
    ends: tuple[str, ...]


def residual_limits(design: Design, section: Section) -> list[Residual]:
    """The limit, for every c_h of the range, and the attention level of monitoring, for c_h as given."""
    limit = design.basis.limits.settlement_residual
    limits = [] if limit is None else [Residual(limit, say("residual"), ("", LOW, HIGH))]
    levels = [
        trigger.level.value
        for trigger in (section.monitoring.triggers if section.monitoring else ())
        if trigger.quantity == RESIDUAL and trigger.kind == "attention" and trigger.level.value is not None
    ]
    return limits + [Residual(level, say("attention"), ("",)) for level in levels]
