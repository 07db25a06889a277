"""What a search of the grid found and proved, for a terminal and for other programs."""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import Any

from calc.inputs.tables.sizing import CARBON, COST, SETTLEMENT, TIME
from calc.study.report import SPACE, WIDTH, clean
from calc.study.size_grid import Axis, Grid
from calc.study.size_search import NO_PROGRAMME, NOT_OF_RUNS, Found, Search
from calc.study.turning import brief, keys_of

MM = 1000.0
SHOWN = 3  # verdicts that hang on dates, by their titles
REFUSED = {NOT_OF_RUNS: "Refused, for example", NO_PROGRAMME: "Without a programme, for example"}
WORDS = {COST: "cost", CARBON: "carbon", SETTLEMENT: "settlement", TIME: "hand-over"}
LEFT_OUT = (
    "What is common to all combinations counts in neither cost nor carbon: embankment, compensation fill, layers that "
    "are not varied, the ends of the column field. What the grid does not vary is as typed."
)


def unit_of(grid: Grid, objective: str) -> str:
    """The unit in which an objective is printed."""
    of_area = {COST: f"{clean(grid.size.currency or '')}/m²", CARBON: "kg CO₂e/m²", TIME: "d"}
    return of_area.get(objective, "mm")


def objective_text(objective: str, value: float) -> str:
    """An objective as it is printed."""
    return f"{value:g}" if objective == TIME else f"{MM * value:.0f}" if objective == SETTLEMENT else f"{value:.2f}"


def varied(grid: Grid) -> list[tuple[int, Axis]]:
    """The axes with more than one value, with their numbers."""
    return [(k, axis) for k, axis in enumerate(grid.axes) if len(axis.choices) > 1]


def design_words(grid: Grid, number: int) -> list[str]:
    """The values of a combination on the axes that vary."""
    chosen = grid.choices(number)
    return [clean(chosen[k].name) for k, _ in varied(grid)]


def grid_words(grid: Grid) -> str:
    """How many combinations there are, and of what."""
    sizes = " × ".join(f"{len(axis.choices)} {axis.name}" for axis in grid.axes)
    return f"Grid of section {grid.section.key}: {len(grid)} combinations ({sizes})."


def proof_words(found: Search) -> list[str]:
    """What was excluded and run, and whether a better design can have been missed; a paragraph each."""
    screened, grid = found.screening, found.grid
    excluded = screened.excluded()
    words = [grid_words(grid)]
    rows = [f"{count} by {clean(screened.titles.get(key, key))}" for key, count in excluded.items()]
    count = sum(excluded.values())
    words.append(f"Excluded without a run of all chapters: {count}" + (f" ({'; '.join(rows)})." if rows else "."))
    failed = [f"{number} by {clean(found.titles.get(key, 'inputs refused, or no solution'))}"
              for key, number in found.failed.most_common()]  # fmt: skip
    words.append(
        f"Run with all chapters: {found.runs}" + (f", of which not passed: {'; '.join(failed)}." if failed else ".")
    )
    words += [f"{REFUSED.get(key, REFUSED[NOT_OF_RUNS])}: {clean(why)}" for key, why in found.refused.items()]
    if found.dated:
        words.append(
            f"Earliest dates searched before any run: of {found.dated} candidates. By all but slip surfaces they are "
            "the soonest, so that no run of a candidate hands over before them."
        )
    words.append(_proof(found))
    return words


def _doubt(found: Search) -> str:
    """Why it is not proven; empty where it is."""
    if found.contradicted:
        return (
            f"NOT PROVEN: {found.contradicted} of the excluded combinations were run all the same, and "
            "these runs do not fail: a branch of the calculation lies within the grid. Divide its range."
        )
    if found.unlike:
        return (
            f"NOT PROVEN: in {found.unlike} of the runs the settlement is not the one by which the search put the "
            "combinations in order. The table has that of the runs; a combination with less may have been left out."
        )
    if found.better_left:
        return (
            f"NOT PROVEN: {found.better_left} combinations were neither excluded nor run, and a better one may be "
            "among them; --runs allows more."
        )
    return ""


def _proof(found: Search) -> str:
    said, keys = _proof_alone(found), _turned_keys(found)
    return f"{said} It holds as far as the limitations {', '.join(keys)} do not turn a verdict." if keys else said


def _turned_keys(found: Search) -> list[str]:
    """The limitations that can turn a pass of the designs."""
    return list(dict.fromkeys(limit.key for one in found.best for limit in one.outcome.turned))


