"""The study as pages, of its record: inputs, what was found for every limit state, the lines behind it, its limits."""

import math
from collections.abc import Iterator
from typing import Any

from markupsafe import Markup

from calc import __version__
from calc.engine.typeset import set_quantity
from calc.engine.words import words_of
from calc.inputs.reading import units
from calc.inputs.tables.vary import NORMAL, SUBLAYERS, VariedInput
from calc.inputs.tables.vary_rules import number_of
from calc.package.attached import Appendix
from calc.package.equations import Picture
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import cut
from calc.study.study_chapter import attached_rows, study_appendix
from calc.study.turning import limitation_numbers, numbers_of
from calc.study.vary.depth_fields import MOST_VARIABLES
from calc.study.vary.design_points import LEVEL, PER_LEVEL
from calc.study.vary.indices import LEVELS, RESAMPLES, SHARED, TRAJECTORIES
from calc.study.vary.one_at_a_time import HIGH, LOW
from calc.study.vary.point_values import MOST_CENTRES
from calc.study.vary.read_vary import Estimate, ReadVary, RecordedInput, RecordedSection, State
from calc.study.vary.sampling import FIRST, reliability_index
from calc.study.vary.slip_models import NEAR
from calc.study.vary.study import AGREES, AROUND, ENOUGH, MC, SPANS
from calc.study.vary.surface_rounds import CLOSE, ROUNDS
from calc.study.vary.varied_amounts import amount_text, shown_unit
from calc.study.vary.vary_figures import course_picture, scatter_picture, shares_picture, tornado_picture
from calc.study.vary.vary_lines import calculation, lines
from calc.study.vary.vary_text import (
    index_text,
    infinite,
    judgement_text,
    probability_text,
    ratio_text,
    share_text,
    signed_weight,
)

say = words_of(__name__)

NONE = "–"
ABREAST = 3  # sublayers beside each other in the table of a design point
STUDY = "vary"
Row = dict[str, Any]


def _amount(varied: VariedInput, value: float) -> str:
    """A value of an input as the package sets numbers and units."""
    return set_quantity(amount_text(varied, value))


def vary_pages(of: ReadVary) -> bytes:
    """The pages as PDF/A."""
    project = of.design.project
    revision = project.revisions[-1]
    head = [
        (say("project"), f"{project.number}, {project.title}"),
        (say("to"), say("revision-of", document=project.document, label=revision.label)),
    ]
    context = {
        "title": say("title"), "document": project.document, "version": __version__,
        "date": revision.date.isoformat(),
        "running": {
            "section": say("title"), "project": cut(project.title, 78), "document": cut(project.document, 50),
            "revision": cut(say("revision", label=revision.label), 52),
            "program": f"sandsleeve {__version__} · {say('title')}",
            "people": cut(say("people", name=of.design.people.originator.name), 60),
        },
        "head": [*head, *_head(of)], "body": _body(of),
    }  # fmt: skip
    html = environment().get_template("study-file.html").render(context)
    return render_pdf(html, (), revision.date)


def vary_appendix(of: ReadVary) -> Appendix:
    """The same as the last chapter of a package, to which the record is attached."""
    titles = {"pass": say("title"), "fail": say("title-missed"), "incomplete": say("title-open")}
    head = [*_head(of), *attached_rows(STUDY, of.record)]
    return study_appendix(STUDY, titles[of.record.outcome], head, _body(of))


def _body(of: ReadVary) -> Markup:
    html = environment().get_template("vary.html").render(
        title=say("title"), caution=say("caution"), words=dict(_words()),
        sections=[_section(of, section) for section in of.record.sections],
        limits=list(_limits(of)),
    )  # fmt: skip
    return Markup(html)  # noqa: S704 - written by a template which escapes


def _words() -> Iterator[tuple[str, str]]:
    yield "inputs-title", say("inputs-title")
    yield "input", say("input")
    yield "project", say("project-value")
    yield "range", say("range")
    yield "distribution", say("distribution")
    yield "source", say("source")
    yield "summary-title", say("summary-title")
    yield "state", say("state")
    yield "partial", say("partial")
    yield "of-one", say("of-one")
    yield "failure", say("failure")
    yield "index", say("index")
    yield "by", say("by")
    yield "target", say("target")
    yield "low", say("low")
    yield "high", say("high")
    yield "effect", say("effect")
    yield "scatter", say("scatter-column")
    yield "first", say("first")
    yield "total", say("total")
    yield "alpha", say("alpha")
    yield "design", say("design")
    yield "estimate", say("estimate")
    yield "points", say("points")
    yield "lines-title", say("lines-title")
    yield "sublayer", say("sublayer")
    yield "what", say("what")
    yield "equation", say("equation")
    yield "result", say("result")
    yield "limits-title", say("limits-title")


