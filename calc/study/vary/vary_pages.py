"""The study as pages: inputs, what was found for every limit state, the lines behind it, what it does not say."""

import math
from collections.abc import Iterator
from typing import Any

from calc import __version__
from calc.engine.typeset import set_quantity
from calc.engine.words import words_of
from calc.inputs.reading import units
from calc.inputs.tables.vary import NORMAL, VariedInput
from calc.package.equations import Picture
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import cut
from calc.study.turning import numbered, numbers_of
from calc.study.vary.design_points import LEVEL, PER_LEVEL
from calc.study.vary.indices import LEVELS, RESAMPLES, SHARED, TRAJECTORIES
from calc.study.vary.one_at_a_time import HIGH, LOW
from calc.study.vary.sampling import FIRST, Probability, reliability_index
from calc.study.vary.slip_models import NEAR
from calc.study.vary.study import AGREES, AROUND, ENOUGH, MC, SPANS, Answer, Studied
from calc.study.vary.surface_rounds import CLOSE, ROUNDS
from calc.study.vary.varied_amounts import amount_text, shown_unit
from calc.study.vary.vary_figures import course_picture, scatter_picture, shares_picture, tornado_picture
from calc.study.vary.vary_lines import calculation, lines
from calc.study.vary.vary_run import Varied
from calc.study.vary.vary_text import (
    index_text,
    judgement_text,
    probability_text,
    ratio_text,
    share_text,
)

say = words_of(__name__)

NONE = "–"
Row = dict[str, Any]


def _amount(one: VariedInput, value: float) -> str:
    """A value of an input as the package sets numbers and units."""
    return set_quantity(amount_text(one, value))


def vary_pages(of: Varied) -> bytes:
    """The pages as PDF/A."""
    project = of.design.project
    revision = project.revisions[-1]
    context = {
        "title": say("title"), "document": project.document, "version": __version__,
        "date": revision.date.isoformat(),
        "running": {
            "section": say("title"), "project": cut(project.title, 78), "document": cut(project.document, 50),
            "revision": cut(say("revision", label=revision.label), 52),
            "program": f"sandsleeve {__version__} · {say('title')}",
            "people": cut(say("people", name=of.design.people.originator.name), 60),
        },
        "head": _head(of),
        "caution": say("caution"),
        "words": dict(_words()),
        "sections": [_section(of, section) for section in of.sections],
        "limits": list(_limits(of)),
    }  # fmt: skip
    html = environment().get_template("vary.html").render(context)
    return render_pdf(html, (), revision.date)


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
    yield "what", say("what")
    yield "equation", say("equation")
    yield "result", say("result")
    yield "limits-title", say("limits-title")


def _head(of: Varied) -> list[tuple[str, str]]:
    project, vary = of.design.project, of.vary
    return [
        (say("project"), f"{project.number}, {project.title}"),
        (say("to"), say("revision-of", document=project.document, label=project.revisions[-1].label)),
        (say("hash"), of.design.sha256[:16]),
        (say("factors"), say("factors-text")),
        (say("sampling"), say("sampling-text", replicates=vary.replicates, points=vary.points, seed=vary.seed)),
    ]


def _section(of: Varied, section: Studied) -> Row:
    shown = {one.path: one for one in of.vary.inputs}
    return {
        "title": say("section", key=section.section, title=section.title),
        "inputs": [_input(section, one) for one in of.vary.inputs],
        "outside": section.outside,
        "correlated": [say("correlated", one=one.between[0], other=one.between[1], rank=f"{one.rank:g}",
                           source=one.source) for one in of.vary.correlations],
        "summary": [_summary(answer) for answer in section.answers],
        "answers": [_answer(answer, section, shown) for answer in section.answers],
        "lines": list(lines(calculation(of, section))),
    }  # fmt: skip


def _input(section: Studied, one: VariedInput) -> Row:
    ends = next(end for end in section.ends if end.path == one.path)
    text = say("ends", low=_amount(one, ends.low), high=_amount(one, ends.high))
    return {
        "path": one.path, "project": _amount(one, section.base[one.path]),
        "range": say("fractiles", ends=text, low=f"{100 * LOW:g}", high=f"{100 * HIGH:g}") if ends.fractiles else text,
        "distribution": _distribution(section, one), "source": one.source,
    }  # fmt: skip


