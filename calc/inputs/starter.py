"""The starter project: a commented project file that runs as it is."""

from calc.inputs.scalars import UNPRINTABLE
from calc.resources import template_folder

MARKER = '"Title of the project"'
LONGEST = 300


def starter_project(title: str) -> str:
    """Give the text of a starter project file with its title.

    A title that the reader would refuse raises `ValueError`: empty, of more than 300 characters, or not printable.
    """
    if not title.strip() or len(title) > LONGEST or UNPRINTABLE.search(title) or "\n" in title or "\t" in title:
        message = f"the title must be a printable line of at most {LONGEST} characters (got {title!r:.80})"
        raise ValueError(message)
    text = (template_folder() / "starter" / "project.toml").read_text(encoding="utf-8")
    quoted = title.replace("\\", "\\\\").replace('"', '\\"')
    return text.replace(MARKER, f'"{quoted}"', 1)