def _head(of: ReadVary) -> list[tuple[str, str]]:
    settings = of.record.settings
    return [
        (say("hash"), of.record.inputs_sha256[:16]),
        (say("factors"), say("factors-text")),
        (say("sampling"), say("sampling-text", replicates=settings.replicates, points=settings.points,
                              seed=settings.seed)),
    ]  # fmt: skip


def _section(of: ReadVary, section: RecordedSection) -> Row:
    shown = {varied.path: varied for varied in of.vary.inputs}
    return {
        "title": say("section", key=section.key, title=section.title),
        "inputs": [_input(recorded, shown[recorded.path]) for recorded in section.inputs],
        "outside": section.outside,
        "correlated": [say("correlated", one=correlation.between[0], other=correlation.between[1],
                           rank=f"{correlation.rank:g}",
                           source=correlation.source) for correlation in of.record.correlations],
        "summary": [_summary(state) for state in section.limit_states],
        "answers": [_answer(state, section, shown) for state in section.limit_states],
        "lines": list(lines(calculation(of, section))),
    }  # fmt: skip


def _input(recorded: RecordedInput, shown: VariedInput) -> Row:
    text = say("ends", low=_amount(shown, recorded.low), high=_amount(shown, recorded.high))
    return {
        "path": recorded.path, "project": _amount(shown, recorded.project),
        "range": say("fractiles", ends=text, low=f"{100 * LOW:g}", high=f"{100 * HIGH:g}")
        if recorded.ends_are_fractiles else text,
        "distribution": _distribution(recorded, shown), "source": recorded.source,
    }  # fmt: skip


def _distribution(recorded: RecordedInput, shown: VariedInput) -> str:
    if recorded.mean is None or recorded.standard_deviation is None or recorded.reduction is None:
        return say("no-distribution")
    text = say("moments", kind=recorded.distribution, mean=_amount(shown, recorded.mean),
               deviation=_amount(shown, recorded.standard_deviation))  # fmt: skip
    if recorded.reduction != 1.0:
        text = say("averaged", text=text, reduction=f"{recorded.reduction:.3f}")
    if shown.vertical != SUBLAYERS:
        return text
    parts = recorded.field
    count = say("no-sublayers") if parts is None else say("sublayers", count=len(parts.parts))
    scale = set_quantity(f"{number_of(shown.correlation_length):g} m")
    return say("by-sublayer", text=text, count=count, scale=scale)


def _summary(state: State) -> Row:
    estimate, target = state.probability, NONE
    text = say("partial-text", ratio=ratio_text(state.utilisation), stamp=state.state,
               factor_set=state.factor_set or NONE)  # fmt: skip
    if keys := numbers_of(state.limitations):
        text = say("partial-turning", text=text, keys=keys)
    if state.target is not None:
        judgement = judgement_text(state.target.judgement, say("beside") if keys else "",
                                   0 if state.target.supported else state.rows_of_data)  # fmt: skip
        target = say("target-text", target=f"{state.target.index:g}", judgement=judgement)
    return {
        "title": state.title,
        "partial": text,
        "of_one": ratio_text(infinite(state.utilisation_factors_of_one)),
        "failure": NONE if estimate is None else _range_text(estimate),
        "index": NONE if estimate is None else _index_of(estimate),
        "by": state.counts or NONE, "target": target,
        "missed": state.target is not None and state.target.judgement == "fail",
    }  # fmt: skip


def _range_text(estimate: Estimate) -> str:
    value, low, high = map(probability_text, (estimate.value, estimate.low, estimate.high))
    return say("at-most", high=high) if estimate.failures == 0 else say("bounded", value=value, low=low, high=high)


def _index_of(estimate: Estimate) -> str:
    value, low, high = map(reliability_index, (estimate.value, estimate.high, estimate.low))
    if not math.isfinite(value):
        return say("at-least", low=index_text(low))
    return say("bounded", value=index_text(value), low=index_text(low), high=index_text(high))