def _distribution(section: Studied, one: VariedInput) -> str:
    if one.distribution is None:
        return say("no-distribution")
    of = next(marginal for marginal in section.joint.marginals if marginal.path == one.path)
    mean, deviation = of.moments()
    text = say("moments", kind=one.distribution, mean=_amount(one, mean), deviation=_amount(one, deviation))
    if of.reduction == 1.0:
        return text
    return say("averaged", text=text, reduction=f"{of.reduction:.3f}")


def _summary(answer: Answer) -> Row:
    partial, indices, one = answer.asked.partial, answer.indices, answer.probability
    state = answer.asked.state
    target = NONE
    text = say("partial-text", ratio=ratio_text((partial.utilisation or 0.0) / partial.limit),
               stamp=partial.stamp, factor_set=partial.factor_set or NONE)  # fmt: skip
    if keys := numbers_of(answer.asked.turned):
        text = say("partial-turning", text=text, keys=keys)
    if state.target is not None:
        judgement = judgement_text(answer, say("beside") if keys else "")
        target = say("target-text", target=f"{state.target:g}", judgement=judgement)
    return {
        "title": partial.title,
        "partial": text,
        "of_one": ratio_text(answer.base),
        "failure": NONE if one is None else _bounded(one),
        "index": NONE if indices is None else _index(*indices),
        "by": answer.method or NONE, "target": target, "missed": answer.judgement == "fail",
    }  # fmt: skip


def _bounded(one: Probability) -> str:
    value, low, high = map(probability_text, (one.value, one.low, one.high))
    return say("at-most", high=high) if one.failures == 0 else say("bounded", value=value, low=low, high=high)


def _index_of(one: Probability) -> str:
    return _index(*map(reliability_index, (one.value, one.high, one.low)))


def _index(value: float, low: float, high: float) -> str:
    if not math.isfinite(value):
        return say("at-least", low=index_text(low))
    return say("bounded", value=index_text(value), low=index_text(low), high=index_text(high))


def _answer(answer: Answer, section: Studied, shown: dict[str, VariedInput]) -> Row:
    return {
        "title": answer.asked.partial.title,
        "key": answer.asked.key,
        "figures": list(_figures(answer, section, shown)),
        "pair": [figure for figure in _pair(answer, section, shown) if figure["picture"] is not None],
        "rows": [_row(answer, one.path, shown[one.path]) for one in answer.swings],
        "methods": list(_methods(answer)),
        "notes": list(_notes(answer)),
    }  # fmt: skip


def _figures(answer: Answer, section: Studied, shown: dict[str, VariedInput]) -> Iterator[dict[str, Any]]:
    labels = {one.path: (_amount(shown[one.path], one.low), _amount(shown[one.path], one.high))
              for one in section.ends}  # fmt: skip
    made: list[tuple[str, Picture | None]] = [
        (say("tornado-title"), tornado_picture(answer, labels)),
        (say("shares-title") if answer.shares else say("effects-title"), shares_picture(answer)),
    ]
    yield from ({"title": title, "picture": picture} for title, picture in made if picture is not None)


def _pair(answer: Answer, section: Studied, shown: dict[str, VariedInput]) -> Iterator[dict[str, Any]]:
    """How the estimate settles, and the points over the input with a distribution that counts most."""
    yield {"title": say("course-title"), "picture": course_picture(answer)}
    ranked = sorted(answer.alphas, key=lambda path: -abs(answer.alphas[path])) or [one.path for one in answer.shares]
    ranked += [one.path for one in section.joint.marginals]
    if not ranked:
        return
    one = shown[ranked[0]]
    unit = shown_unit(one)
    factor = float(units.factor_inside(unit)) if unit else 1.0
    printed = set_quantity(f"1 {unit}").removeprefix("1").strip()
    label = say("axis", path=one.path, unit=printed) if unit else one.path
    yield {"title": say("points-title", path=one.path),
           "picture": scatter_picture(answer, section, one.path, label, factor)}  # fmt: skip


