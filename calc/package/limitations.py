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
    found: dict[tuple[str, str, tuple[str, ...]], _Found] = {}
    for part in run.sections:
        rated = (verdict for sheet in part.sheets for verdict in sheet.verdicts if verdict.utilisation is not None)
        passed = {one.key for one in rated if one.state == "pass"}
        for chapter, sheet in enumerate(part.sheets, start=1):
            for limit in sheet.limitations:
                key = keys.setdefault((limit.text, limit.source), limit.key)
                alike = (key, limit.source, tuple(changing.split(limit.text)))
                one = found.setdefault(alike, _Found([], []))
                one.said.append((part.section.key, limit))
                one.chapters.append(chapter)
                one.turns |= bool(passed.intersection(limit.turns))
    ranked = sorted(found.values(), key=lambda one: (not one.turns, min(one.chapters)))
    every = [part.section.key for part in run.sections]
    return {
        limit: view
        for index, one in enumerate(ranked, start=1)
        for view in [_view(index, one, changing, every)]
        for _, limit in one.said
    }


def _changing(run: Run) -> Pattern[str]:
    """What may differ between two texts that say the same: a number, or stages one after another."""
    names = {stage_name(f"{k} {stage.name}") for part in run.sections for k, stage in enumerate(part.section.stages)}
    stage = "|".join(escape(name) for name in sorted(names, key=len, reverse=True))
    return pattern(rf"(?:{stage})(?:, (?:{stage}))*|\d+(?:\.\d+)?")


def _view(index: int, found: _Found, changing: Pattern[str], every: Sequence[str]) -> LimitView:
    keys = list(dict.fromkeys(section for section, _ in found.said))
    first = found.said[0][1]
    said = [[(key, text) for text in changing.findall(limit.text)] for key, limit in found.said]
    slots = zip(*said, strict=True)
    words = iter([_numbers_by_section(slot) for slot in slots])
    return LimitView(
        number=f"L{index}",
        anchor=f"limit{index}",
        text=set_minus(changing.sub(lambda _: next(words), without_fields(first.text))),
        source=first.source,
        chapters=tuple(f"{chapter}" for chapter in sorted(set(found.chapters))),
        where="" if len(keys) == len(every) else ", ".join(keys),
        turns=found.turns,
    )


def _numbers_by_section(said: Iterable[tuple[str, str]]) -> str:
    """A number or some stages, with the sections of each where they differ: `0.75 (A), 0.85 (B, C)`."""
    found: dict[str, list[str]] = {}
    for key, text in said:
        found.setdefault(text, []).append(key)
    if len(found) == 1:
        return next(iter(found))
    return ("; " if any("," in text for text in found) else ", ").join(
        f"{text} ({', '.join(dict.fromkeys(keys))})" for text, keys in found.items()
    )
