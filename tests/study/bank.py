"""An invented bank on two soft layers, quick to calculate: the starter project with what consolidation needs."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from calc.engine.sheet import Sheet
from calc.inputs import Design, read_design
from calc.inputs.reading.starter import starter_project
from calc.study.chapters import chapters
from calc.study.shortest import Found, Nothing, Search, Wish
from tests.once import cached

TIME = """
c_v = "1.0 m^2/a"
c_h = "0.6 m^2/a"
OCR = 1.0
S = 0.25
m_shansep = 0.8
C_alpha = 0.006
e_0 = 4.0
k = "1e-9 m/s"
"""
TABLE = """
[consolidation]
drainage = "top"
hand_over = "400 d"
early_traffic = "construction traffic of the same load runs on the crest, invented"
"""


def bank_text(*changes: tuple[str, str], residual: str = "60 mm") -> str:
    """The project file; each change replaces a text that must stand in it."""
    text = starter_project("Bank")
    # Strengths that the stress history explains: with more of it no gain comes, and none could be looked for.
    for key, strength, less in (("peat", 'c_u = "15 kPa"', "0.1 kPa"), ("clay", '# c_u = "16 kPa"', "0.5 kPa")):
        head, mark, tail = text.partition(f'key = "{key}"')
        before, typed, after = tail.partition(strength)
        assert typed
        text = head + mark + before + f'c_u = "{less}"' + TIME + after.partition("\n")[2]
    lines = [line for line in text.split("\n") if not line.startswith(("settlement_residual", "# settlement_residual"))]
    text = "\n".join(lines).replace("[basis.limits]", f'[basis.limits]\nsettlement_residual = "{residual}"')
    text = text.replace("\n[[section]]\n", f"{TABLE}\n[[section]]\n", 1)
    text = text.replace('c_u_gain = "0.1 kPa"', 'c_u_gain = "0.5 kPa"').replace(
        'c_u_gain = "0.3 kPa"', 'c_u_gain = "2 kPa"'
    )
    # One water level: where it stands higher than before construction, it takes the gain away that is looked at here.
    text = text.replace('water = "high"', 'water = "mean"')
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


@cache
def design_of(*changes: tuple[str, str], residual: str = "60 mm") -> Design:
    """The design of a changed bank."""
    with TemporaryDirectory() as folder:
        (Path(folder) / "project.toml").write_text(bank_text(*changes, residual=residual), encoding="utf-8")
        return read_design(Path(folder))


@cached
def done_of(*changes: tuple[str, str]) -> dict[str, Sheet]:
    """Its chapters up to consolidation, with the dates as typed."""
    return chapters(design_of(*changes), design_of(*changes).sections[0], until="consolidation")


@cached
def searched(*changes: tuple[str, str], residual: str = "60 mm", **wish: Any) -> Found | Nothing:
    """What the search finds in it."""
    return search_of(*changes, residual=residual, **wish).dates()


def search_of(*changes: tuple[str, str], residual: str = "60 mm", **wish: Any) -> Search:
    """A search of its own."""
    design = design_of(*changes, residual=residual)
    return Search(design, design.sections[0], Wish(**wish))


def found_in(*changes: tuple[str, str], residual: str = "60 mm", **wish: Any) -> Found:
    """The programme of a bank that has one."""
    found = searched(*changes, residual=residual, **wish)
    assert isinstance(found, Found)
    return found


def nothing_in(*changes: tuple[str, str], residual: str = "60 mm", **wish: Any) -> Nothing:
    """Why a bank has no programme."""
    found = searched(*changes, residual=residual, **wish)
    assert isinstance(found, Nothing)
    return found
