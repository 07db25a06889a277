"""The addendum of readings as PDF/A: tables, figures, the calculation behind them, and what it does not say."""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from markupsafe import Markup

from calc import __version__
from calc.engine.figure import symbol_text
from calc.engine.sheet import PROJECT_RULE, Sheet, Step, number_text, value_text
from calc.engine.sheet.steps import Origin
from calc.engine.symbols import symbol
from calc.engine.typeset import LAYER_SUMS, Node, set_amount, set_minus
from calc.engine.words import words_of
from calc.inputs.reading.glyphs import first_without_glyph
from calc.package.figures import figure_picture
from calc.package.line_places import field_path
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import cut
from calc.package.small_lines import small_line
from calc.procedures.observation import SHAPE_ERROR
from calc.site.observed import settlement_analysis as rule
from calc.site.observed.course_grid import FACTORS
from calc.site.observed.crossing_lines import crossing_sheet
from calc.site.observed.crossings import names_of
from calc.site.observed.fresh_readings import STILL
from calc.site.observed.next_lift import BELOW_ZERO, NextLift, no_lift
from calc.site.observed.observed_figures import leading_plate, lines_picture, time_charts
from calc.site.observed.observed_run import Observation, ObservedSection
from calc.site.observed.observed_text import (
    age_line,
    caution,
    closed_text,
    date_text,
    hand_over_text,
    peaks_text,
    percent,
    range_text,
    refused_by_reason,
    rows_text,
    unit_of,
    unwatched_text,
    value_shown,
)
from calc.site.observed.series import FAR, Series
from calc.site.observed.settlement_analysis import Analysis
from calc.site.observed.trigger_courses import LEAST_LOAD, LEAST_SETTLEMENT
from calc.site.observed.works_dates import FALLEN, FRESH, LIFT_SHARE

say = words_of(__name__)

MOST_REFUSED = 40  # reasons; observed.json has all
FEW = 8  # values that a line of several has written out
MM = 1000.0
NONE = "–"


def addendum(of: Observation) -> bytes:
    """The pages."""
    design, project = of.design, of.design.project
    revision = project.revisions[-1]
    last = max((part.last for part in of.sections), default=0.0)
    context = {
        "title": say("title"), "document": project.document, "version": __version__,
        "date": date_text(of, last),
        "running": {
            "section": say("title"),
            "project": cut(project.title, 78),
            "document": cut(project.document, 50),
            "revision": cut(say("revision", label=revision.label), 52),
            "program": f"sandsleeve {__version__} · {say('title')}",
            "people": cut(say("people", name=design.people.originator.name), 60),
        },
        "head": _head(of),
        "words": dict(_words()),
        "sections": [_section(of, part) for part in of.sections],
        "refused": _refused_rows(of),
        "more_refused": len(refused_by_reason(of.taken.refused)) > MOST_REFUSED,
        "limits": _limits(of),
        "caution": caution(),
    }  # fmt: skip
    html = environment().get_template("observed.html").render(context)
    # Remarks and names from files may hold signs that the fonts cannot print; project files cannot.
    html = html.translate({ord(sign): NONE for sign in set(html) if first_without_glyph(sign) is not None})
    return render_pdf(html, (), of.observed.start + dt.timedelta(days=int(last)))


def _words() -> Iterator[tuple[str, str]]:
    """Heads of tables."""
    yield "instrument", say("instrument")
    yield "reads", say("reads")
    yield "place", say("place")
    yield "readings", say("readings")
    yield "last", say("last")
    yield "value", say("value")
    yield "expected", say("expected")
    yield "outliers", say("outliers")
    yield "instruments-title", say("instruments-title")
    yield "crossed-title", say("crossed-title")
    yield "none-crossed", say("none-crossed")
    yield "trigger", say("trigger")
    yield "level", say("level")
    yield "farthest", say("farthest")
    yield "from", say("from")
    yield "action", say("action")
    yield "analysis-title", say("analysis-title")
    yield "plate", say("plate")
    yield "by-fit", say("by-fit")
    yield "by-steps", say("by-steps")
    yield "by-hyperbola", say("by-hyperbola")
    yield "factors", say("factors")
    yield "residual", say("residual")
    yield "hand-over", say("hand-over")
    yield "differ", say("differ")
    yield "lift-title", say("lift-title")
    yield "question", say("question")
    yield "answer", say("answer")
    yield "numbers", say("numbers")
    yield "lines-title", say("lines-title")
    yield "what", say("what")
    yield "equation", say("equation")
    yield "result", say("result")
    yield "refused-title", say("refused-title")
    yield "row", say("row")
    yield "why", say("why")
    yield "limits-title", say("limits-title")
    yield "marks", say("marks")


