"""The example `willow-reach` with its high bank alone, for tests that change it: its low end has tables of its own."""

from pathlib import Path

FOLDER = Path(__file__).parents[1] / "projects" / "willow-reach"
OF_ZONE = 'embedment = "0.5 m" # as that of all'


def high_bank() -> str:
    """Its project file up to the section of the low end, its zone without a length of its own."""
    text, end, _ = (FOLDER / "project.toml").read_text(encoding="utf-8").partition("\n# Towards its end")
    before, line, behind = text.partition(OF_ZONE)
    assert end
    assert line
    return before + behind.partition("\n")[2]
