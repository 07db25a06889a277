"""Which module imports which, read from the source, and the order in which they may."""

import ast
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

from tests.architecture.checkout import ROOT, modules

# As in DEVELOPERS.md, upper first. Several in a row stand side by side.
LAYERS = (
    {"__main__"},
    {"cli"},
    {"commands"},
    {"terminal"},
    {"archive"},
    {"review"},
    {"site"},
    {"study"},
    {"package"},
    {"chain"},
    {"numbering"},
    {"chapters"},
    {"procedures"},
    {"formulas", "inputs"},
    {"factors"},
    {"engine", "kept", "run_progress", "resources"},
)
RANK = {name: rank for rank, layer in enumerate(LAYERS) for name in layer}


def part_of(path: Path) -> str:
    """The layer's name of a module file: the name under `calc`."""
    return path.relative_to(ROOT / "calc").parts[0].removesuffix(".py")


@cache
def imports_in(text: str) -> tuple[ast.Import | ast.ImportFrom, ...]:
    """What a module imports, anywhere in it; several questions are asked of the same modules."""
    return tuple(node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Import | ast.ImportFrom))


def imported_parts(text: str) -> Iterator[str]:
    """Names under `calc` that a module imports, anywhere in it."""
    for node in imports_in(text):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif node.module == "calc":
            names = [f"calc.{alias.name}" for alias in node.names]
        else:
            names = ["calc." * bool(node.level) + (node.module or "")]
        yield from (name.split(".")[1] for name in names if name.startswith("calc."))


def module_name(path: Path) -> str:
    """The name by which a module file is imported."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def imported_modules(text: str, package: str, known: Collection[str]) -> set[str]:
    """The known modules that a module imports, anywhere in it; ``package`` is what its relative imports start from."""
    names: set[str] = set()
    for node in imports_in(text):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        else:
            above = package.split(".")[: len(package.split(".")) + 1 - node.level] if node.level else []
            start = ".".join(filter(None, [*above, node.module]))
            names |= {name if (name := f"{start}.{alias.name}") in known else start for alias in node.names}
    return names & {*known}


def imports_of_modules() -> dict[str, set[str]]:
    """Every module of calc with those that it imports."""
    paths = {module_name(path): path for path in modules("calc")}
    return {
        name: imported_modules(
            path.read_text(encoding="utf-8"), name if path.stem == "__init__" else name.rpartition(".")[0], paths
        )
        for name, path in paths.items()
    }


def circle_of(imports: Mapping[str, Collection[str]]) -> list[str]:
    """Modules that import one another in a circle, the first again at the end; none where there is no circle."""
    try:
        TopologicalSorter(imports).prepare()
    except CycleError as error:
        return list(reversed(error.args[1]))
    return []


def imported_packages(text: str) -> Iterator[str]:
    """Names of the packages that a module imports, its own included."""
    for node in imports_in(text):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif node.module and not node.level:
            yield node.module.split(".")[0]


def upward_imports() -> list[str]:
    """Imports of a layer above the module's own."""
    return [
        f"{path.relative_to(ROOT)} imports calc.{name}"
        for path in modules("calc")
        for name in imported_parts(path.read_text(encoding="utf-8"))
        if name in RANK and part_of(path) in RANK and RANK[name] < RANK[part_of(path)]
    ]
