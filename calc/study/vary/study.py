"""The whole study: what each verdict hangs on, and how probable it is that it does not hold."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from scipy.stats import binom

from calc.engine.sheet import Limitation, Verdict
from calc.engine.words import words_of
from calc.inputs.tables.vary import LimitState, Vary
from calc.run_progress import Progress, Tell
from calc.study.chunks import Keeping, KeptChunks
from calc.study.engines import Engine
from calc.study.vary.design_points import DesignPoint, NoDesignPointError, NoEstimateError, Subset, design_point, subset
from calc.study.vary.in_chunks import NoNumberError, utilisations
from calc.study.vary.indices import Effect, Share, morris, sobol
from calc.study.vary.marginals import Floats, Joint, Model
from calc.study.vary.one_at_a_time import Ends, Swing, largest_first, tornado
from calc.study.vary.point_values import PointValues, further_points, point_values
from calc.study.vary.sampling import (
    Probability,
    Question,
    Sampled,
    first_points,
    normal_blocks,
    reliability_index,
    sampled_replicates,
)
from calc.study.vary.section_models import Followed
from calc.study.vary.slip_models import BySurfaces
from calc.study.vary.surface_rounds import SettledSurfaces, settled_surfaces

say = words_of(__name__)

TAIL = 0.025
"""Chance of so many failures of plain Monte Carlo below which it contradicts importance sampling: half of 5 %."""
ENOUGH = 100
"""Failures from which plain Monte Carlo is taken by itself; project rule (coefficient of variation about 10 %)."""
AGREES = 3.0
"""Within how many coefficients of variation, of logarithms, subset simulation must confirm importance sampling."""
SPANS = 3.0
"""By how many of them its ends lie beyond it, which the bounds span as well; both are project rules."""
AROUND = 4096
"""Directions for each two inputs in which nothing may fail just nearer than the design point; project rule."""
NEARER = 0.999
TOLD = 2000  # points of a search after which a line tells of it
IMPORTANCE, DIRECTIONS = 1, 2  # streams of random numbers; those of plain Monte Carlo have 0
MC, IS = "Monte Carlo", "importance sampling"


@dataclass(frozen=True)
class Asked:
    """A limit state of a section: the verdict with the project's factor sets, and that with factors of 1.

    `why` says why only the chain itself can evaluate it, for the tornado alone; without it is followed. With inputs
    `apart` that is so for these alone: `beside` evaluates them, and `model` the others.
    """

    state: LimitState
    partial: Verdict
    of_one: Verdict
    model: Model
    why: str = ""
    beside: Model | None = None
    apart: tuple[str, ...] = ()
    surfaces: SettledSurfaces | None = None
    turned: tuple[Limitation, ...] = ()

    @property
    def key(self) -> str:
        """Chapter and key of the verdict."""
        return self.state.verdict

    @property
    def chained(self) -> bool:
        """Whether the chain alone can evaluate it."""
        return bool(self.why) and not self.apart

    def own(self, joint: Joint) -> Joint:
        """The inputs of `model`."""
        fixed = {path: value for path, value in joint.fixed.items() if path not in self.apart}
        return replace(joint, fixed=fixed)


@dataclass
class Answer:
    """What was found for one limit state; what is left out says why in `open`.

    `alone` is whether nothing fails nearer than the design point in any of many directions. `rows` are the fewest
    data that a distribution is made of, 0 without data. `chain_at` says where in the sampled space the chain itself
    gave what its record gives.
    """

    asked: Asked
    base: float
    swings: list[Swing]
    effects: list[Effect] = field(default_factory=list)
    shares: list[Share] = field(default_factory=list)
    sampled: Sampled | None = None
    form: DesignPoint | None = None
    importance: Probability | None = None
    subset: Subset | None = None
    at_point: PointValues = field(default_factory=PointValues)
    design_points: int = 1
    alone: bool = False
    rows: int = 0
    chain_at: Literal["", "design point", "points"] = ""
    open: list[tuple[str, str]] = field(default_factory=list)

    @property
    def method(self) -> str:
        """Which estimate counts: plain Monte Carlo, or importance sampling that subset simulation confirms."""
        if self.sampled is None:
            return ""
        return IS if self.sampled.probability.failures < ENOUGH and self.confirmed else MC

    @property
    def confirmed(self) -> bool:
        """Whether importance sampling agrees with subset simulation and with the bounds of plain Monte Carlo."""
        importance, simulated, plain = self.importance, self.subset, self.sampled
        if importance is None or simulated is None or plain is None or not self.alone or importance.value <= 0:
            return False
        if (
            simulated.value <= 0
            or not abs(math.log(simulated.value / importance.value)) <= AGREES * simulated.variation
        ):
            return False
        few = plain.probability
        return importance.low <= few.high and binom.sf(few.failures - 1, few.points, min(importance.high, 1.0)) >= TAIL

    @property
    def probability(self) -> Probability | None:
        """The probability of failure that counts; bounds of importance sampling span those of subset simulation.

        Importance sampling around one design point does not see another one, subset simulation does.
        """
        if self.method != IS or self.importance is None or self.subset is None:
            return self.sampled.probability if self.sampled else None
        reach = math.exp(SPANS * self.subset.variation)
        low, high = self.subset.value / reach, self.subset.value * reach
        return replace(self.importance, low=min(self.importance.low, low), high=max(self.importance.high, high))

    @property
    def indices(self) -> tuple[float, float, float] | None:
        """Reliability index: estimate, lower and upper bound."""
        estimate = self.probability
        return None if estimate is None else (
            reliability_index(estimate.value), reliability_index(estimate.high), reliability_index(estimate.low)
        )  # fmt: skip

    @property
    def judgement(self) -> str:
        """Against the target: "pass" where even the lower bound reaches it, "fail" where not even the upper one does.

        Without a target "not judged", otherwise "open"; no target is reached that the data do not support.
        """
        target = self.asked.state.target
        if target is None:
            return "not judged"
        if self.indices is None:
            return "open"
        _, low, high = self.indices
        return "fail" if high < target else "pass" if low >= target and not self.unsupported else "open"

    @property
    def unsupported(self) -> bool:
        """Whether the target's probability lies below one over the rows of data, at whose extremes they end."""
        target = self.asked.state.target
        return target is not None and self.rows > 0 and target > reliability_index(1 / self.rows)


