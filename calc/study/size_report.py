"""What a search of the grid found and proved, for a terminal and for other programs."""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import Any

from calc.engine.words import words_of
from calc.inputs.tables.sizing import CARBON, COST, SETTLEMENT, TIME
from calc.study.report import SPACE, WIDTH, clean
from calc.study.size_grid import Axis, Grid
from calc.study.size_search import NO_PROGRAMME, Found, Search
from calc.study.turning import brief, limitation_numbers, numbers_of

say = words_of(__name__)

MM = 1000.0
SHOWN = 3  # verdicts that hang on dates, by their titles
LEFT_OUT = say("left-out")
WORDS = {COST: say("cost"), CARBON: say("carbon"), SETTLEMENT: say("settlement"), TIME: say("time")}


def unit_of(grid: Grid, objective: str) -> str:
    """The unit in which an objective is printed."""
    of_area = {COST: f"{clean(grid.size.currency or '')}/m²", CARBON: "kg CO₂e/m²", TIME: "d"}
    return of_area.get(objective, "mm")


def objective_text(objective: str, value: float) -> str:
    """An objective as it is printed."""
    return f"{value:g}" if objective == TIME else f"{MM * value:.0f}" if objective == SETTLEMENT else f"{value:.2f}"


def varied_axes(grid: Grid) -> list[tuple[int, Axis]]:
    """The axes with more than one value, with their numbers."""
    return [(k, axis) for k, axis in enumerate(grid.axes) if len(axis.choices) > 1]


def design_words(grid: Grid, number: int) -> list[str]:
    """The values of a combination on the axes that vary."""
    chosen = grid.choices(number)
    return [clean(chosen[k].name) for k, _ in varied_axes(grid)]


def grid_words(grid: Grid) -> str:
    """How many combinations there are, and of what."""
    sizes = " × ".join(f"{len(axis.choices)} {axis.name}" for axis in grid.axes)
    return say("grid", section=grid.section.key, count=len(grid), sizes=sizes)


def proof_words(search: Search) -> list[str]:
    """What was excluded and run, and whether a better design can have been missed; a paragraph each."""
    screened, grid = search.screening, search.grid
    excluded = screened.excluded()
    words = [grid_words(grid)]
    rows = [say("count-by", count=count, title=clean(screened.titles.get(key, key))) for key, count in excluded.items()]
    by = say("excluded-by", rows="; ".join(rows)) if rows else ""
    words.append(say("excluded", count=sum(excluded.values()), by=by))
    failed = [say("count-by", count=number, title=clean(search.titles.get(key, say("no-run"))))
              for key, number in search.failed.most_common()]  # fmt: skip
    words.append(say("ran", count=search.runs, failed=say("not-passed", rows="; ".join(failed)) if failed else ""))
    words += [say("no-programme", why=clean(why)) if key == NO_PROGRAMME else say("refused", why=clean(why))
              for key, why in search.refused.items()]  # fmt: skip
    if search.dated:
        words.append(say("dated", count=search.dated))
    words.append(_proof(search))
    return words


def _doubt(search: Search) -> str:
    """Why it is not proven; empty where it is."""
    if search.contradicted:
        return say("contradicted", count=search.contradicted)
    if search.unlike:
        return say("unlike", count=search.unlike)
    if search.better_left:
        return say("better-left", count=search.better_left)
    return ""


def _proof(search: Search) -> str:
    said, numbers = _proof_alone(search), ", ".join(map(str, _limitation_numbers(search).values()))
    return say("as-far-as", said=said, numbers=numbers) if numbers else said


def _limitation_numbers(search: Search) -> dict[str, int]:
    """The limitations that can turn a pass of the designs."""
    return limitation_numbers(limit for design in search.best for limit in design.outcome.turned)


def _proof_alone(search: Search) -> str:
    what = say("and").join(WORDS[name] for name in search.grid.size.objective)
    if doubt := _doubt(search):
        return doubt
    if not search.best:
        return say("none-passes")
    if search.front:
        return say("proven-front", what=what, count=search.not_better)
    if len(search.best) < search.asked:
        return say("proven-all", count=search.not_better)
    return say("proven-least", what=what, count=search.not_better)