def _proof_alone(found: Search) -> str:
    what = " and ".join(WORDS[name] for name in found.grid.size.objective)
    if doubt := _doubt(found):
        return doubt
    if not found.best:
        return "No combination of the grid passes: every one was excluded or run."
    if found.front:
        return (
            f"Proven: every combination that passes is, in {what}, no better in both than one of those listed; "
            f"{found.not_better} were not asked for that reason."
        )
    if len(found.best) < found.asked:
        return f"Proven: no other combination of the grid passes; {found.not_better} were not asked."
    return (
        f"Proven: no combination of the grid that passes has less {what} than the last one listed and is left out; the "
        f"{found.not_better} that were not asked have as much as it or more."
    )


def search_text(found: Search) -> str:
    """The outcome first, the designs in a table, then the proof and what is not counted."""
    lines = wrap(first_words(found), WIDTH)
    if found.best:
        lines += ["", *_table(found)]
    limits = limit_words(found, whole=False)
    for words in (*limits, *date_words(found), *proof_words(found), *open_words(found), LEFT_OUT):
        lines += ["", *wrap(words, WIDTH)]
    return "\n".join(lines)


def first_words(found: Search) -> str:
    """What was found, in a sentence that opens the table."""
    what = " and ".join(f"{WORDS[name]} ({unit_of(found.grid, name)})" for name in found.grid.size.objective)
    if not found.best:
        return f"NO DESIGN: no combination of the grid was found that passes. {_most_excluding(found)}".strip()
    unless = (
        ", unless a limitation named below turns a verdict" if any(one.outcome.turned for one in found.best) else ""
    )
    if found.front:
        return f"Designs that none betters in both {what}{unless}:"
    return f"Designs with the least {what}{unless}:"


def limit_words(found: Search, *, whole: bool = True) -> Iterator[str]:
    """The limitations that can turn a pass of a design into a fail, once each, with its designs and verdicts.

    Numbers in the text are those of the first of the designs; not `whole` are the first words of it.
    """
    stands: dict[str, dict[int, tuple[str, list[str]]]] = {}
    for number, design in enumerate(found.best, start=1):
        for limit, verdicts in design.outcome.turned.items():
            text, titles = stands.setdefault(limit.key, {}).setdefault(
                number, (limit.text if whole else brief(limit), [])
            )
            titles += [one.title for one in verdicts]
    for key, designs in stands.items():
        text, titles = next(iter(designs.values()))
        titles = list(dict.fromkeys(titles))
        more = f" and {len(titles) - SHOWN} more" if len(titles) > SHOWN and not whole else ""
        shown = "; ".join(titles if whole else titles[:SHOWN])
        several = f"designs {', '.join(map(str, designs))}" if len(designs) > 1 else f"design {next(iter(designs))}"
        yield clean(f"Limitation {key} can turn a pass of {several} into a fail ({shown}{more}): {text}")


def _most_excluding(found: Search) -> str:
    """The verdict that excludes most, of those screened and of those run."""
    counts = dict(found.screening.excluded())
    for key, number in found.failed.items():
        counts[key] = counts.get(key, 0) + number
    key = max(counts, key=lambda one: counts[one])
    titles = found.titles | found.screening.titles
    return f"Most are excluded by: {clean(titles.get(key, 'inputs refused, or no solution'))} ({counts[key]})."


def table_head(grid: Grid) -> list[str]:
    """The heads of the columns of the table of designs."""
    objectives = [f"{WORDS[name]} {unit_of(grid, name)}" for name in grid.size.objective]
    settled = [] if SETTLEMENT in grid.size.objective else ["settlement mm"]
    settled += ["hand-over d"] if grid.size.programme is not None and TIME not in grid.size.objective else []
    return ["no.", *objectives, *settled, *(axis.name for _, axis in varied(grid)), "utilisation", "governed by"]


def table_rows(found: Search) -> Iterator[list[str]]:
    """The cells of every design."""
    objectives = found.grid.size.objective
    for number, design in enumerate(found.best, start=1):
        cells = [objective_text(name, value) for name, value in zip(objectives, design.objectives, strict=True)]
        if SETTLEMENT not in objectives:
            cells.append("–" if design.settlement is None else f"{MM * design.settlement:.0f}")
        if design.outcome.dated is not None and TIME not in objectives:
            cells.append(objective_text(TIME, design.outcome.dated.days[-1]))
        governing = design.outcome.governing(found.unchanged)
        ratio, title = ("–", "–") if governing is None else (f"{governing.ratio or 0:.3f}", clean(governing.title))
        yield [str(number), *cells, *design_words(found.grid, design.number), ratio, title]


def page_table(found: Search) -> tuple[list[str], list[list[str]]]:
    """Head and rows of the table of pages, where the limitations that can turn a design stand beside it."""
    turned = [keys_of(design.outcome.turned) for design in found.best]
    head, rows = table_head(found.grid), list(table_rows(found))
    if not any(turned):
        return head, rows
    rows = [[*row, keys or "–"] for row, keys in zip(rows, turned, strict=True)]
    return [*head, "limitations that can turn it"], rows