@dataclass(frozen=True)
class Means:
    """Who works out chunks, where they are kept (by the words of their question), and whom to tell."""

    engine: Engine
    kept: Callable[[str], KeptChunks] | None = None
    tell: Tell | None = None

    def say(self, text: str) -> None:
        """Tell what begins."""
        if self.tell:
            self.tell(Progress(text, 0.0, opens=True))

    def keeping(self, question: str) -> Keeping:
        """The engine, which keeps its chunks under a question and tells of them."""
        return Keeping(self.engine, self.kept(question) if self.kept else None, self.tell,
                       f"section {question}: chunk {{done}} of {{count}}")  # fmt: skip

    def asking(self, question: str, model: Model, joint: Joint, key: str) -> Callable[[Floats], Floats]:
        """A limit state, kept in the groups that are asked; says what it is asked for, then of every so many points."""
        words = f"section {question}"
        self.say(words)
        by = Keeping(self.engine, self.kept(question) if self.kept else None, None, "")
        asked = [0]

        def state(u: Floats) -> Floats:
            margins = 1.0 - utilisations(model, joint.values(u), by)[key]
            before, asked[0] = asked[0], asked[0] + len(u)
            if self.tell:
                opens = before // TOLD != asked[0] // TOLD
                self.tell(Progress(f"{words}, {asked[0]} points", 0.0, opens=opens))
            return margins

        return state


@dataclass(frozen=True)
class Studied:
    """One section: its inputs, its answers, and the normal scores of the points of the scatter.

    `outside` says which values of the project lie outside of what [vary] says of them.
    """

    section: str
    title: str
    joint: Joint
    ends: tuple[Ends, ...]
    base: Mapping[str, float]
    answers: tuple[Answer, ...]
    scores: Floats
    outside: tuple[str, ...] = ()


