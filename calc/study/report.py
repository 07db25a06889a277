"""What the search found, for a terminal, for other programs, and for the head of the proposed file."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from textwrap import wrap
from typing import Any

from calc import __version__
from calc.chain import Run
from calc.engine.words import words_of
from calc.inputs import Design
from calc.study.conditions import GAIN
from calc.study.date_search import Condition, Dated
from calc.study.shortest import CREEP, Found, Nothing, Wish
from calc.study.turning import brief, turning

say = words_of(__name__)

WIDTH = 80
SHOWN = 6
SPACE = "\N{NO-BREAK SPACE}"
ROW = "  {:<18}{:>7}{:>9}{:>6}  {:<19}{:>6}{:>11}"


def found_text(programmes: Sequence[Found], run: Run, wish: Wish) -> str:
    """The outcome first, then the dates of every section, then what the run leaves open."""
    outcome = {"pass": say("pass"), "incomplete": say("incomplete"), "fail": say("fail")}[run.outcome]
    lines = [*wrap(outcome, WIDTH), *wrap(searched_words(wish), WIDTH)]
    for programme in programmes:
        lines += ["", *_section(programme)]
    for words, rows in (*_open_verdicts(run), *turned_verdicts(run), *_remarks(programmes)):
        lines += ["", *wrap(f"{words}:", WIDTH)]
        lines += [line for row in rows for line in wrap(row, WIDTH, initial_indent="  ", subsequent_indent="    ")]
    return "\n".join(lines)


def nothing_text(nothing: Sequence[Nothing], wish: Wish) -> str:
    """Why sections have no programme."""
    lines = wrap(say("nothing"), WIDTH)
    lines += wrap(searched_words(wish), WIDTH)
    for failure in nothing:
        lines += ["", clean(say("section", key=failure.section.key, title=failure.section.title))]
        lines += wrap(clean(f"{failure.place}: {failure.why}"), WIDTH, initial_indent="  ", subsequent_indent="    ")
    return "\n".join(lines)


def searched_words(wish: Wish) -> str:
    """What bounds the search."""
    scenario = say("cautious") if wish.cautious else say("best")
    return say("searched", step=f"{wish.step:g}", least_wait=f"{wish.least_wait:g}", latest=f"{wish.latest:g}",
               scenario=scenario)  # fmt: skip


def file_head(design: Design, programmes: Sequence[Found], run: Run, wish: Wish) -> list[str]:
    """What the proposed file is, from which inputs, what was searched and what the run says, a paragraph each."""
    count = sum(programme.looked for programme in programmes)
    states = [
        say("file", version=__version__),
        say("inputs", hash=design.sha256),
        say("evaluated", searched=searched_words(wish), count=count),
        say("run", outcome=run.outcome),
        *(
            f"{words}: {'; '.join(rows)}."
            for words, rows in (*_open_verdicts(run), *turned_verdicts(run), *_remarks(programmes))
        ),
    ]
    return [line for state in states for line in (state, "")][:-1]


def found_record(programmes: Sequence[Found], run: Run, wish: Wish) -> dict[str, Any]:
    """The same as plain data, dates in days."""
    return {
        "outcome": run.outcome,
        "searched": {
            "step": wish.step,
            "least_wait": wish.least_wait,
            "latest": wish.latest,
            "cautious": wish.cautious,
        },
        "limitations": [row for _, rows in turned_verdicts(run) for row in rows],
        "sections": [_record(programme) for programme in programmes],
    }


def nothing_record(nothing: Sequence[Nothing]) -> dict[str, Any]:
    """Sections without a programme as plain data."""
    rows = [{"key": failure.section.key, "place": failure.place, "why": failure.why} for failure in nothing]
    return {"outcome": "no programme", "sections": rows}


def _record(programme: Found) -> dict[str, Any]:
    names = ("kind", "title", "reached", "needed", "unit", "margin", "low")
    return {
        "key": programme.section.key,
        "looked": programme.looked,
        "dates": [
            {
                "name": row.name, "typed": row.typed, "proposed": row.dated.date, "wait": row.wait,
                "governs": row.dated.governs, "degree": row.degree,
                "conditions": [
                    {name: getattr(condition, name) for name in names} for condition in row.dated.conditions
                ],
            }
            for row in programme.rows
        ],
    }  # fmt: skip


def _section(programme: Found) -> Iterator[str]:
    yield clean(say("section", key=programme.section.key, title=programme.section.title))
    yield ROW.format(*say("head").split("|"))
    yield ROW.format(*say("units").split("|")).rstrip()
    for row in programme.rows:
        stage_date, wait = row.dated, "–" if row.wait is None else f"{row.wait:g}"
        degree = "–" if row.degree is None else f"{row.degree:.1f}"
        name = clean(row.name)
        name = name if len(name) <= 18 else f"{name[:17]}…"
        yield ROW.format(
            name, f"{row.typed:g}", f"{stage_date.date:g}", wait, stage_date.governs, degree, _margin(stage_date)
        ).rstrip()
        words = "; ".join(_condition(condition) for condition in stage_date.conditions)
        yield from wrap(words, WIDTH, initial_indent=" " * 4, subsequent_indent=" " * 6)
    saved = programme.rows[-1].typed - programme.rows[-1].dated.date
    days, looked = f"{abs(saved):g}", programme.looked
    yield f"  {say('shorter', days=days, count=looked) if saved >= 0 else say('longer', days=days, count=looked)}"


def _margin(dated: Dated) -> str:
    """The margin of what governs; of several, or where waiting does not govern, the smallest beside what is asked."""
    conditions = [condition for condition in dated.conditions if condition.kind == dated.governs] or dated.conditions
    if not conditions:
        return "–"
    least = min(conditions, key=lambda condition: condition.margin / condition.needed)
    return f"{least.margin:.{least.decimals}f} {least.unit}"


def _condition(condition: Condition) -> str:
    sign, digits = "≤" if condition.most else "≥", condition.decimals
    words = condition.title if condition.most else condition.kind
    text = f"{words} {condition.reached:.{digits}f} {sign} {condition.needed:.{digits}f} {condition.unit}".rstrip()
    if condition.low is None:
        return say("low", text=text) if condition.kind == GAIN else text
    low = replace(condition, reached=condition.low)
    return say("low-margin", text=text, reached=f"{low.reached:.{digits}f}", margin=f"{low.margin:.{digits}f}")


def _open_verdicts(run: Run) -> Iterator[tuple[str, list[str]]]:
    """What fails in a run and what is required and not verified, in words and a row each."""
    for state, words in (("fail", say("fails")), ("not verified", say("not-verified"))):
        rows = [
            clean(say("verdict", section=part.section.key, chapter=sheet.title, title=verdict.title))
            + ("" if verdict.utilisation is None else f" ({verdict.utilisation:.3f})")
            for part, sheet, verdict in run.verdicts()
            if verdict.state == state and verdict.required
        ]
        more = [say("more", count=len(rows) - SHOWN)] if len(rows) > SHOWN + 1 else []
        if rows:
            yield words, [*rows[: SHOWN if more else None], *more]


def turned_verdicts(run: Run) -> Iterator[tuple[str, list[str]]]:
    """The limitations that can turn a required pass of a run into a fail, with the section that they are said of."""
    rows = [
        clean(say("turned", section=part.section.key, text=brief(limit)))
        for part, _, verdict in run.verdicts()
        if verdict.state == "pass" and verdict.required
        for limit in turning(part.sheets, verdict)
    ]
    if rows:
        yield say("turning"), list(dict.fromkeys(rows))


def _remarks(programmes: Sequence[Found]) -> Iterator[tuple[str, list[str]]]:
    """What the search cannot say of steps that take load off, and why a last stage waits."""
    falling = [say("of-section", section=programme.section.key) for programme in programmes if programme.unloads]
    if falling:
        yield say("unloads"), falling
    late = [
        say("of-stage", section=programme.section.key, stage=row.name)
        for programme in programmes
        for row in programme.rows
        if row.dated.governs == CREEP
    ]
    if late:
        yield say("late"), [clean(row) for row in late]


def clean(text: str) -> str:
    """Text of a project file as one line without the characters that would steer a terminal."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in " ".join(text.split()))