def _answer(state: State, section: RecordedSection, shown: dict[str, VariedInput]) -> Row:
    return {
        "title": state.title,
        "key": state.verdict,
        "figures": list(_figures(state, section, shown)),
        "pair": [figure for figure in _pair(state, shown) if figure["picture"] is not None],
        "rows": [_row(state, swing.path, shown[swing.path]) for swing in state.swings],
        "profiles": list(_profiles(state, section, shown)),
        "methods": list(_methods(state)),
        "notes": list(_notes(state)),
    }  # fmt: skip


def _figures(state: State, section: RecordedSection, shown: dict[str, VariedInput]) -> Iterator[dict[str, Any]]:
    labels = {recorded.path: (_amount(shown[recorded.path], recorded.low), _amount(shown[recorded.path], recorded.high))
              for recorded in section.inputs}  # fmt: skip
    made: list[tuple[str, Picture | None]] = [
        (say("tornado-title"), tornado_picture(state, labels)),
        (say("shares-title") if state.shares else say("effects-title"), shares_picture(state)),
    ]
    yield from ({"title": title, "picture": picture} for title, picture in made if picture is not None)


def _pair(state: State, shown: dict[str, VariedInput]) -> Iterator[dict[str, Any]]:
    """How the estimate settles, and the points over the input with a distribution that counts most."""
    yield {"title": say("course-title"), "picture": course_picture(state)}
    if state.monte_carlo is None or (scatter := state.monte_carlo.scatter) is None:
        return
    unit = shown_unit(shown[scatter.path])
    factor = float(units.factor_inside(unit)) if unit else 1.0
    printed = set_quantity(f"1 {unit}").removeprefix("1").strip()
    name = say("in-sublayer", path=scatter.path, label=scatter.sublayer) if scatter.sublayer else scatter.path
    label = say("axis", path=name, unit=printed) if unit else name
    yield {"title": say("points-title", path=name),
           "picture": scatter_picture(state.verdict, scatter, label, factor)}  # fmt: skip


def _row(state: State, path: str, varied: VariedInput) -> dict[str, str]:
    swing = next(swing for swing in state.swings if swing.path == path)
    effect = next((effect for effect in state.effects if effect.path == path), None)
    share = next((share for share in state.shares if share.path == path), None)
    alphas, design = (state.form.sensitivity, state.form.design_values) if state.form else ({}, {})
    profiles = state.form.by_sublayer if state.form else {}
    with_bound = "{:.3f} ± {:.3f}".format
    return {
        "path": path, "low": ratio_text(infinite(swing.at_low)), "high": ratio_text(infinite(swing.at_high)),
        "effect": NONE if effect is None else with_bound(effect.mean_size, effect.bound),
        "scatter": NONE if effect is None else f"{effect.scatter:.3f}",
        "first": NONE if share is None else with_bound(share.first, share.first_bound),
        "total": NONE if share is None else with_bound(share.total, share.total_bound),
        "alpha": signed_weight(alphas[path]) if path in alphas else NONE,
        "design": _amount(varied, design[path]) if path in design else say("below") if path in profiles else NONE,
    }  # fmt: skip


def _profiles(state: State, section: RecordedSection, shown: dict[str, VariedInput]) -> Iterator[Row]:
    """The design point of inputs by sublayer, as many sublayers in a row as the page holds."""
    fields = {recorded.path: recorded.field for recorded in section.inputs}
    for path, profile in (state.form.by_sublayer if state.form else {}).items():
        of = fields[path]
        assert of is not None  # noqa: S101 - the record is refused where a profile has no sublayers
        every = zip(of.labels, profile.design_values, profile.sensitivity, strict=True)
        cells = [{"label": label, "value": _amount(shown[path], value), "alpha": signed_weight(alpha)}
                 for label, value, alpha in every]  # fmt: skip
        lines_of = math.ceil(len(cells) / ABREAST)
        rows = [[cells[at] if at < len(cells) else None for at in range(line, lines_of * ABREAST, lines_of)]
                for line in range(lines_of)]  # fmt: skip
        yield {"title": say("profile-title", path=path), "rows": rows}


