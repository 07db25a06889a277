"""The test project as sections that follow one another, run up to the chapter on bearing, and their alignment."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import tomlkit

from calc.chain import CHAPTERS, run_chapters, write_pages
from calc.engine.sheet import Sheet, settle_cases, settle_cited
from calc.inputs import Design, read_design
from tests.chapters.monitoring_case import BELOW
from tests.chapters.timed import base_document, kept, timed

Change = Callable[[Any], None]
KEYS = [chapter.key for chapter in CHAPTERS]
EARLY = CHAPTERS[: KEYS.index("bearing") + 1]
LATE = [chapter for chapter in CHAPTERS if chapter.across]
ROAD = {"to": "untreated ground", "settlement_hand_over": "0 mm", "settlement_residual": "0 mm", "source": "report"}


def transition(at: str, length: str = "20 m", **more: Any) -> dict[str, Any]:
    return {"at": at, "to": "section", "length": length, "means": "spacing", **more}


def ends(first: str, last: str, length: str = "500 m") -> list[dict[str, Any]]:
    """Ground at both ends of the sections that settles nowhere, a long way off."""
    return [transition(one, length, **ROAD) for one in (first, last)]


def follow(*sections: tuple[str, Change | None], transitions: list[dict[str, Any]] | None, **limits: Any) -> Change:
    """Sections with these chainages, each changed, and the table [alignment] where there are transitions."""

    def change(document: Any) -> None:
        (first,) = document["section"]
        first["layer_below"] = [BELOW]
        made = [first.unwrap() for _ in sections]
        for key, own, (chainage, more) in zip("ABCDE", made, sections, strict=False):
            own.update(key=key, chainage=chainage)
            if more:
                more(own)
        document["section"] = made
        if transitions is not None:
            document["outside"]["structures"] = "see the table alignment"
            document["alignment"] = {"source": "invented", "transition": transitions, **limits}

    return change


def run(folder: Path, *changes: Change) -> tuple[Design, dict[str, dict[str, Sheet]]]:
    """The design, and by section the sheets up to that on bearing and that on the alignment, with their pages."""
    document = base_document()
    for change in (timed(), *changes):
        change(document)
    (folder / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    design = read_design(folder)
    early = {section.key: _early(design, place) for place, section in enumerate(design.sections)}
    found: dict[str, dict[str, Sheet]] = {}
    for section in design.sections:
        found[section.key] = dict(early[section.key])
        run_chapters(design, section, LATE, found[section.key], others=_paths(early))
    for section in design.sections:
        done = found[section.key]
        settle_cited(tuple(done.values()))
        write_pages(design, section, done, settle_cases(tuple(done.values())), _paths(found))
    return design, found


def _paths(sheets: dict[str, dict[str, Sheet]]) -> dict[str, Sheet]:
    return {f"{section}/{key}": one for section, own in sheets.items() for key, one in own.items()}


def _early(design: Design, place: int) -> dict[str, Sheet]:
    """The sheets of a section up to that on bearing, once for the same inputs."""
    section = design.sections[place]

    def made() -> dict[str, Sheet]:
        done: dict[str, Sheet] = {}
        run_chapters(design, section, EARLY, done)
        return done

    return dict(kept(("bearing of a section", repr(design.basis) + repr(section)), made))
