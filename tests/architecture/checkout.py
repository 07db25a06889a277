"""What belongs to the project in a checkout, found without version control so that it works in any copy."""

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "calc", "templates", "tests", "projects", "docs"}
DOT_FOLDERS = {".ci"}
MADE = {"__pycache__", "out"}
MADE_IN_PROJECTS = {"archive"}


def files() -> Iterator[Path]:
    """Every file of the project, without what its commands make."""
    for name in sorted(TOP_LEVEL | DOT_FOLDERS):
        top = ROOT / name
        found = [top] if top.is_file() else sorted(top.rglob("*"))
        yield from (path for path in found if path.is_file() and not made(path.relative_to(ROOT).parts))
    yield ROOT / ".gitignore"


def made(parts: tuple[str, ...]) -> bool:
    """Whether a path of the checkout lies in a folder that the project's commands make."""
    return bool(MADE & set(parts)) or (parts[0] == "projects" and bool(MADE_IN_PROJECTS & set(parts[2:3])))


def texts() -> Iterator[tuple[Path, str]]:
    """Every text file of the project with its content."""
    for path in files():
        content = path.read_bytes()
        if b"\0" not in content:
            yield path, content.decode("utf-8")


def modules(*folders: str) -> list[Path]:
    """Every Python module of these folders."""
    return [path for path in files() if path.suffix == ".py" and path.relative_to(ROOT).parts[0] in folders]


def label(path: Path) -> str:
    """The path as a message gives it."""
    return path.relative_to(ROOT).as_posix()