def _methods(state: State) -> Iterator[dict[str, str]]:
    """Every estimate of the probability beside the others."""
    if (plain := state.monte_carlo) is not None:
        yield {"by": MC, "failure": _range_text(plain), "index": _index_of(plain), "points": str(plain.points)}
    if state.form is not None:
        yield {"by": say("form"), "failure": NONE, "index": index_text(state.form.index),
               "points": str(state.form.points)}  # fmt: skip
    if (estimate := state.importance_sampling) is not None:
        by = say("importance") if state.design_points == 1 else say("importance-many", count=state.design_points)
        yield {"by": by, "failure": _range_text(estimate),
               "index": _index_of(estimate), "points": str(estimate.points)}  # fmt: skip
    if (subset := state.subset_simulation) is not None:
        yield {"by": say("subset"), "failure": say("varied", value=probability_text(subset.value),
               variation=f"{infinite(subset.variation):.2f}"), "index": index_text(reliability_index(subset.value)),
               "points": str(subset.points)}  # fmt: skip


def _notes(state: State) -> Iterator[str]:
    names = {"chained": say("chained"), "apart": say("apart", paths=", ".join(state.apart)),
             "effects": say("no-effects"), "shares": say("no-shares"),
             "form": say("no-form"), "subset": say("no-subset")}  # fmt: skip
    for left in state.open:
        yield say("open", what=names[left.what], why=left.why)
    numbers = limitation_numbers(state.limitations)
    for limit in state.limitations:
        yield say("turning", number=numbers[limit.key], text=limit.text, source=limit.source or NONE)
    plain = state.monte_carlo
    if state.chain_run_at == "design point":
        yield say("chain-at-form")
    elif state.chain_run_at == "points":
        yield say("chain-at-points", count=plain.first_points if plain else 0)
    yield from _surfaces(state)
    if plain is not None and len(plain.course) == 1:
        yield say("no-course", points=FIRST)
    if plain is not None and plain.without_solution:
        yield say("unsolved", count=plain.without_solution)
    if state.importance_sampling is not None and not state.confirmed:
        yield say("unconfirmed")
    target = state.target
    if target is not None:
        yield say("target-source", target=f"{target.index:g}", source=target.source or NONE)
        if target.reliability_class is not None:
            yield say("memory", name=target.reliability_class)


def _surfaces(state: State) -> Iterator[str]:
    """How far known slip surfaces stand for whole searches."""
    if (known_surfaces := state.known_surfaces) is None:
        return
    known, stages, near = known_surfaces.surfaces, len(known_surfaces.stages), f"{100 * NEAR:g}"
    if known_surfaces.points:
        yield say("surfaces", known=known, stages=stages, searches=known_surfaces.searches,
                  points=known_surfaces.points,
                  lower=share_text(infinite(known_surfaces.search_has_more)),
                  higher=share_text(infinite(known_surfaces.search_has_less)),
                  near=near, close=f"{100 * CLOSE:g}", rounds=ROUNDS)  # fmt: skip
    else:
        yield say("surfaces-at-ends", known=known, stages=stages, searches=known_surfaces.searches, near=near)


def _limits(of: ReadVary) -> Iterator[str]:
    """Methods with their sources, rules of the project, and what the pages do not say."""
    yield say("limit-state")
    yield say("limit-one")
    yield say("limit-fractiles", low=f"{100 * LOW:g}", high=f"{100 * HIGH:g}")
    yield say("limit-morris", trajectories=TRAJECTORIES, levels=LEVELS, shared=SHARED, resamples=RESAMPLES)
    yield say("limit-sampling")
    yield say("limit-form")
    yield say(
        "limit-small",
        enough=ENOUGH,
        agrees=f"{AGREES:g}",
        spans=f"{SPANS:g}",
        around=f"{AROUND}",
        level=f"{LEVEL:g}",
        count=PER_LEVEL,
    )
    if of.vary.correlations:
        yield say("limit-correlation")
    if any(varied.averaging_length is not None and varied.vertical != SUBLAYERS for varied in of.vary.inputs):
        yield say("limit-averaging")
    if of.vary.by_sublayer:
        yield say("limit-sublayers", most=MOST_VARIABLES, centres=MOST_CENTRES)
    if any(varied.distribution == "data" for varied in of.vary.inputs):
        yield say("limit-data")
    if any(varied.distribution == NORMAL for varied in of.vary.inputs):
        yield say("limit-normal")
    if any(not state.chained for section in of.record.sections for state in section.limit_states):
        yield say("limit-record")
    yield say("limit-model")
