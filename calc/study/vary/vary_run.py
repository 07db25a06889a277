"""From a design with its table [vary] to the studies of its sections."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from hashlib import sha256

from calc.chain import Run, run_checks
from calc.engine.sheet import Limitation, Verdict
from calc.formulas.reliability import normal_correlation
from calc.inputs import Design, InputErrors, Section
from calc.inputs.reading.problems import InputError
from calc.inputs.tables.vary import DATA, Vary
from calc.inputs.tables.vary_rules import correlation_matrix
from calc.kept import KeptFiles
from calc.run_progress import Tell
from calc.study.changed import number_at
from calc.study.chunks import KeptChunks
from calc.study.engines import Engine
from calc.study.turning import turning
from calc.study.vary.data_file import data_of, files_beside
from calc.study.vary.depth_fields import MOST_VARIABLES, DepthField, fields_of
from calc.study.vary.factors_of_one import with_factors_of_one
from calc.study.vary.marginals import Marginal, joint, marginal
from calc.study.vary.one_at_a_time import ends_of
from calc.study.vary.project_values import thick_sublayers, values_outside
from calc.study.vary.section_models import Recipe, by_sublayer, models_of, studied_sections, verdict_of
from calc.study.vary.slip_models import follow_slip
from calc.study.vary.study import Asked, Means, Studied, study_section
from calc.study.vary.vary_refusals import (
    refuse_broken_rules,
    refuse_undivided,
    refuse_unknown,
    refuse_unknown_early,
    too_many_sublayers,
)


@dataclass(frozen=True)
class Varied:
    """The studies of a design, with the design that has all partial factors at 1.

    `files` are the hashes of the files that were read beside the project file.
    """

    design: Design
    vary: Vary
    of_one: Design
    sections: tuple[Studied, ...]
    files: Mapping[str, str] = field(default_factory=dict)

    @property
    def outcome(self) -> str:
        """Over all targets: "fail" where one is missed, "incomplete" where one stays open; "pass" without targets."""
        judgements = {answer.judgement for section in self.sections for answer in section.answers}
        return "fail" if "fail" in judgements else "incomplete" if "open" in judgements else "pass"


def vary_run(
    design: Design, vary: Vary, engine: Engine, tell: Tell | None = None, files: KeptFiles | None = None
) -> Varied:
    """Study every section that the table names; `InputErrors` for data and verdicts that do not fit.

    Replicates are kept in `files`, so that a run that was broken off goes on from them.
    """
    sections = studied_sections(design, vary.sections, [state.verdict for state in vary.limit_states])
    known = _marginals(design, vary, sections[0])
    files_read = {name: sha256(content).hexdigest() for name, content in files_beside(design, vary).items()}
    stated = [section for section in sections if section.position is None]
    for section in stated:
        refuse_broken_rules(design, vary, section, [ends_of(varied, known) for varied in vary.inputs])
    refuse_unknown_early(design, vary, sections, tell)
    trial = replace(design, sections=sections)
    factored, of_one = run_checks(trial, tell), with_factors_of_one(trial)
    ones = run_checks(of_one, tell)
    results = design.results_file.sha256 if design.results_file else ""
    about = f"{design.sha256} {results} {[marginal_of.data_hash for marginal_of in known.values()]}"
    kept = (lambda question: KeptChunks(files, f"vary {about} {question}")) if files else None
    means = Means(engine, kept, tell)
    refuse_unknown(design, vary, stated, (factored, ones))
    studied = tuple(
        _study(vary, section, known, (factored, ones), means)
        for section in of_one.sections if section.position is None
    )  # fmt: skip
    return Varied(design, vary, of_one, studied, files_read)


def _marginals(design: Design, vary: Vary, section: Section) -> dict[str, Marginal]:
    """The distributions by path; every file with wrong data is told at once."""
    by_path, wrong = dict[str, Marginal](), list[InputError]()
    for place, varied in enumerate(vary.inputs):
        try:
            data = data_of(design, section, varied, place) if varied.distribution == DATA else None
        except InputErrors as errors:
            wrong += errors.errors
            continue
        if varied.distribution is not None:
            by_path[varied.path] = marginal(varied, data)
    if wrong:
        raise InputErrors(wrong)
    return by_path


def _study(
    vary: Vary, section: Section, known: Mapping[str, Marginal], runs: tuple[Run, Run], means: Means
) -> Studied:  # fmt: skip
    _, ones = runs
    base = {varied.path: number_at(ones.design, section, varied.path) for varied in vary.inputs}
    ends = [ends_of(varied, known) for varied in vary.inputs]
    ranges = tuple((end.path, (end.low, end.high)) for end in ends)
    recipe = replace(_recipe(ones.design, vary, section), ranges=ranges)
    fields = _fields(ones, vary, section)
    recipe = replace(recipe, fields=fields)
    parts = by_sublayer(ones.design, recipe) if fields else None
    follow = partial(follow_slip, means.engine) if fields or not vary.by_sublayer else refuse_undivided
    asked = list[Asked]()
    for state in vary.limit_states:
        means.say(f"section {section.key}, {state.verdict}: what its inputs reach")
        of = models_of(ones, replace(recipe, verdict=state.verdict), [*known], follow, parts)
        factored, unfactored = (verdict_of(run, section.key, state.verdict) for run in runs)
        turned = turned_of(runs, section.key, (factored, unfactored))
        asked.append(Asked(state, factored, unfactored, of.model, of.why, of.beside, of.apart, turned=turned))
    fixed = {path: value for path, value in base.items() if path not in known}
    scores = correlation_matrix(vary, normal_correlation)
    together = joint([known[varied.path] for varied in vary.with_distributions], scores, fixed, fields)
    studied = study_section(vary, asked, together, ends, base, means, names=(section.key, section.title))
    return replace(studied, outside=(*values_outside(vary.inputs, base, known), *thick_sublayers(fields)))


def _fields(ones: Run, vary: Vary, section: Section) -> tuple[DepthField, ...]:
    """The fields of a section, in the sublayers of its run; `InputErrors` where these are too many."""
    ran = next(part.section for part in ones.sections if part.section.key == section.key)
    fields = fields_of(ones.design, ran, vary)
    count = len(vary.with_distributions) + sum(len(depth_field.parts) - 1 for depth_field in fields)
    if fields and count > MOST_VARIABLES:
        raise InputErrors([too_many_sublayers(ones.design, vary, fields, count)])
    return fields


def turned_of(runs: Sequence[Run], section: str, verdicts: Sequence[Verdict]) -> tuple[Limitation, ...]:
    """The limitations that can turn a verdict in any of the runs of a section, each key in its first text."""
    by_key: dict[str, Limitation] = {}
    for run, verdict in zip(runs, verdicts, strict=True):
        sheets = next(part.sheets for part in run.sections if part.section.key == section)
        for limit in turning(sheets, verdict):
            by_key.setdefault(limit.key, limit)
    return (*by_key.values(),)


def _recipe(design: Design, vary: Vary, section: Section) -> Recipe:
    files = [("project.toml", design.text)]
    if design.results_file is not None:
        name = design.results_file.name
        files.append((name, (design.source.parent / name).read_bytes()))
    verdicts = tuple(state.verdict for state in vary.limit_states)
    return Recipe(tuple(files), vary.sections, verdicts, tuple(varied.path for varied in vary.inputs), section.key, "")
