"""The example `willow-reach` with its high bank alone, for tests that change it: its low end has tables of its own."""

from pathlib import Path

FOLDER = Path(__file__).parents[1] / "projects" / "willow-reach"


def high_bank() -> str:
    """Its project file up to the section of the low end."""
    text, end, _ = (FOLDER / "project.toml").read_text(encoding="utf-8").partition("\n# Towards its end")
    assert end
    return text