def search_text(search: Search) -> str:
    """The outcome first, the designs in a table, then the proof and what is not counted."""
    lines = wrap(first_words(search), WIDTH)
    if search.best:
        lines += ["", *_table(search)]
    limits = limit_words(search, whole=False)
    for words in (*limits, *date_words(search), *proof_words(search), *open_words(search), LEFT_OUT):
        lines += ["", *wrap(words, WIDTH)]
    return "\n".join(lines)


def first_words(search: Search) -> str:
    """What was found, in a sentence that opens the table."""
    if not search.best:
        return say("no-design", most=_most_excluding(search))
    what = say("and").join(
        say("with-unit", name=WORDS[name], unit=unit_of(search.grid, name)) for name in search.grid.size.objective
    )
    unless = say("unless") if any(design.outcome.turned for design in search.best) else ""
    return say("front", what=what, unless=unless) if search.front else say("least", what=what, unless=unless)


def limit_words(search: Search, *, whole: bool = True) -> Iterator[str]:
    """The limitations that can turn a pass of a design into a fail, once each, with its designs and verdicts.

    Numbers in the text are those of the first of the designs; not `whole` are the first words of it.
    """
    numbers, stands = _limitation_numbers(search), dict[str, dict[int, tuple[str, list[str]]]]()
    for number, design in enumerate(search.best, start=1):
        for limit, verdicts in design.outcome.turned.items():
            text, titles = stands.setdefault(limit.key, {}).setdefault(
                number, (limit.text if whole else brief(limit), [])
            )
            titles += [verdict.title for verdict in verdicts]
    for key, designs in stands.items():
        text, titles = next(iter(designs.values()))
        titles = list(dict.fromkeys(titles))
        shown = "; ".join(titles) if whole else _first(titles)
        which = ", ".join(map(str, designs))
        several = say("designs", numbers=which) if len(designs) > 1 else say("design", numbers=which)
        yield clean(say("limitation", number=numbers[key], designs=several, titles=shown, text=text))


def _first(titles: Sequence[str]) -> str:
    """The first titles, and how many more there are."""
    more = say("more", count=len(titles) - SHOWN) if len(titles) > SHOWN else ""
    return f"{'; '.join(titles[:SHOWN])}{more}"


def _most_excluding(search: Search) -> str:
    """The verdict that excludes most, of those screened and of those run."""
    counts = dict(search.screening.excluded())
    for key, number in search.failed.items():
        counts[key] = counts.get(key, 0) + number
    key = max(counts, key=lambda name: counts[name])
    titles = search.titles | search.screening.titles
    return say("most-excluding", title=clean(titles.get(key, say("no-run"))), count=counts[key])


def table_head(grid: Grid) -> list[str]:
    """The heads of the columns of the table of designs."""
    objectives = [f"{WORDS[name]} {unit_of(grid, name)}" for name in grid.size.objective]
    settled = [] if SETTLEMENT in grid.size.objective else [say("head-settlement")]
    settled += [say("head-time")] if grid.size.programme is not None and TIME not in grid.size.objective else []
    axes = [axis.name for _, axis in varied_axes(grid)]
    return [say("head-number"), *objectives, *settled, *axes, say("head-utilisation"), say("head-governed")]


def table_rows(search: Search) -> Iterator[list[str]]:
    """The cells of every design."""
    objectives = search.grid.size.objective
    for number, design in enumerate(search.best, start=1):
        cells = [objective_text(name, value) for name, value in zip(objectives, design.objectives, strict=True)]
        if SETTLEMENT not in objectives:
            cells.append("–" if design.settlement is None else f"{MM * design.settlement:.0f}")
        if design.outcome.dated is not None and TIME not in objectives:
            cells.append(objective_text(TIME, design.outcome.dated.days[-1]))
        governing = design.outcome.governing(search.unchanged)
        ratio, title = ("–", "–") if governing is None else (f"{governing.ratio or 0:.3f}", clean(governing.title))
        yield [str(number), *cells, *design_words(search.grid, design.number), ratio, title]


def page_table(search: Search) -> tuple[list[str], list[list[str]]]:
    """Head and rows of the table of pages, where the limitations that can turn a design stand beside it."""
    turned = [numbers_of(design.outcome.turned, _limitation_numbers(search)) for design in search.best]
    head, rows = table_head(search.grid), list(table_rows(search))
    if not any(turned):
        return head, rows
    rows = [[*row, numbers or "–"] for row, numbers in zip(rows, turned, strict=True)]
    return [*head, say("head-limitations")], rows


