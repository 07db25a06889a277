"""The test project with everything that the chapter on consolidation asks for, and how that chapter is made alone."""

from collections.abc import Callable
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import tomlkit

from calc.chain import CHAPTERS, write_pages
from calc.engine.figure import TimeChart, Track
from calc.engine.sheet import Sheet, Verdict, settle_cases
from calc.inputs import Design, read_design

BASE = Path(__file__).parent / "project.toml"
Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
Made = TypeVar("Made")
MOST_KEPT = 32
TIME = {"c_v": "1 m^2/a", "c_h": "2 m^2/a", "C_alpha": 0.03, "e_0": 3.0, "OCR": 1.1, "S": 0.25, "m_shansep": 0.8,
        "k": "2e-9 m/s", "smear": {"ratio": 2.0, "k_ratio": 3.0}}  # fmt: skip


@cache
def _parsed() -> tomlkit.TOMLDocument:
    return tomlkit.parse(BASE.read_text(encoding="utf-8"))


def base_document() -> Any:
    """The test project, to be changed: copied in two thirds of the time that it takes to parse."""
    return deepcopy(_parsed())


def timed(*changes: Change, hand_over: str = "500 d", drainage: str = "top") -> Change:
    """The test project with everything that the chapter asks for, then changed."""

    def change(document: Any) -> None:
        document["consolidation"] = {"drainage": drainage, "hand_over": hand_over}
        document["basis"]["limits"]["settlement_residual"] = "0.30 m"
        document["columns"]["fill"]["k"] = "1e-4 m/s"
        for layer in document["section"][0]["layer"]:
            layer.update(TIME)
        for one in changes:
            one(document)

    return change


def reach(document: Any) -> None:
    """Columns 9 m beyond the crest edge."""
    document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}


def layers(**values: Any) -> Change:
    """Every layer with these values; None takes one out."""

    def change(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            for name, value in values.items():
                if value is None:
                    layer.pop(name)
                else:
                    layer[name] = value

    return change


def stage(index: int, **values: Any) -> Change:
    def change(document: Any) -> None:
        document["stage"][index].update(values)

    return change


def tracks(sheet: Sheet) -> tuple[Track, ...]:
    (figure,) = sheet.page.figures
    assert isinstance(figure, TimeChart)
    return figure.tracks


def verdicts(sheet: Sheet) -> dict[str, Verdict]:
    return {verdict.key: verdict for verdict in sheet.verdicts}


def keys(sheet: Sheet) -> set[str]:
    return {limitation.key for limitation in sheet.limitations}


def time_chapter(first: Chapters, *changes: Change, **values: str) -> Sheet:
    return first(timed(*changes, **values))["consolidation"]


_KEPT: dict[tuple[str, str], Any] = {}


def kept(key: tuple[str, str], make: Callable[[], Made]) -> Made:
    """What the same part of the chain gave for the same text: finished sheets, which tests only read."""
    found: Made = _KEPT.pop(key) if key in _KEPT else make()
    _KEPT[key] = found
    if len(_KEPT) > MOST_KEPT:
        del _KEPT[next(iter(_KEPT))]  # the one that was asked for longest ago
    return found


def sheets_of(design: Design, last: str) -> dict[str, Sheet]:
    """The sheets of the first section up to that of a chapter."""
    done: dict[str, Sheet] = {}
    for chapter in CHAPTERS[: 1 + [one.key for one in CHAPTERS].index(last)]:
        assert chapter.check is not None
        done[chapter.key] = chapter.check(design, design.sections[0], done).finish()
    return done


def first_chapters(folder: Path, last: str = "consolidation", *, fresh: bool = False) -> Chapters:
    """The chapters up to this one, or to another one; `fresh` for a test that changes the program itself."""

    def made() -> dict[str, Sheet]:
        design = read_design(folder)
        done = sheets_of(design, last)
        write_pages(design, design.sections[0], done, settle_cases(tuple(done.values())))
        return done

    def run(change: Change | None = None) -> dict[str, Sheet]:
        document = base_document()
        if change:
            change(document)
        text = tomlkit.dumps(document)
        (folder / "project.toml").write_text(text, encoding="utf-8")
        return made() if fresh else dict(kept((last, text), made))

    return run