def _head(of: Observation) -> list[tuple[str, str]]:
    project = of.design.project
    return [
        (say("project"), f"{project.number}, {project.title}"),
        (say("to"), say("revision-of", document=project.document, label=project.revisions[-1].label)),
        (say("inputs"), of.design.sha256[:16]),
        (say("files"), ", ".join(Path(file).name for file in of.taken.files)),
        *([(say("records"), ", ".join(Path(file).name for file in of.records))] if of.records else []),
        (say("start"), of.observed.start.isoformat()),
        *([(say("asked"), of.asked.isoformat())] if of.asked else []),
        (say("outcome"), _outcome(of)),
    ]


def _outcome(of: Observation) -> str:
    if of.outcome == "pass":
        return say("outcome-pass")
    return say("outcome-fail") if of.outcome == "fail" else say("outcome-incomplete")


def _section(of: Observation, part: ObservedSection) -> dict[str, Any]:
    leading = leading_plate(part)
    drawn = lines_picture(leading) if leading is not None else None
    return {
        "key": part.section.key,
        "title": say("section", key=part.section.key, title=part.section.title),
        "open": part.open,
        "dates": _dates(of, part),
        "instruments": [_instrument(of, part, series) for series in part.series],
        "crossed": [_crossing(of, crossing) for crossing in part.crossed],
        "figures": [
            {"picture": figure_picture(chart), "title": chart.title, "note": chart.note} for chart in time_charts(part)
        ],
        "plates": [_plate(of, analysis) for analysis in part.analyses],
        "lines_picture": drawn,
        "lines_title": "" if leading is None else _lines_title(leading),
        "lift": None if part.lift is None else _lift(part.lift),
        "no_lift": "" if part.course is None or part.lift is not None else no_lift(part.course)[0],
        "lines": list(_lines(part, leading)),
        "unread": say("unread", names=names_of(part.unread)) if part.unread else "",
        "peaks": list(peaks_text(part)),
    }


def _dates(of: Observation, part: ObservedSection) -> str:
    """When the stages were placed, and where these dates come from."""
    if part.course is None:
        return ""
    days = part.course.calendar
    stages = "; ".join(
        say("stage", name=stage.name, start=date_text(of, start), end=date_text(of, end),
            how=say("as-read") if read else say("as-planned"))
        for stage, start, end, read in zip(part.course.section.stages, days.starts, days.ends, part.course.works.read,
                                           strict=True) if end > start
    )  # fmt: skip
    works = part.course.works
    return " ".join(text for text in (age_line(of, part), works.note, works.unknown, say("stages", stages=stages),
                                    say("hand-over-day", date=date_text(of, days.hand_over))) if text)  # fmt: skip


def _instrument(of: Observation, part: ObservedSection, series: Series) -> dict[str, str]:
    unit, factor, decimals = unit_of(series.quantity)
    used, beside = series.used, part.last_beside(series)
    count = used.days.size
    place = say("offset", offset=_number(series.offset, 1))
    if series.depth is not None:
        place = say("offset-depth", offset=_number(series.offset, 1), depth=_number(series.depth, 2))
    return {
        "name": ", ".join(series.names), "reads": series.quantity, "place": place, "count": str(series.days.size),
        "last": date_text(of, float(used.days[-1])) if count else NONE,
        "value": f"{_number(factor * float(used.values[-1]), decimals)} {unit}" if count else NONE,
        "expected": NONE if beside is None else (say("outside") if beside.outside else "") + say(
            "range", low=_number(factor * beside.low, decimals), high=_number(factor * beside.high, decimals),
        ),
        "outliers": ", ".join(date_text(of, float(day)) for day in series.days[series.outliers]) or NONE,
    }  # fmt: skip


