"""Examples with their first section alone, for tests that change what their other section has another way."""

from pathlib import Path

PROJECTS = Path(__file__).parents[1] / "projects"
OWN = """\
[section.widening]
columns_right = "0.4 m"
positions = ["3.6 m"]

[section.field]
beyond_right = "5.0 m"

"""
STABILITY, SLEEVE = '\nstability = "2031-007-GEO-C-002', "[sleeve]\n"


def valley_edge() -> str:
    """Its project file up to the timber yard."""
    return _before("valley-edge", "\n# A yard for timber")


def quay_road() -> str:
    """Its project file up to the bend, with the tables of the section in common."""
    text = _before("quay-road", "\n# Beyond the bend")
    assert OWN in text
    widening, own_field = OWN.replace("section.", "").split("\n\n")[:2]
    text = text.replace(OWN, "").replace(STABILITY, widening.partition("\n")[2].join(["\n", STABILITY]), 1)
    return text.replace(SLEEVE, f"{own_field}\n\n{SLEEVE}", 1)


def _before(name: str, sign: str) -> str:
    text, end, _ = (PROJECTS / name / "project.toml").read_text(encoding="utf-8").partition(sign)
    assert end
    return text
