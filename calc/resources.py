"""Where the files that belong to the program but are not Python lie."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent


def template_folder() -> Path:
    """Templates, style sheet and fonts: inside an installed package, beside it in a checkout."""
    packaged = PACKAGE / "_templates"
    return packaged if packaged.is_dir() else PACKAGE.parent / "templates"
