"""A small project with a plan, made wrong or changed in one place."""

from collections.abc import Callable
from pathlib import Path

from calc.inputs import Design, read_design
from calc.inputs.reading.starter import starter_project
from calc.site.plan.write_plan import MadePlan, make_plan

PLAN = """
[plan]
grid = "test grid"
height_datum = "test datum"
scale_factor = 1.0
revision = "P1"
clear_distance = "1.2 m"
ratio_tolerance = 0.2
same_place = "10 mm"
source = "test"

[plan.line]
start = "0+000"
point = [
    { easting = "1000 m", northing = "2000 m" },
    { easting = "1060 m", northing = "2080 m" },
]

[[plan.area]]
section = "A"
letter = "A"
working_level = "0.50 m"
"""
FIELD = """
[field]
beyond_left = "6.0 m"
beyond_right = "6.0 m"
"""
QUANTITIES = """
[construction.quantities]
length = "100 m"
sleeve_top = "0.5 m"
sleeve_toe = "0.3 m"
fill_excess = 1.15
source = "test"
"""
SLEEVES = """
[plan.sleeves]
classes = 3
step = "0.10 m"
roll = ["60 m"]
cut_loss = "0.02 m"
box = 7
boxes_by = "row"
"""
Change = tuple[str, str]


def planned_text(*changes: Change, plan: str = PLAN, field: str = FIELD, more: str = "") -> str:
    """The starter with a plan and a field, after changes of the whole text."""
    head, rest = starter_project("Test").split("\n[embankment]", 1)
    own, whole = plan + field + more, f"\n[embankment]{rest}"
    for old, new in changes:
        # The starter has a plan of its own in comments: what the plan here says is changed here.
        assert old in own or old in whole, old
        if old in own:
            own = own.replace(old, new, 1)
        else:
            whole = whole.replace(old, new, 1)
    return head + own + whole


def planned(folder: Path, *changes: Change, plan: str = PLAN, more: str = "") -> Design:
    """The design of that text."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "project.toml").write_text(planned_text(*changes, plan=plan, more=more), encoding="utf-8")
    return read_design(folder)


def made(folder: Path, *changes: Change, plan: str = PLAN, more: str = "") -> MadePlan:
    """The plan of that text."""
    design = planned(folder, *changes, plan=plan, more=more)
    assert design.plan is not None
    return make_plan(design, design.plan)


Made = Callable[..., MadePlan]