def study_section(
    vary: Vary, asked: Sequence[Asked], joint: Joint, ends: Sequence[Ends], base: Mapping[str, float],
    means: Means, *, names: tuple[str, str],
) -> Studied:  # fmt: skip
    """Everything that can be said of the limit states of a section; `names` are its key and title."""
    means.say(f"section {names[0]}: one input at a time")
    answers = []
    for state in [_with_surfaces(state, vary, joint, means) for state in asked]:
        own, inside = _inside(state, ends, base)
        question = f"{names[0]}, {state.key}"
        by = means.keeping(f"{question} tornado")
        at, swings = tornado(state.model, inside, own, by, 1 if state.chained else None)
        answers.append(Answer(state, at[state.key], swings[state.key], rows=joint.rows))
        if state.beside is not None:
            others = [end for end in ends if end.path in state.apart]
            by = means.keeping(f"{question} tornado by the chain")
            more = tornado(state.beside, base, others, by, 1)[1][state.key]
            answers[-1].swings = largest_first([*answers[-1].swings, *more])
        if state.why:
            answers[-1].open.append(("chained" if state.chained else "apart", state.why))
    many = [answer for answer in answers if not answer.asked.chained]
    for answer in many:
        means.say(f"section {names[0]}, {answer.asked.key}: sensitivity")
        _rank(answer, vary, answer.asked.own(joint), *_inside(answer.asked, ends, base), means, names[0])
    scores = np.zeros((0, joint.size))
    for answer in many if joint.size else ():
        means.say(f"section {names[0]}, {answer.asked.key}: reliability")
        own_scores = _rely(answer, vary, answer.asked.own(joint), means, names[0])
        scores = own_scores if len(own_scores) else scores
    return Studied(*names, joint, tuple(ends), dict(base), tuple(answers), scores)


def _with_surfaces(state: Asked, vary: Vary, joint: Joint, means: Means) -> Asked:
    """A limit state by known slip surfaces with those that whole searches find where it decides."""
    if not isinstance(state.model, BySurfaces):
        return state
    if not joint.size:  # the ends of the ranges are searched already, and nothing else is sampled
        return replace(state, surfaces=SettledSurfaces(state.model, 0, 1 + len(state.model.recipe.ends), 0.0, 0.0))
    surfaces = settled_surfaces(
        state.model, state.own(joint), vary.points, vary.seed, means.engine, means.tell, means.kept
    )
    return replace(state, model=surfaces.model, surfaces=surfaces)


def _inside(
    state: Asked, ends: Sequence[Ends], base: Mapping[str, float]
) -> tuple[list[Ends], dict[str, float]]:  # fmt: skip
    """Ends and project's values of the inputs of its model."""
    own = [end for end in ends if end.path not in state.apart]
    return own, {path: value for path, value in base.items() if path not in state.apart}


def _rank(
    answer: Answer,
    vary: Vary,
    joint: Joint,
    ends: Sequence[Ends],
    base: Mapping[str, float],
    means: Means,
    section: str,
) -> None:
    key, model = answer.asked.key, answer.asked.model
    engine = means.keeping(f"{section}, {key} Morris")
    answer.effects = morris(model, base, ends, joint, vary.seed, engine)[key]
    if not answer.effects:
        answer.open.append(("effects", say("no-effects")))
    if not joint.size:
        answer.open.append(("shares", say("no-distribution")))
    elif vary.correlations:
        answer.open.append(("shares", say("correlated")))
    else:
        engine = means.keeping(f"{section}, {key} Sobol'")
        answer.shares = sobol(model, joint, vary.points, vary.seed, engine)[key]
        if not answer.shares:
            answer.open.append(("shares", say("no-variance")))


