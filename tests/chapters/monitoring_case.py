"""What the tests of monitoring share: the test project with all that the chapter reads, plans, levels, readings."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import tomlkit

from calc.chain import CHAPTERS, write_pages
from calc.chapters.monitoring.page import page
from calc.engine.sheet import Page, Sheet, Table, Verdict, settle_cases
from calc.inputs import Design, read_design
from tests.chapters.timed import BASE, TIME

Change = Callable[[Any], None]
Judge = Callable[..., Sheet]
BELOW = {"key": "below", "name": "Sand below", "thickness": "4 m", "gamma_sat": "20 kN/m^3", "E": "40 MPa"}
FIRST, FINAL = "First lift", "Final"
MEASURED = (
    "settlement", "lateral displacement", "pore pressure", "ring strain", "pressure on soil", "pressure on columns",
    "undrained strength", "groundwater", "aquifer head",
)  # fmt: skip


def instrument(name: str, quantity: str, **more: Any) -> dict[str, Any]:
    """Every field that a plan states, invented; None leaves one out."""
    given = {
        "name": name, "quantity": quantity, "purpose": "to see", "place": "axis", "number": 3, "zero": "before",
        "filling": "daily", "waiting": "weekly", "service": "yearly", "until": "two years", "evaluation": "plotted",
        "measured_by": "contractor", "interpreted_by": "designer", "maintained_by": "contractor", "source": "invented",
        **more,
    }  # fmt: skip
    return {key: value for key, value in given.items() if value is not None}


def trigger(quantity: str, level: Any, kind: str = "stop", **more: Any) -> dict[str, Any]:
    return {
        "quantity": quantity, "kind": kind, "level": level, "action": "stop", "decides": "designer",
        "source": "invented", **more,
    }  # fmt: skip


ALL = [instrument(f"I{k}", quantity) for k, quantity in enumerate(MEASURED)]


def timed(*changes: Change) -> Change:
    """The test project with consolidation, no gain counted on and no ratio above 1, then changed."""

    def change(document: Any) -> None:
        document["consolidation"] = {"drainage": "top", "hand_over": "500 d"}
        document["columns"]["fill"]["k"] = "1e-4 m/s"
        for layer in document["section"][0]["layer"]:
            layer.update(TIME)
        for stage in document["stage"]:
            stage["n_stability"] = 1
            stage.pop("c_u_gain", None)
            stage.pop("c_u_gain_source", None)
        for one in changes:
            one(document)

    return change


def watched(*triggers: dict[str, Any], instruments: list[dict[str, Any]] | None = None, **more: Any) -> Change:
    """The table of monitoring."""

    def change(document: Any) -> None:
        given = {"instrument": ALL if instruments is None else instruments, "trigger": list(triggers), **more}
        document["monitoring"] = {key: value for key, value in given.items() if value}

    return change


def section(**tables: Any) -> Change:
    """Tables of the file merged with what they hold."""

    def change(document: Any) -> None:
        for name, values in tables.items():
            document[name] = {**document.get(name, {}), **values}

    return change


def stage(index: int, **values: Any) -> Change:
    return lambda document: document["stage"][index].update(values)


def read(folder: Path, *changes: Change) -> Design:
    """The test project after changes."""
    document = tomlkit.parse(BASE.read_text(encoding="utf-8"))
    for change in changes:
        change(document)
    (folder / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    return read_design(folder)


_BEFORE: dict[str, dict[str, Sheet]] = {}


def run_to_the_end(design: Design) -> dict[str, Sheet]:
    """The chapters of the first section by key; those before this one are made once for the same inputs."""
    section_of = design.sections[0]
    keys = [chapter.key for chapter in CHAPTERS]
    *chapters, last = CHAPTERS[: keys.index("monitoring") + 1]
    key = repr(design.basis) + repr(section_of.model_copy(update={"monitoring": None}))
    if key not in _BEFORE:
        before: dict[str, Sheet] = {}
        for chapter in chapters:
            assert chapter.check is not None
            before[chapter.key] = chapter.check(design, section_of, before).finish()
        write_pages(design, section_of, before, settle_cases(tuple(before.values())))
        _BEFORE[key] = before
    assert last.check is not None
    done = dict(_BEFORE[key])
    done[last.key] = made = last.check(design, section_of, done).finish()
    made.written = Page(made, settle_cases(tuple(done.values())))
    page(made.written, design, section_of, done)
    return done


def verdicts(sheet: Sheet) -> dict[str, Verdict]:
    return {verdict.key: verdict for verdict in sheet.verdicts}


def table(sheet: Sheet, key: str) -> Table:
    return next(one for one in sheet.page.tables if one.key == key)


def keys(sheet: Sheet) -> set[str]:
    return {limitation.key for limitation in sheet.limitations}


def judged(sheet: Sheet, number: int = 1) -> dict[str, str]:
    """A row of the tables of levels by its heads."""
    for rows in (one for one in sheet.page.tables if one.key in {"stop", "attention"}):
        for row in rows.rows:
            if row[0] == f"T{number}":
                return dict(zip((column.words for column in rows.head), row, strict=True))
    message = f"no trigger T{number}"
    raise LookupError(message)