def _table(search: Search) -> list[str]:
    head, rows = table_head(search.grid), list(table_rows(search))
    widths = [max(len(row[k]) for row in [head, *rows]) for k in range(len(head) - 1)]
    lines = []
    for row in [head, *rows]:
        cells = [f"{cell:<{width}}" for cell, width in zip(row[:-1], widths, strict=True)]
        lines.append("  ".join([*cells, row[-1]]).rstrip())
    return lines


def date_words(search: Search) -> Iterator[str]:
    """The dates of every design, and what the low c_h would leave of its conditions."""
    programme = search.grid.size.programme
    if programme is None or not search.best:
        return
    scenario = say("cautious") if programme.cautious else say("best")
    yield say("dates", scenario=scenario, step=f"{programme.step:g}", least_wait=f"{programme.least_wait:g}")
    for number, design in enumerate(search.best, start=1):
        dated = design.outcome.dated
        assert dated is not None  # noqa: S101 - what passes has them
        days = ", ".join(f"{clean(name)} {day:g}" for name, day in dated.dates)
        margins = "; ".join(f"{title} {margin:+.3g} {unit}".rstrip() for _, title, margin, unit in dated.low)
        low = say("margins", margins=clean(margins)) if margins else ""
        yield say("starts", number=number, days=days, margins=low)


def open_words(search: Search) -> Iterator[str]:
    """Required verdicts that the grid does not change, and those not verified in the best design, as in the project."""
    if search.unchanged:
        key = max(search.unchanged, key=lambda name: search.unchanged[name])
        yield say("unchanged", count=len(search.unchanged), largest=f"{search.unchanged[key]:.3f}",
                  title=clean(search.screening.titles.get(key, key)))  # fmt: skip
    if search.best and search.best[0].outcome.open:
        count = len(search.best[0].outcome.open)
        yield say("open-several", count=count) if count > 1 else say("open-one")
    if search.screening.unfollowed:
        titles = "; ".join(map(clean, search.screening.unfollowed.values()))
        yield say("unfollowed", titles=titles)
    if dated := search.screening.dated:
        yield say("judged-dated", titles=_first([clean(title) for title in dated.values()]))


def search_record(search: Search, written: str | None) -> dict[str, Any]:
    """The same as plain data; lengths in m."""
    grid = search.grid
    return {
        "section": grid.section.key,
        "objectives": list(grid.size.objective),
        "axes": {axis.name: [choice.name for choice in axis.choices] for axis in grid.axes},
        "combinations": len(grid),
        "excluded": search.screening.excluded(),
        "runs": search.runs,
        "failed": dict(search.failed),
        "proven": search.proven,
        "proven_unless": [*_limitation_numbers(search)],
        "not_asked": {"may_be_better": search.better_left, "not_better": search.not_better},
        "unchanged": dict(search.unchanged),
        "designs": [_design_record(search, number, design) for number, design in enumerate(search.best, start=1)],
        "written": written,
    }


def _design_record(search: Search, place: int, design: Found) -> dict[str, Any]:
    grid, governing = search.grid, design.outcome.governing(search.unchanged)
    return {
        "number": place,
        "choices": {
            axis.name: choice.name for axis, choice in zip(grid.axes, grid.choices(design.number), strict=True)
        },
        "objectives": dict(zip(grid.size.objective, design.objectives, strict=True)),
        "settlement": design.settlement,
        "governing": None if governing is None else {"verdict": governing.key, "utilisation": governing.ratio},
        "limitations": [
            {"key": limit.key, "text": limit.text, "source": limit.source,
             "turns": [verdict.key for verdict in verdicts]}
            for limit, verdicts in design.outcome.turned.items()
        ],
        "not_verified": sorted(design.outcome.open),
        "dates": None if design.outcome.dated is None else dict(design.outcome.dated.dates),
        "margins_low_c_h": None if design.outcome.dated is None else [
            {"at": at, "title": title, "margin": margin, "unit": unit}
            for at, title, margin, unit in design.outcome.dated.low
        ],
    }  # fmt: skip


def on_one_line(words: Sequence[str]) -> str:
    """Words of a design on one line."""
    return f",{SPACE}".join(words)