def _crossing(of: Observation, crossing: Any) -> dict[str, str]:
    quantity = crossing.trigger.quantity
    last = f" {say('until', date=date_text(of, crossing.last))}" if crossing.last > crossing.first else ""
    return {
        "what": say("crossing", kind=crossing.kind, quantity=quantity, when=crossing.when, series=crossing.series),
        "level": set_minus(value_shown(quantity, crossing.level)),
        "worst": set_minus(value_shown(quantity, crossing.worst)),
        "when": f"{date_text(of, crossing.first)}{last}{closed_text(of, crossing)}",
        "action": say("acts", action=crossing.trigger.action.rstrip("."), decides=crossing.trigger.decides),
    }  # fmt: skip


def _plate(of: Observation, analysis: Analysis) -> dict[str, str]:
    forecast, fit = analysis.forecast, analysis.fit
    good = forecast is not None and not analysis.why_none
    return {
        "name": analysis.series.name,
        "fit": f"{MM * forecast.placed.value:.0f} ({range_text(forecast.placed)})" if good and forecast else NONE,
        "steps": _by_steps(analysis),
        "hyperbola": f"{MM * analysis.hyperbola.final:.0f}" if analysis.hyperbola is not None
        else analysis.no_hyperbola,
        "factors": say("both-factors", rate=f"{fit.rate[0]:.2f}", scale=f"{fit.scale[0]:.3f}",
                       error=f"{MM * fit.error[0]:.1f}") if fit is not None else NONE,
        "residual": f"{MM * forecast.residual.value:.0f} ({range_text(forecast.residual)})"
        if good and forecast else NONE,
        "hand_over": hand_over_text(of, analysis) if good else say("no-forecast", why="; ".join(analysis.why_none)),
    }  # fmt: skip


def _by_steps(analysis: Analysis) -> str:
    line = analysis.line
    if line is None or line.final is None:
        return analysis.no_line or say("unsure")
    return f"{MM * line.final:.0f}"


def _lift(lift: NextLift) -> dict[str, Any]:
    return {
        "title": say("lift", name=lift.name, answer=lift.answer),
        "rows": [
            {
                "title": verdict.title, "stamp": verdict.stamp,
                "numbers": _comparison(verdict) if verdict.effect is not None else NONE, "note": verdict.note,
            }
            for verdict in lift.sheet.verdicts
        ],
        "degrees": say("degrees", settled=percent(lift.by_settlement), drained=percent(lift.by_pressure)),
    }  # fmt: skip


def _number(value: float, decimals: int) -> str:
    """A number as it is set, with a true minus."""
    return set_minus(number_text(value, decimals))


def _comparison(verdict: Any) -> str:
    unit = symbol(verdict.effect_symbol)
    effect, resistance = (_number(value * unit.factor, unit.decimals) for value in (verdict.effect, verdict.resistance))
    return say(
        "compared", effect=effect, resistance=resistance, unit=unit.unit_text, ratio=f"{verdict.utilisation:.3f}"
    )


def _lines_title(leading: Analysis) -> str:
    name = leading.series.name
    return say("lines-figure", name=name) if leading.hyperbola else say("line-figure", name=name)


def _lines(part: ObservedSection, leading: Analysis | None) -> Iterator[dict[str, Any]]:
    """The lines of the back-analysis of one plate, of triggers crossed, and of the next lift."""
    if leading is not None:
        wanted = [leading.line.scope.name] if leading.line is not None else []
        # A forecast that the readings do not support is not printed.
        scopes = [*wanted, "parallel", "hyperbola", *([] if leading.why_none else ["fit"])]
        yield from _block(leading.sheet, scopes, part)
    if part.course is not None:
        crossed = crossing_sheet(part.course, part.crossed)
        yield from _block(crossed, list(crossed.scopes), part)
    if part.lift is not None:
        gains = [name for name in part.lift.sheet.scopes if name.partition("_")[0] == "gain"]
        yield from _block(part.lift.sheet, ["settlement", "pressure", *gains, "strength"], part)


def _block(sheet: Sheet, scopes: Sequence[str], part: ObservedSection) -> Iterator[dict[str, Any]]:
    for name in scopes:
        if name not in sheet.scopes:
            continue
        yield {"head": say("scope", title=sheet.scopes[name].title, key=sheet.key)}
        yield from (_line(step, part) for step in sheet.steps if step.scope == name)


def _line(step: Step, part: ObservedSection) -> dict[str, Any]:
    several = any(given.value.axis_names for given in step.inputs.values())
    written = step.formula is not None and not _sums(step.formula.tree) and not several
    title = step.title[:1].upper() + step.title[1:]
    return small_line(step, _value(step), _source(step, part), numbers=written) | {"head": "", "title": title}