def _row(answer: Answer, path: str, one: VariedInput) -> dict[str, str]:
    swing = next(swing for swing in answer.swings if swing.path == path)
    effect = next((effect for effect in answer.effects if effect.path == path), None)
    share = next((share for share in answer.shares if share.path == path), None)
    with_bound = "{:.3f} ± {:.3f}".format
    return {
        "path": path, "low": ratio_text(swing.at_low), "high": ratio_text(swing.at_high),
        "effect": NONE if effect is None else with_bound(effect.size, effect.bound),
        "scatter": NONE if effect is None else f"{effect.scatter:.3f}",
        "first": NONE if share is None else with_bound(share.first, share.first_bound),
        "total": NONE if share is None else with_bound(share.total, share.total_bound),
        "alpha": f"{answer.alphas[path]:+.3f}" if path in answer.alphas else NONE,
        "design": _amount(one, answer.design_values[path]) if path in answer.design_values else NONE,
    }  # fmt: skip


def _methods(answer: Answer) -> Iterator[dict[str, str]]:
    """Every estimate of the probability beside the others."""
    if answer.sampled is not None:
        one = answer.sampled.probability
        yield {"by": MC, "failure": _bounded(one), "index": _index_of(one), "points": str(one.points)}
    if answer.form is not None:
        yield {"by": say("form"), "failure": NONE, "index": index_text(answer.form.index),
               "points": str(answer.form.calls)}  # fmt: skip
    if answer.importance is not None:
        one = answer.importance
        yield {"by": say("importance"), "failure": _bounded(one),
               "index": _index_of(one), "points": str(one.points)}  # fmt: skip
    if answer.subset is not None:
        yield {"by": say("subset"), "failure": say("varied", value=probability_text(answer.subset.value),
               variation=f"{answer.subset.variation:.2f}"), "index": index_text(reliability_index(answer.subset.value)),
               "points": str(answer.subset.calls)}  # fmt: skip


def _notes(answer: Answer) -> Iterator[str]:
    names = {"chained": say("chained"), "apart": say("apart", paths=", ".join(answer.asked.apart)),
             "effects": say("no-effects"), "shares": say("no-shares"),
             "form": say("no-form"), "subset": say("no-subset")}  # fmt: skip
    for what, why in answer.open:
        yield say("open", what=names[what], why=why)
    for limit in answer.asked.turned:
        yield say(
            "turning", number=numbered(answer.asked.turned)[limit.key], text=limit.text, source=limit.source or NONE
        )
    if answer.chain_at == "design point":
        yield say("chain-at-form")
    elif answer.chain_at == "points":
        yield say("chain-at-points", count=len(answer.sampled.scatter) if answer.sampled else 0)
    yield from _surfaces(answer)
    if answer.sampled is not None and len(answer.sampled.course) == 1:
        yield say("no-course", points=FIRST)
    if answer.sampled is not None and answer.sampled.unsolved:
        yield say("unsolved", count=answer.sampled.unsolved)
    if answer.importance is not None and not answer.confirmed:
        yield say("unconfirmed")
    state = answer.asked.state
    if state.target is not None:
        yield say("target-source", target=f"{state.target:g}", source=state.source or NONE)
    if state.reliability_class is not None:
        yield say("memory", name=state.reliability_class)


def _surfaces(answer: Answer) -> Iterator[str]:
    """How far known slip surfaces stand for whole searches."""
    if (surfaces := answer.asked.surfaces) is None:
        return
    known, stages, near = len(surfaces.model.slip.known), len(surfaces.model.slip.stages), f"{100 * NEAR:g}"
    if surfaces.points:
        yield say("surfaces", known=known, stages=stages, searches=surfaces.searches, points=surfaces.points,
                  lower=share_text(surfaces.lower), higher=share_text(surfaces.higher), near=near,
                  close=f"{100 * CLOSE:g}", rounds=ROUNDS)  # fmt: skip
    else:
        yield say("surfaces-at-ends", known=known, stages=stages, searches=surfaces.searches, near=near)


def _limits(of: Varied) -> Iterator[str]:
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
    if any(one.averaging_length is not None for one in of.vary.inputs):
        yield say("limit-averaging")
    if any(one.distribution == "data" for one in of.vary.inputs):
        yield say("limit-data")
    if any(one.distribution == NORMAL for one in of.vary.inputs):
        yield say("limit-normal")
    if any(not answer.asked.chained for section in of.sections for answer in section.answers):
        yield say("limit-record")
    yield say("limit-model")
