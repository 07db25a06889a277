"""Where the files that belong to the program but are not Python lie, and the fingerprint of the program."""

from functools import cache
from hashlib import sha256
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent
TEMPLATES = "_templates"  # in an installed package


def template_folder() -> Path:
    """Templates, style sheet and fonts: inside an installed package, beside it in a checkout."""
    packaged = PACKAGE / TEMPLATES
    return packaged if packaged.is_dir() else PACKAGE.parent / "templates"


def changelog_text() -> str:
    """The changelog: inside an installed package, or among the documents of a checkout; empty where it is missing."""
    for path in (PACKAGE / "_docs" / "changelog.md", PACKAGE.parent / "docs" / "changelog.md"):
        if path.is_file():
            return path.read_text(encoding="utf-8")
    return ""


def program_files() -> dict[str, Path]:
    """Python, words, lists of lines and data, and templates, by their path in a checkout."""
    templates = template_folder()
    paths = [path for path in PACKAGE.rglob("*.*") if path.suffix in {".py", ".toml", ".txt", ".json"}]
    files = {f"calc/{path.relative_to(PACKAGE).as_posix()}": path for path in paths if TEMPLATES not in path.parts}
    return files | {f"templates/{path.relative_to(templates).as_posix()}": path for path in templates.rglob("*.*")}


@cache
def program_fingerprint() -> str:
    """SHA-256 over the program's own files: the same in a checkout and where it is installed."""
    files = program_files()
    digest = sha256()
    for name in sorted(files):
        content = files[name].read_bytes()
        digest.update(f"{name} {len(content)}\n".encode())
        digest.update(content)
    return digest.hexdigest()
