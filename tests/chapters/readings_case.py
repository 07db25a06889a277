"""The small test project with a file of results beside it, and its chapter on characteristic values alone."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import tomlkit

from calc.chapters.ground_model.page import page
from calc.chapters.ground_model.steps import ground_model
from calc.engine.sheet import Page, Sheet, settle_cases, settle_cited, settle_turns
from calc.inputs import read_design
from tests.chapters.timed import base_document

D = (9.1, 10.4, 9.8, 12.6, 13.1, 12.9, 15.8, 15.2)
"""Readings at 1 to 8 m of the verification values V2.3 to V2.5."""
HEAD = "id,location,test,layer,depth,c_fv,I_P,w_L,q_c,u_2,a,u_0,c_u,stress,strain,sigma_p,k,organic"
UNITS = ",,,,m,kPa,%,%,kPa,kPa,,kPa,kPa,kPa,%,kPa,m/s,%"
CLAY = {"layer": "clay", "parameter": "c_u", "test": "strength", "estimate": "mean", "unsafe": "high",
        "required": True, "source": "why", "soil": "clay"}  # fmt: skip
Row = dict[str, Any]


def table(rows: Iterable[Row]) -> str:
    """A CSV file of results; a row without an id is numbered."""
    names = HEAD.split(",")
    lines = [HEAD, UNITS]
    for k, row in enumerate(rows, start=1):
        full = {"id": f"R{k}", "location": "B1", "layer": "clay", **row}
        lines.append(",".join(str(full.get(name, "")) for name in names))
    return "\n".join(lines) + "\n"


def strengths(values: Iterable[float] = D, depths: Iterable[float] = range(1, 9), **more: Any) -> list[Row]:
    """Strengths by depth."""
    return [{"test": "strength", "depth": z, "c_u": x, **more} for x, z in zip(values, depths, strict=True)]


def read_case(
    folder: Path, rows: Iterable[Row] | str, *values: dict[str, Any], change: Callable[[Any], None] | None = None
) -> Any:
    """The design of the test project with these rows, or the text of an AGS 4 file, and these values."""
    name = "data.ags" if isinstance(rows, str) else "data.csv"
    document = base_document()
    document["section"][0]["ground_model"] = {
        "file": name, "source": "report 1", "locations": ["B1"], "value": [CLAY | value for value in values],
    }  # fmt: skip
    if change:
        change(document)
    (folder / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    (folder / name).write_text(rows if isinstance(rows, str) else table(rows), encoding="utf-8")
    return read_design(folder)


def chapter_of(
    folder: Path, rows: Iterable[Row] | str, *values: dict[str, Any], change: Callable[[Any], None] | None = None
) -> Sheet:
    """The chapter with its page."""
    design = read_case(folder, rows, *values, change=change)
    (section,) = design.sections
    sheet = ground_model(design, section, {}).finish()
    settle_turns([sheet])
    settle_cited([sheet])
    sheet.written = Page(sheet, settle_cases([sheet]))
    page(sheet.page, design, section, {"ground_model": sheet})
    return sheet


def used(strength: str, growth: str = "") -> Callable[[Any], None]:
    """The clay with this undrained strength at its top."""

    def change(document: Any) -> None:
        layer = document["section"][0]["layer"][1]
        layer["c_u"] = strength
        if growth:
            layer["c_u_growth"] = growth

    return change
