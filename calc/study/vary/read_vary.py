"""A record of the study as its pages read it: every field checked, and held against the project file that it is of."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from calc.chain import Run
from calc.inputs import Design
from calc.inputs.tables.monitoring import Measure
from calc.inputs.tables.vary import SUBLAYERS, Vary
from calc.inputs.tables.vary_rules import number_of
from calc.study.study_record import Count, Number, Part, RecordFile, StudyRecord, Text
from calc.study.vary.depth_fields import MOST_VARIABLES, DepthField
from calc.study.vary.section_models import known_verdicts, studied_sections
from calc.study.vary.vary_record import asked_of

SAME = 1e-9  # machines differ in the last bits of a sum or a power
MOST_INPUTS, MOST_STATES, MOST_SECTIONS, MOST_POINTS, MOST_COURSE = 40, 20, 60, 512, 32

Open = Number | None  # null: infinite, or no number
Share = Annotated[float, Field(ge=0, le=1)]
Judgement = Literal["pass", "fail", "open", "not judged"]


Values = Annotated[tuple[Number, ...], Field(min_length=1, max_length=MOST_VARIABLES)]


class RecordedField(Part):
    """The sublayers in which an input has values of their own."""

    paths: Annotated[tuple[Text, ...], Field(min_length=1, max_length=MOST_VARIABLES)]
    top: Number
    thickness: Annotated[tuple[Annotated[float, Field(gt=0, le=1e4)], ...], Field(max_length=MOST_VARIABLES)]
    correlation_length: Annotated[float, Field(gt=0, le=1e12)]
    averaging_length: Annotated[float, Field(gt=0, le=1e12)] | None

    @model_validator(mode="after")
    def _alike(self) -> Self:
        if len(self.paths) != len(self.thickness):
            message = "have a thickness for each path"
            raise ValueError(message)
        return self


class RecordedInput(Part):
    """A varied input in a section."""

    path: Text
    project: Number
    low: Number
    high: Number
    ends_are_fractiles: bool
    distribution: Text | None
    mean: Number | None
    standard_deviation: Number | None
    reduction: Number | None
    source: Text
    by_sublayer: RecordedField | None

    @model_validator(mode="after")
    def _with_moments(self) -> Self:
        if (None in (self.mean, self.standard_deviation, self.reduction)) != (self.distribution is None):
            message = "have mean, standard_deviation and reduction with a distribution, and none without"
            raise ValueError(message)
        return self

    @property
    def field(self) -> DepthField | None:
        """Its sublayers, None where the layer has one value."""
        if (sublayers := self.by_sublayer) is None:
            return None
        return DepthField(self.path, sublayers.paths, sublayers.thickness, sublayers.top,
                          (0.0,) * len(sublayers.paths), sublayers.correlation_length,
                          sublayers.averaging_length or 0.0)  # fmt: skip


class Bar(Part):
    """Utilisation at both ends of an input."""

    path: Text
    at_low: Open
    at_high: Open


class Effect(Part):
    """Elementary effects of an input."""

    path: Text
    mean_size: Number
    bound: Number
    scatter: Number


class VarianceShare(Part):
    """Shares of the variance of an input."""

    path: Text
    first: Number
    first_bound: Number
    total: Number
    total_bound: Number


class Estimate(Part):
    """A probability of failure with its bounds."""

    value: Annotated[float, Field(ge=0, le=1e6)]  # weights of importance sampling have no upper bound
    low: Annotated[float, Field(ge=0, le=1e6)]
    high: Annotated[float, Field(ge=0, le=1e6)]
    failures: Count
    points: Annotated[int, Field(ge=1, le=2**53)]


class Scatter(Part):
    """First points of the sampling over an input."""

    path: Text
    sublayer: Text | None
    values: Annotated[tuple[Number, ...], Field(min_length=1, max_length=MOST_POINTS)]
    utilisations: Annotated[tuple[Open, ...], Field(max_length=MOST_POINTS)]

    @model_validator(mode="after")
    def _alike(self) -> Self:
        if len(self.values) != len(self.utilisations) or all(utilisation is None for utilisation in self.utilisations):
            message = "have a utilisation for each value, and one at least"
            raise ValueError(message)
        return self


Row = tuple[Annotated[float, Field(ge=1, le=1e15)], Share, Share, Share]


class Sampling(Estimate):
    """Plain Monte Carlo; `course` has rows of points used, estimate, lower and upper bound."""

    mean: Open
    standard_deviation: Open
    without_solution: Count
    course: Annotated[tuple[Row, ...], Field(min_length=1, max_length=MOST_COURSE)]
    first_points: Count
    scatter: Scatter | None

    @model_validator(mode="after")
    def _rising(self) -> Self:
        used = [row[0] for row in self.course]
        if sorted(set(used)) != used:
            message = "have a course whose points rise"
            raise ValueError(message)
        return self


class FormProfile(Part):
    """The design point in every sublayer."""

    design_values: Values
    sensitivity: Values


class Form(Part):
    """The design point."""

    index: Number
    design_values: dict[Text, Number]
    sensitivity: dict[Text, Number]
    by_sublayer: dict[Text, FormProfile]
    points: Count


class SubsetRecord(Part):
    """Subset simulation."""

    value: Share
    variation: Open
    points: Count


class Surfaces(Part):
    """Known slip surfaces against whole searches."""

    surfaces: Count
    stages: tuple[Text, ...]
    searches: Count
    points: Count
    search_has_more: Open
    search_has_less: Open


class Index(Part):
    """Reliability index with its bounds."""

    value: Open
    low: Open
    high: Open


class Target(Part):
    """A target and what the study says of it."""

    index: Number
    reliability_class: Annotated[Text | None, Field(alias="class")]
    source: Text | None
    judgement: Judgement
    supported: bool
    unless: tuple[Text, ...]


class Turning(Part):
    """A limitation that can turn the verdict."""

    key: Text
    text: Text
    source: Text


class LeftOut(Part):
    """What is not given, and why."""

    what: Literal["chained", "apart", "effects", "shares", "form", "subset"]
    why: Text


class State(Part):
    """What was found for one limit state."""

    verdict: Text
    title: Text
    state: Text
    factor_set: Text
    utilisation: Number
    case: dict[Text, Text]
    utilisation_factors_of_one: Open
    swings: Annotated[tuple[Bar, ...], Field(max_length=MOST_INPUTS)]
    effects: Annotated[tuple[Effect, ...], Field(max_length=MOST_INPUTS)]
    shares: Annotated[tuple[VarianceShare, ...], Field(max_length=MOST_INPUTS)]
    monte_carlo: Sampling | None
    form: Form | None
    importance_sampling: Estimate | None
    design_points: Count
    subset_simulation: SubsetRecord | None
    known_surfaces: Surfaces | None
    chained: bool
    apart: tuple[Text, ...]
    chain_run_at: Literal["", "design point", "points"]
    confirmed: bool
    rows_of_data: Count
    counts: Literal["Monte Carlo", "importance sampling"] | None
    probability: Estimate | None
    index: Index | None
    target: Target | None
    limitations: tuple[Turning, ...]
    open: tuple[LeftOut, ...]

    def paths(self) -> Iterator[str]:
        """Every input that it names."""
        yield from (row.path for rows in (self.swings, self.effects, self.shares) for row in rows)
        yield from self.apart
        if self.form is not None:
            yield from [*self.form.design_values, *self.form.sensitivity, *self.form.by_sublayer]
        if self.monte_carlo is not None and self.monte_carlo.scatter is not None:
            yield self.monte_carlo.scatter.path


class RecordedSection(Part):
    """What was found for one section."""

    key: Text
    title: Text
    inputs: Annotated[tuple[RecordedInput, ...], Field(min_length=1, max_length=MOST_INPUTS)]
    random_variables: Count
    outside: Annotated[tuple[Text, ...], Field(max_length=2 * MOST_INPUTS)]
    limit_states: Annotated[tuple[State, ...], Field(min_length=1, max_length=MOST_STATES)]

    @model_validator(mode="after")
    def _of_its_inputs(self) -> Self:
        strange = {path for state in self.limit_states for path in state.paths()} - {
            recorded.path for recorded in self.inputs
        }
        if strange:
            message = f"speak of its inputs alone, not of {', '.join(sorted(strange))[:200]}"
            raise ValueError(message)
        counts = {
            recorded.path: len(recorded.by_sublayer.paths) if recorded.by_sublayer else 0 for recorded in self.inputs
        }
        for state in self.limit_states:
            for path, profile in (state.form.by_sublayer if state.form else {}).items():
                if {len(profile.design_values), len(profile.sensitivity)} != {counts[path]}:
                    message = f"have a design value and a weight for every sublayer of {path[:200]}"
                    raise ValueError(message)
        return self


class Settings(Part):
    """Numbers of points, and rules."""

    seed: Count
    points: Count
    replicates: Count
    confidence: Number
    trajectories: Count
    levels: Count
    resamples: Count
    base_points: Count
    enough_failures: Count


class RecordedCorrelation(Part):
    """A rank correlation."""

    between: tuple[Text, Text]
    rank: Number
    source: Text


class VaryRecord(StudyRecord):
    """The whole record."""

    study: Literal["vary"]
    outcome: Literal["pass", "fail", "incomplete"]
    factor_set: Text
    settings: Settings
    correlations: tuple[RecordedCorrelation, ...]
    sections: Annotated[tuple[RecordedSection, ...], Field(min_length=1, max_length=MOST_SECTIONS)]


@dataclass(frozen=True)
class ReadVary:
    """A study as its pages have it: what the record says, and the project file that it is of."""

    design: Design
    vary: Vary
    record: VaryRecord


def held_against(file: RecordFile, design: Design, record: VaryRecord) -> ReadVary:
    """A record with the table [vary] of its project file; `InputErrors` where it answers something else."""
    if (vary := design.vary) is None:
        file.refuse("study", "be of a project file with a table [vary]", "vary")
    sections = [section.key for section in studied_sections(design, vary.sections, ()) if section.position is None]
    inputs = [(varied.path, varied.distribution, varied.source) for varied in vary.inputs]
    states = [(state.verdict, state.target, state.reliability_class, state.source if state.target else None)
              for state in vary.limit_states]  # fmt: skip
    lengths = [(number_of(varied.correlation_length), number_of(varied.averaging_length or Measure(0.0)))
               if varied.vertical == SUBLAYERS else None for varied in vary.inputs]  # fmt: skip
    asked = asked_of(vary)
    pairs: list[tuple[str, object, object]] = [
        ("sections", [section.key for section in record.sections], sections),
        *((name, record.model_dump(mode="json")[name], asked[name]) for name in asked),
    ]
    for k, section in enumerate(record.sections):
        at = f"sections.{k}"
        pairs.append((f"{at}.inputs", [(each.path, each.distribution, each.source) for each in section.inputs], inputs))
        pairs += [(f"{at}.inputs.{n}.by_sublayer", _lengths(each), wanted) for n, (each, wanted) in enumerate(
            zip(section.inputs, lengths, strict=False)) if each.by_sublayer is not None]  # fmt: skip
        pairs.append((f"{at}.limit_states", [_target_of(each) for each in section.limit_states], states))
    for path, said, wanted in pairs:
        if said != wanted:
            file.refuse(path, "be those that [vary] of the project file asks for", "others")
    return ReadVary(design, vary, record)


def _lengths(recorded: RecordedInput) -> tuple[float, float] | None:
    return None if recorded.field is None else (recorded.field.scale, recorded.field.average)


def _target_of(state: State) -> tuple[str, float | None, str | None, str | None]:
    target = state.target
    return (state.verdict, *((target.index, target.reliability_class, target.source) if target else (None, None, None)))


def refuse_other_numbers(file: RecordFile, record: VaryRecord, run: Run) -> None:
    """Hold what a record says of the verdicts with the project's factors against the run that it is printed with."""
    for k, section in enumerate(record.sections):
        known = known_verdicts(run, section.key)
        for n, state in enumerate(section.limit_states):
            verdict = known.get(state.verdict)
            ratio = (verdict.utilisation or 0.0) / verdict.limit if verdict else 0.0
            same = verdict is not None and abs(state.utilisation - ratio) <= SAME * abs(ratio) and (
                (state.title, state.state, state.factor_set) == (verdict.title, verdict.stamp, verdict.factor_set)
            )  # fmt: skip
            if not same:
                file.refuse(
                    f"sections.{k}.limit_states.{n}.utilisation",
                    f"be that of the calculation, {ratio:.6g} for {state.verdict[:100]}",
                    f"{state.utilisation:.6g} ({state.state[:20]})",
                )
