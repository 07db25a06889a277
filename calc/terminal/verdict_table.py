"""The table of the verdicts: every one under its section and chapter, with numbers, case and reason."""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from textwrap import wrap

from calc.chain import Run
from calc.engine.sheet import STAMPS, Verdict, case_words, number_text
from calc.engine.symbols import symbol
from calc.terminal.shown_verdicts import EVERYTHING, Chosen, columns, printable

MARKS = {"pass": "✓", "fail": "✗", "not verified": "–"}
NUMBERS = f"{'effect':>10}{'resistance':>12} {'unit':<6}{'utilisation':>12}"
INDENT = " " * 20
STAMP = 16
SMALLEST = 0.001


def verdict_table(run: Run, width: int, chosen: Chosen = EVERYTHING, left_out: Sequence[str] = ()) -> str:
    """The verdicts chosen under section and chapter, then the outcome of the run in words; `width` in columns."""
    room = columns(width)
    end = [line for text in _summary(run, chosen, left_out) for line in wrap(printable(text), room)]
    return "\n".join(line.rstrip() for line in [*_sections(run, room, chosen), "", *end])


def _sections(run: Run, width: int, chosen: Chosen) -> Iterator[str]:
    for part in run.sections:
        yield printable(f"Section {part.section.key}: {part.section.title}")
        if not any(chosen.of(sheet) for sheet in part.sheets):
            yield "  Nothing required fails or is not verified." if chosen.failed else "  No verdict."
            continue
        yield INDENT + NUMBERS.rjust(width - len(INDENT))
        for sheet in part.sheets:
            verdicts = chosen.of(sheet)
            # A chapter that leaves one question open is named like it: once is enough.
            if any(verdict.title != sheet.title for verdict in verdicts):
                yield printable(sheet.title)
            for verdict, following in zip_longest(verdicts, verdicts[1:]):
                # Verdicts one after another with one reason have it once, below the last of them.
                shared = following is not None and _reason(verdict) == _reason(following)
                yield from _verdict(verdict, width, "" if shared else circumstances(verdict))


def _reason(verdict: Verdict) -> tuple[str, str]:
    """What is said of a verdict without numbers; of one that has them nothing that another could share."""
    alone = verdict.effect is not None or verdict.resistance is not None or verdict.utilisation is not None
    return (verdict.key if alone else verdict.stamp), circumstances(verdict)


def _verdict(verdict: Verdict, width: int, said: str) -> Iterator[str]:
    numbers = _numbers(verdict)
    room = width - len(INDENT) - len(NUMBERS) if numbers else width - len(INDENT)
    first, *more = wrap(printable(verdict.title), room - 1) or [""]
    if len(verdict.stamp) > STAMP:
        yield f"  {MARKS[verdict.state]} {verdict.stamp}"
        yield INDENT + first
    else:
        yield f"  {MARKS[verdict.state]} {verdict.stamp:<{STAMP}}{first:<{room}}{numbers}"
    for line in more:
        yield INDENT + line
    for line in wrap(said, width - len(INDENT) - 2):
        yield f"{INDENT}  {line}"


def _numbers(verdict: Verdict) -> str:
    if verdict.effect is None and verdict.resistance is None and verdict.utilisation is None:
        return ""
    utilisation = "–" if verdict.utilisation is None else f"{verdict.utilisation:.3f}"
    effect, resistance, unit = amounts(verdict)
    return f"{effect:>10}{resistance:>12} {unit:<6}{utilisation:>12}"


def amounts(verdict: Verdict) -> tuple[str, str, str]:
    """Effect, resistance and unit of a verdict as they are shown."""
    quantity = symbol(verdict.effect_symbol) if verdict.effect_symbol else None
    factor, unit = (quantity.factor, quantity.unit_text) if quantity else (1.0, verdict.unit)
    effect, resistance = (
        None if number is None else number * factor for number in (verdict.effect, verdict.resistance)
    )
    return _amount(effect), _amount(resistance), unit


def _amount(value: float | None) -> str:
    """Four digits at least, with an exponent only where the zeros would have to be counted."""
    if value is None:
        return "–"
    size = abs(value)
    if 0 < size < SMALLEST:
        return number_text(value, -4)
    decimals = next((digits for limit, digits in ((1000, 0), (100, 1), (10, 2), (1, 3)) if size >= limit), 4)
    return f"{value:.{decimals}f}"


def circumstances(verdict: Verdict) -> str:
    """Case, factor set and note of a verdict in words."""
    factor_set = "" if verdict.factor_set in verdict.case.values() else verdict.factor_set
    return printable("; ".join(text for text in (case_words(verdict.case), factor_set, verdict.note) if text))


def _summary(run: Run, chosen: Chosen, left_out: Sequence[str]) -> Iterator[str]:
    if left_out:
        yield f"Left out of this run: {'; '.join(left_out)}."
    whole = " of the run, whatever is shown" if chosen != EVERYTHING else ""
    text = f"Outcome{whole}: {run.outcome}. {counts(run)}"
    if run.governing:
        part, _, verdict = run.governing
        text += f" Governing: {verdict.title}, section {part.section.key}, utilisation {verdict.utilisation:.3f}."
    yield text


def counts(run: Run) -> str:
    """How many verdicts bear each stamp: pass, fail and not verified always, the others where there are any."""
    stamps = Counter(verdict.stamp for _, _, verdict in run.verdicts())
    return (
        "Verdicts: "
        + ", ".join(f"{stamps[stamp]} {stamp}" for stamp in STAMPS if stamp in MARKS or stamps[stamp])
        + "."
    )
