import re
from typing import Any

from tests.architecture.checkout import label, modules
from tests.architecture.layers import RANK, imported_parts, part_of, upward_imports

ROOT_MODULE = "__init__"


def test_a_module_imports_only_from_layers_below() -> None:
    assert upward_imports() == [], "move what both need into a layer below, or turn the import round"


def test_every_module_has_a_layer() -> None:
    without = {part_of(path) for path in modules("calc")} - {ROOT_MODULE} - set(RANK)

    assert without == set(), f"give calc/{without} a place in tests/architecture/layers.py and [tool.importlinter]"


def test_imports_are_found_in_every_form() -> None:
    text = "import calc.chain\nfrom calc import cli\ndef f():\n    from calc.package.pages import Pages\n"

    assert list(imported_parts(text)) == ["chain", "cli", "package"]


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