def _source(step: Step, part: ObservedSection) -> str | Markup:
    """Mark, citation and clause of a line, where a given value stands, and the note."""
    note = f" {step.note}".rstrip()
    if step.kind == "given":
        return say("from-step", path=_place(step.origins[0], part)) + note
    if step.source is not None and step.source != PROJECT_RULE:
        clause = f", {step.formula.clause}" if step.formula is not None and step.formula.clause else ""
        return f"{step.source.mark} {step.source.citation}{clause}.".strip() + note
    if step.inputs:
        names = Markup(", ").join(symbol_text(given.symbol) for given in step.inputs.values())
        return Markup(say("from-lines", names=names)) + note  # noqa: S704 - words of the program and symbols
    return note.strip() or say("from-readings")


def _place(origin: Origin, part: ObservedSection) -> str:
    """Chapter and part of it that a given value is taken from, or its field of the project file."""
    done = dict(part.course.done) if part.course is not None else {}
    done |= {analysis.sheet.key: analysis.sheet for analysis in part.analyses}
    _, chapter, scope, *_ = [*origin.path.split("/"), "", ""]
    if origin.kind != "step" or chapter not in done or scope not in done[chapter].scopes:
        return field_path(origin.path) or origin.text
    return say("from-chapter", chapter=done[chapter].title or chapter, scope=done[chapter].scopes[scope].title)


def _sums(tree: Node) -> bool:
    return tree.kind in LAYER_SUMS or any(_sums(child) for child in tree.children)


def _value(step: Step) -> str:
    """The result; of several the numbers, or the least and the largest of many."""
    value = step.value
    if not value.axis_names:
        return set_amount(value_text(value, {}, step.symbol))
    cases = [value.case_at(k) for k in range(value.array.size)]
    texts = [set_amount(value_text(value, case, step.symbol)) for case in cases]
    if len(texts) <= FEW:
        return "; ".join(texts)
    least, most = int(value.array.argmin()), int(value.array.argmax())
    return say("many", count=len(texts), low=texts[least], high=texts[most])


def _refused_rows(of: Observation) -> list[Mapping[str, str]]:
    """Rows of one reason together, by their lines."""
    groups = list(refused_by_reason(of.taken.refused).items())
    return [{"row": rows_text(file, lines), "why": why} for (file, why), lines in groups[:MOST_REFUSED]]


def _rules() -> str:
    """The project rules of the back-analysis and of the next lift in words, from where they are used."""
    return say(
        "limit-rules", readings=rule.FEWEST_READINGS, under=rule.FEWEST_UNDER_LOAD,
        degree=f"{100 * rule.LEAST_DEGREE:.0f}", gap=f"{100 * rule.LARGEST_GAP:.0f}", short=f"{rule.SHORT_GAP:.0f}",
        low=f"{FACTORS[0]:g}", high=f"{FACTORS[-1]:g}", scale_low=f"{rule.SCALES[0]:g}",
        scale_high=f"{rule.SCALES[1]:g}", lag=f"{rule.DEPENDENT:g}", poor=f"{100 * rule.POOR:.0f}",
        unsure=f"{rule.UNSURE:g}",
        fresh=f"{FRESH:.0f}", still=STILL, below=f"{100 * BELOW_ZERO:.0f}", far=f"{FAR:.0f}",
        share=f"{100 * LIFT_SHARE:.0f}", fallen=f"{100 * FALLEN:.0f}", load=f"{LEAST_LOAD:.0f}",
        settled=f"{MM * LEAST_SETTLEMENT:.0f}", apart=f"{rule.APART:.0f}", close=f"{100 * SHAPE_ERROR:g}",
    )  # fmt: skip


def _limits(of: Observation) -> list[str]:
    """What these pages do not say."""
    sentences = [say("limit-methods"), say("limit-range", apart=f"{rule.APART:.0f}"), say("limit-factors"),
             say("limit-later"), say("limit-place"), say("limit-gain"), _rules()]  # fmt: skip
    sentences += [
        say("file-unread", file=Path(file.file).name, why=file.why) for file in of.taken.unread if file.readings
    ]
    if of.unmapped:
        sentences.append(say("limit-unmapped", keys=", ".join(of.unmapped)))
    sentences += unwatched_text(of)
    if any(part.lift is not None for part in of.sections):
        sentences.append(say("limit-lift"))
    return sentences