def _rely(answer: Answer, vary: Vary, joint: Joint, means: Means, section: str) -> Floats:
    """Monte Carlo, design point, importance sampling around it, subset simulation; the scores of the scatter."""
    key, model = answer.asked.key, answer.asked.model
    words = f"section {section}, {key}: replicate {{done}} of {{count}}"
    question = Question(model, joint, vary.seed, vary.points, (key,), words=words)
    kept = means.kept(f"{section} {key} {MC}") if means.kept else None
    by_verdict, scores = sampled_replicates(question, vary.replicates, means.engine, kept, means.tell)
    answer.sampled = by_verdict[key]

    def asking(what: str) -> Callable[[Floats], Floats]:
        return means.asking(f"{section}, {key}: {what}", model, joint, key)

    try:
        searched = asking("design point")
        answer.form = design_point(searched, joint.size, _starts(searched, joint, vary))
    except (NoDesignPointError, NoNumberError) as error:
        answer.open.append(("form", str(error)))
    # Failure lies outside of the ranges: what decides is held against the chain there.
    if isinstance(model, Followed) and (why := _unconfirmed(model, answer, joint, vary)):
        answer.sampled = answer.form = None
        answer.open.append(("chained", why))
        return np.zeros((0, joint.size))
    if answer.form is not None:
        answer.at_point = point_values(joint, answer.form)
    if answer.sampled.probability.failures < ENOUGH:
        try:
            answer.subset = subset(asking("subset simulation"), joint.size, vary.seed)
        except NoEstimateError as error:
            answer.open.append(("subset", str(error)))
        if answer.form is not None and answer.form.index > 0:
            further = asking("further design points") if joint.fields else None
            beside = further_points(further, answer.form, joint, vary.points) if further else None
            around = replace(question, centre=answer.form.u, beside=beside, stream=IMPORTANCE)
            answer.design_points = around.centres
            kept = means.kept(f"{section} {key} {IS} {around.places}") if means.kept else None
            answer.alone = _alone(asking("around the design point"), answer.form, vary.seed)
            answer.importance = sampled_replicates(around, vary.replicates, means.engine, kept, means.tell)[0][
                key
            ].probability
    return scores


def _alone(state: Callable[[Floats], Floats], form: DesignPoint, seed: int) -> bool:
    """Whether no failure lies just nearer to the medians than the design point, in directions spread over the sphere.

    A second region that falls off steeply, or has no solution, is seen neither from the design point nor by subset
    simulation, which follows the flattest way.
    """
    size = len(form.u)
    count = AROUND * 2 ** math.ceil(math.log2(max(size, 2) / 2))
    return not any(
        (state(u * (NEARER * form.index / np.linalg.norm(u, axis=1)[:, None])) < 0).any()
        for u in normal_blocks(size, count, (seed, DIRECTIONS))
    )


def _unconfirmed(model: Followed, answer: Answer, joint: Joint, vary: Vary) -> str:
    """Why the chain does not give what its record gives where that decides, or nothing.

    That is the design point. Where none was found it is the worst of the first points of the sampling and, of those
    that fail, the one nearest to the medians.
    """
    surfaces = answer.asked.surfaces
    if surfaces is not None and not math.isfinite(surfaces.lower):
        return say("no-surface")
    points = answer.form.u[None] if answer.form else _deciding_points(answer, joint, vary)
    if not len(points):
        return say("no-point")
    values = joint.values(points)
    for k in range(len(points)):
        if why := model.confirm({path: float(array[k]) for path, array in values.items()}):
            return why
    answer.chain_at = "design point" if answer.form else "points"
    return ""


def _deciding_points(answer: Answer, joint: Joint, vary: Vary) -> Floats:
    assert answer.sampled is not None  # noqa: S101 - sampled before
    points, scatter = first_points(joint.size, vary.points, vary.seed), answer.sampled.scatter
    solved = np.isfinite(scatter)
    if not solved.any():
        return points[:0]
    places = {int(np.where(solved, scatter, -np.inf).argmax())}
    failing = solved & (scatter > 1)
    if failing.any():
        places.add(int(np.where(failing, np.linalg.norm(points, axis=1), np.inf).argmin()))
    return points[sorted(places)]


def _starts(state: Callable[[Floats], Floats], joint: Joint, vary: Vary) -> list[Floats]:
    """Where the search begins: at the medians, and at the worst of the first points of the sampling."""
    points = first_points(joint.size, vary.points, vary.seed)
    values = state(points)
    finite = np.where(np.isfinite(values), values, np.inf)
    return [np.zeros(joint.size), points[int(finite.argmin())]]
