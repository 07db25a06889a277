"""Limitations as pages show them: each text once, whatever the numbers and sections that it is said of."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from re import Pattern, escape
from re import compile as pattern

from calc.chain import Run
from calc.engine.sheet import Limitation, stage_name
from calc.engine.typeset import set_minus
from calc.package.shown import without_fields

Said = tuple[str, Limitation]  # of a section


@dataclass(frozen=True, slots=True)
class LimitView:
    """One limitation with its number, the chapters in which it arises and its sections where these are not all."""

    number: str
    anchor: str
    text: str
    source: str
    chapters: tuple[str, ...]
    where: str
    turns: bool


@dataclass
class _Found:
    """A text as it was said, with which sections and chapters have said it; `turns` where a verdict hangs on it."""

    said: list[Said]
    chapters: list[int]
    turns: bool = False


def collect_limits(run: Run) -> dict[Limitation, LimitView]:
    """The view of every limitation: those that would turn a passing verdict first, then in the order of chapters.

    What differs in nothing but numbers or the stages that it names is one view, whose text names the sections of each
    number; so is what is said in the same words of more than one side.
    """
    changing = _changing(run)
    keys: dict[tuple[str, str], str] = {}
    groups: dict[tuple[str, str, tuple[str, ...]], _Found] = {}
    for part in run.sections:
        rated = (verdict for sheet in part.sheets for verdict in sheet.verdicts if verdict.utilisation is not None)
        passed = {verdict.key for verdict in rated if verdict.state == "pass"}
        for chapter, sheet in enumerate(part.sheets, start=1):
            for limit in sheet.limitations:
                key = keys.setdefault((limit.text, limit.source), limit.key)
                alike = (key, limit.source, tuple(changing.split(limit.text)))
                group = groups.setdefault(alike, _Found([], []))
                group.said.append((part.section.key, limit))
                group.chapters.append(chapter)
                group.turns |= bool(passed.intersection(limit.turns))
    ranked = sorted(groups.values(), key=lambda item: (not item.turns, min(item.chapters)))
    every = [part.section.key for part in run.sections]
    return {
        limit: view
        for index, item in enumerate(ranked, start=1)
        for view in [_view(index, item, changing, every)]
        for _, limit in item.said
    }


def _changing(run: Run) -> Pattern[str]:
    """What may differ between two texts that say the same: a number, or stages one after another."""
    names = {stage_name(f"{k} {stage.name}") for part in run.sections for k, stage in enumerate(part.section.stages)}
    stage = "|".join(escape(name) for name in sorted(names, key=len, reverse=True))
    return pattern(rf"(?:{stage})(?:, (?:{stage}))*|\d+(?:\.\d+)?")


def _view(index: int, group: _Found, changing: Pattern[str], every: Sequence[str]) -> LimitView:
    keys = list(dict.fromkeys(section for section, _ in group.said))
    first = group.said[0][1]
    said = [[(key, text) for text in changing.findall(limit.text)] for key, limit in group.said]
    slots = zip(*said, strict=True)
    words = iter([_numbers_by_section(slot) for slot in slots])
    return LimitView(
        number=f"L{index}",
        anchor=f"limit{index}",
        text=set_minus(changing.sub(lambda _: next(words), without_fields(first.text))),
        source=first.source,
        chapters=tuple(f"{chapter}" for chapter in sorted(set(group.chapters))),
        where="" if len(keys) == len(every) else ", ".join(keys),
        turns=group.turns,
    )


def _numbers_by_section(said: Iterable[tuple[str, str]]) -> str:
    """A number or some stages, with the sections of each where they differ: `0.75 (A), 0.85 (B, C)`."""
    by_text: dict[str, list[str]] = {}
    for key, text in said:
        by_text.setdefault(text, []).append(key)
    if len(by_text) == 1:
        return next(iter(by_text))
    return ("; " if any("," in text for text in by_text) else ", ").join(
        f"{text} ({', '.join(dict.fromkeys(keys))})" for text, keys in by_text.items()
    )
