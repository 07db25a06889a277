"""An invented bank on two soft layers with a coarse search for slip surfaces: the starter project, quick to search."""

from pathlib import Path

from calc.inputs import Design, read_design
from calc.inputs.reading.starter import starter_project

SLIP = """
[field]
beyond_left = "8.0 m"
beyond_right = "8.0 m"

[slip]
drained = false
water_mode = "vertical"
min_depth = "1.0 m"
centres = 4
levels = 4
slices = 10

"""
VARIED = """
[vary]
points = 256
replicates = 8
seed = 4

[[vary.input]]
path = "layer.peat.c_u"
distribution = "lognormal"
mean = "15 kPa"
cov = 0.3
source = "vane tests (invented)"

[[vary.input]]
path = "embankment.gamma"
distribution = "normal"
mean = "19 kN/m^3"
sd = "0.6 kN/m^3"
source = "density tests (invented)"

[[vary.limit_state]]
verdict = "stability/global_stability"

"""


def slip_text(*changes: tuple[str, str], in_one_lift: bool = True) -> str:
    """The project file; each change replaces a text that must stand in it."""
    text = starter_project("Bank").replace('# c_u = "16 kPa"', 'c_u = "16 kPa"', 1)
    text = text.replace("\n[[section]]\n", f"{SLIP}{VARIED}\n[[section]]\n", 1)
    if in_one_lift:  # a stage in between is searched as long as the last one
        head, _, middle = text.partition('[[stage]]\nname = "Stage 1"')
        text = head + middle[middle.index('[[stage]]\nname = "Final"') :]
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def slip_design(folder: Path, *changes: tuple[str, str]) -> Design:
    """The design of it, of a file in a folder."""
    (folder / "project.toml").write_text(slip_text(*changes), encoding="utf-8")
    return read_design(folder)