def _table(found: Search) -> list[str]:
    head, rows = table_head(found.grid), list(table_rows(found))
    widths = [max(len(row[k]) for row in [head, *rows]) for k in range(len(head) - 1)]
    lines = []
    for row in [head, *rows]:
        cells = [f"{cell:<{width}}" for cell, width in zip(row[:-1], widths, strict=True)]
        lines.append("  ".join([*cells, row[-1]]).rstrip())
    return lines


def date_words(found: Search) -> Iterator[str]:
    """The dates of every design, and what the low c_h would leave of its conditions."""
    programme = found.grid.size.programme
    if programme is None or not found.best:
        return
    scenario = "the low end of its range" if programme.cautious else "the best estimate"
    yield (
        f"Dates searched with cₕ at {scenario}, on full steps of {programme.step:g}{SPACE}d, with a wait of at least "
        f"{programme.least_wait:g}{SPACE}d after every stage; stages that only bring traffic go with the hand-over. "
        "Every combination is judged with its earliest dates: one that fails may pass with longer waits."
    )
    for number, design in enumerate(found.best, start=1):
        dated = design.outcome.dated
        assert dated is not None  # noqa: S101 - what passes has them
        days = ", ".join(f"{clean(name)} {day:g}" for name, day in dated.dates)
        margins = "; ".join(f"{title} {margin:+.3g} {unit}".rstrip() for _, title, margin, unit in dated.low)
        low = f" Margins with the low cₕ: {clean(margins)}." if margins else ""
        yield f"Design {number}, day of start: {days}.{low}"


def open_words(found: Search) -> Iterator[str]:
    """Required verdicts that the grid does not change, and those not verified in the best design, as in the project."""
    if found.unchanged:
        key = max(found.unchanged, key=lambda one: found.unchanged[one])
        yield (
            f"No value of the grid changes {len(found.unchanged)} of the required verdicts, which therefore govern no "
            f"design of the table; the largest utilisation of them is {found.unchanged[key]:.3f}: "
            f"{clean(found.screening.titles.get(key, key))}."
        )
    if found.best and found.best[0].outcome.open:
        count = len(found.best[0].outcome.open)
        yield (
            f"Not verified in these designs, as in the project as typed: {count} required verdict{'s' * (count > 1)}; "
            "see sandsleeve check."
        )
    if found.screening.unfollowed:
        titles = "; ".join(map(clean, found.screening.unfollowed.values()))
        yield f"Judged in the runs of all chapters alone, like stability: {titles}."
    if dated := found.screening.dated:
        first = "; ".join(map(clean, [*dated.values()][:SHOWN]))
        more = f" and {len(dated) - SHOWN} more" if len(dated) > SHOWN else ""
        yield f"Judged with the dates found, because they hang on dates: {first}{more}."


def search_record(found: Search, written: str | None) -> dict[str, Any]:
    """The same as plain data; lengths in m."""
    grid = found.grid
    return {
        "section": grid.section.key,
        "objectives": list(grid.size.objective),
        "axes": {axis.name: [choice.name for choice in axis.choices] for axis in grid.axes},
        "combinations": len(grid),
        "excluded": found.screening.excluded(),
        "runs": found.runs,
        "failed": dict(found.failed),
        "proven": found.proven,
        "proven_unless": _turned_keys(found),
        "not_asked": {"may_be_better": found.better_left, "not_better": found.not_better},
        "unchanged": dict(found.unchanged),
        "designs": [_design_record(found, number, design) for number, design in enumerate(found.best, start=1)],
        "written": written,
    }


def _design_record(found: Search, place: int, design: Found) -> dict[str, Any]:
    grid, governing = found.grid, design.outcome.governing(found.unchanged)
    return {
        "number": place,
        "choices": {
            axis.name: choice.name for axis, choice in zip(grid.axes, grid.choices(design.number), strict=True)
        },
        "objectives": dict(zip(grid.size.objective, design.objectives, strict=True)),
        "settlement": design.settlement,
        "governing": None if governing is None else {"verdict": governing.key, "utilisation": governing.ratio},
        "limitations": [
            {"key": limit.key, "text": limit.text, "source": limit.source, "turns": [one.key for one in verdicts]}
            for limit, verdicts in design.outcome.turned.items()
        ],
        "not_verified": sorted(design.outcome.open),
        "dates": None if design.outcome.dated is None else dict(design.outcome.dated.dates),
        "margins_low_c_h": None if design.outcome.dated is None else [
            {"at": at, "title": title, "margin": margin, "unit": unit}
            for at, title, margin, unit in design.outcome.dated.low
        ],
    }  # fmt: skip


def spaced(words: Sequence[str]) -> str:
    """Words of a design on one line."""
    return f",{SPACE}".join(words)
