import re
from typing import Any

from tests.architecture.checkout import label, modules
from tests.architecture.layers import (
    RANK,
    circle_of,
    imported_modules,
    imported_parts,
    imports_of_modules,
    part_of,
    upward_imports,
)

ROOT_MODULE = "__init__"


def test_a_module_imports_only_from_layers_below() -> None:
    assert upward_imports() == [], "move what both need into a layer below, or turn the import round"


def test_every_module_has_a_layer() -> None:
    without = {part_of(path) for path in modules("calc")} - {ROOT_MODULE} - set(RANK)

    assert without == set(), f"give calc/{without} a place in tests/architecture/layers.py and [tool.importlinter]"


def test_imports_are_found_in_every_form() -> None:
    text = "import calc.chain\nfrom calc import cli\ndef f():\n    from calc.package.pages import Pages\n"

    assert list(imported_parts(text)) == ["chain", "cli", "package"]


def test_modules_import_in_no_circle() -> None:
    """Neither inside a function nor for types alone: who reads one of them has to read the others."""
    circle = circle_of(imports_of_modules())

    assert circle == [], f"{' imports '.join(circle)}: move what they share into a module, or turn an import round"


def test_a_circle_would_be_found() -> None:
    assert circle_of({"a": {"b", "d"}, "b": {"c"}, "c": {"a"}, "d": set()}) in (
        ["a", "b", "c", "a"], ["b", "c", "a", "b"], ["c", "a", "b", "c"],
    )  # fmt: skip
    assert circle_of({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []
    assert circle_of({"a": {"a"}}) == ["a", "a"]


def test_imported_modules_are_found_in_every_form() -> None:
    known = {f"calc.{name}" for name in ("chain", "cli", "package", "package.pages", "package.rows", "units", "words")}
    text = (
        "import calc.chain\nfrom calc import cli\nfrom . import rows\nfrom .pages import Pages\nfrom .. import units\n"
        "def f():\n    from calc.package import Package\nif TYPE_CHECKING:\n    from ..words import say\nimport numpy"
    )

    assert imported_modules(text, "calc.package", known) == known


def test_units_stay_out_of_formulas_procedures_and_chapters() -> None:
    """House rule: numbers are plain arrays in one unit system there."""
    inside = [path for path in modules("calc") if part_of(path) in {"formulas", "procedures", "chapters"}]

    with_units = [label(path) for path in inside if re.search(r"\bpint\b", path.read_text(encoding="utf-8"))]

    assert with_units == [], "take units out: they belong into calc/inputs/reading, printing and the dimension test"
    assert {part_of(path) for path in inside} == {"formulas", "procedures", "chapters"}


def test_layers_are_those_of_the_import_linter(pyproject: dict[str, Any]) -> None:
    listed = pyproject["tool"]["importlinter"]["contracts"][0]["layers"]
    names = [set(line.replace("(", "").replace(")", "").replace("|", " ").replace(":", " ").split()) for line in listed]

    assert [RANK[name] for layer in names for name in layer] == [
        rank for rank, layer in enumerate(names) for _ in layer
    ]
    assert set().union(*names) == set(RANK)
