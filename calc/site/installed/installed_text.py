"""What the terminal says of installation records, in about ten lines, and the same sentences for the pages."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from calc.engine.sheet import number_text
from calc.engine.words import words_of
from calc.site.installed.as_built import GridRatio
from calc.site.installed.design_again import Again, Changed
from calc.site.installed.installed_run import Installation
from calc.site.installed.weights import BY_WEIGHT, Group, findings_in_groups

say = words_of(__name__)

MOST_NAMES, MOST_REFUSED = 8, 3


def installed_text(installation: Installation, *, pages: bool = False) -> str:
    """The lines for the terminal; on ``pages`` progress and forecast stand beside the days."""
    compared, records = installation.compared, installation.compared.records
    resent, twice = (sum(again.twice is flag for again in records.again) for flag in (False, True))
    lines = [
        say("outcome", outcome=installation.outcome, revision=compared.made.plan.revision,
            checksum=compared.made.listed.checksum),
        say("read", rows=records.rows, columns=len(records.counted), readings=len(records.readings.of),
            refused=len(records.refused), resent=resent + len(records.readings.replaced), twice=twice),
        *([refused_text(installation)] if records.refused else []),
        say("columns", installed=int(compared.has.sum()), planned=len(compared.ids),
            missing=int(compared.missing.sum()), left=int(compared.open.sum())),
        say("findings", count=len(installation.findings),
            columns=len({finding.id for finding in installation.findings}),
            items=", ".join(items_text(installation)) or say("none")),
    ]  # fmt: skip
    unjudged = [f"{item.title} ({item.why_not})" for item in installation.items if item.why_not]
    lines.append(say("unjudged", items="; ".join(unjudged) if unjudged else say("none")))
    lines.append(area_text(installation))
    lines.append(again_text(installation))
    lines.append(decide_text(installation))
    if not pages:
        lines.append(forecast_text(installation))
    lines.append(say("caution"))
    return "\n".join(lines)


def items_text(installation: Installation) -> Iterator[str]:
    """The items that do not conform by their weight, with the columns of each; of many light ones the worst."""
    worst: dict[str, Group] = {}
    for group in findings_in_groups(installation.findings):
        if isinstance(group, Group):
            worst.setdefault(group.worst.item, group)
    for item in sorted(installation.items, key=lambda item: BY_WEIGHT.index(item.key)):
        if item.failed:
            more = worst.get(item.key)
            yield f"{item.title} {item.failed}" + (say("worst", text=more.text) if more else "")


def refused_text(installation: Installation) -> str:
    """The first rows that do not count, with their reasons."""
    rows = installation.compared.records.refused
    first = [say("refused-row", file=Path(row.file).name, line=row.line, why=row.why) for row in rows[:MOST_REFUSED]]
    more = say("more", count=len(rows) - MOST_REFUSED) if len(rows) > MOST_REFUSED else ""
    return say("refused", rows="; ".join(first) + more)


def area_text(installation: Installation) -> str:
    """The least area ratios as built."""
    if installation.built.why_not:
        return say("no-area", why=installation.built.why_not)
    built = installation.built
    parts = [grid_text(installation, grid) for grid in built.grids]
    if built.unjudged:
        parts.append(say("no-window", grids=", ".join(built.unjudged)))
    counts = (("without-diameter", built.without_diameter), ("without-place", built.without_place),
              ("astray", len(built.astray)))  # fmt: skip
    parts += [say(key, count=count) for key, count in counts if count]
    return say("area", grids="; ".join(parts))


def grid_text(installation: Installation, grid: GridRatio) -> str:
    """The least area ratio of a grid, where it is and what is asked."""
    state = grid.sheet.verdicts[0].state
    return say("grid", name=grid.name, least=number_text(grid.least, 4), design=number_text(grid.design, 4),
               at=installation.compared.ids[grid.worst], state=state)  # fmt: skip


def again_text(installation: Installation) -> str:
    """What the design as built says."""
    if installation.again is None:
        return say("not-again")
    parts = [f"{again.section}: {section_text(again)}" for again in installation.again]
    return say("again", sections=" ".join(parts))


def section_text(again: Again) -> str:
    """What the design of one section says with the values as built, and what it leaves open."""
    open_ = [each for each in again.unsettled if each != again.why_not]
    return " ".join([_result(again), *([say("unsettled", sentences=" ".join(open_))] if open_ else [])])


def _result(again: Again) -> str:
    if not again.changed:
        return again.why_not or say("same", largest=largest_text(again))
    fails = [f"{change.chapter}: {change.title}" for change in again.changed if change.after == "fail"]
    if fails:
        return say("fails", titles=_some(fails))
    opened = [f"{change.chapter}: {change.title}" for change in again.opened]
    if opened:
        return say("opened", titles=_some(opened))
    return say("changes", count=len(again.changed))


def _some(titles: Sequence[str]) -> str:
    own = list(dict.fromkeys(titles))
    return "; ".join(own[:MOST_NAMES]) + (f" (+{len(own) - MOST_NAMES})" if len(own) > MOST_NAMES else "")


def largest_text(again: Again) -> str:
    """The largest utilisations before and after."""
    return ", ".join(f"{change.chapter} {utilisation_text(change.utilisation_before)} → "
                     f"{utilisation_text(change.utilisation_after)}"
                     for change in again.largest)  # fmt: skip


def utilisation_text(value: float | None) -> str:
    """A utilisation."""
    return "–" if value is None else f"{value:.2f}"


def state_text(change: Changed) -> str:
    """A verdict before and after."""
    return f"{change.before} → {change.after}"


def decide_text(installation: Installation) -> str:
    """Columns to be decided on, and places for other columns."""
    names = list(installation.to_decide)
    shown = ", ".join(names[:MOST_NAMES]) + (" …" if len(names) > MOST_NAMES else "")
    extras = sum(len(grid.extras) for grid in installation.built.grids)
    hopeless = sum(grid.without_place for grid in installation.built.grids)
    left = sum(grid.not_searched for grid in installation.built.grids)
    text = say("decide", count=len(names), names=shown or say("none"), extras=extras, hopeless=hopeless)
    return f"{text} {say('not-searched', count=left)}" if left else text


def forecast_text(installation: Installation) -> str:
    """Progress and completion."""
    work = installation.progress
    if work.forecast is None:
        return say("no-forecast", left=work.left, days=len(work.counts), why=work.why_not)
    forecast = work.forecast
    late = forecast.late.isoformat() if forecast.late else say("open-end")
    return say("forecast", left=work.left, rate=f"{forecast.rate:.1f}", days=forecast.days,
               expected=forecast.expected.isoformat(),
               early=forecast.early.isoformat(), late=late)  # fmt: skip
