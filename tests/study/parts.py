"""An invented grid over a bank whose columns have zones, and one over berms: the example with zones, changed."""

from pathlib import Path

from tests.study.grids import sleeve

EXAMPLE = Path(__file__).parents[2] / "projects" / "willow-reach" / "project.toml"
SIZE = """
[size]
objective = {objective}
currency = "EUR"
diameter = ["0.80 m"]
spacing = {spacing}
pattern = ["triangular"]
sleeve = ["light"]
[[size.installation]]
method = "displacement"
K_star = 1.0
[size.installation.price]
column = {{ value = 60, source = "Tender (invented)" }}
metre = {{ value = 22, source = "Tender (invented)" }}
volume = {{ value = 31, source = "Tender (invented)" }}
"""
ZONE = """
[[size.zone]]
key = "slope"
spacing = ["1.75 m", "2.00 m"]
"""
BERMS = """
[[size.berm]]
side = "both"
width = ["4 m", "5 m"]
height = ["0 m", "1.5 m"]
price = { value = 18, source = "Tender (invented)" }
carbon = { value = 6, source = "Declaration (invented)" }
"""
BERM = """
[embankment.berm_{side}]
width = "4 m"
height = "1 m"
slope = "1:3"
stage = "{stage}"
"""
PROGRAMME = """
[size.programme]
round = "14 d"
latest = "3 a"
"""


def parts_text(
    *tables: str, zones: bool = True, berms: bool = False, objective: str = '["cost"]', spacing: str = '["2.20 m"]'
) -> str:
    """The project file with its grid and more tables; without its zones, or with berms, where asked for."""
    first, _, _ = EXAMPLE.read_text(encoding="utf-8").rpartition("\n[[section]]")
    text = f"{first}\n"
    if not zones:
        head, _, tail = text.partition("[[columns.zone]]")
        text = head + tail[tail.index("[field]") :]
    stage = text.rpartition("[[stage]]")[2].partition('name = "')[2].partition('"')[0]
    if berms:
        text = text.replace("[traffic]", "".join(BERM.format(side=one, stage=stage) for one in ("left", "right"))
                            + "\n[traffic]", 1)  # fmt: skip
    tube = sleeve("light", 400, 9, 2).replace("iso20432", "factors").replace("R2 = ", "# R2 = ")
    for old, new in (("RF_CR", "A1"), ("RF_ID", "A2"), ("RF_W", "A3"), ("RF_CH", "A4"), ("R1 = ", "A5 = ")):
        tube = tube.replace(old, new)
    made = SIZE.format(objective=objective, spacing=spacing) + "".join(tables)
    return text + made + tube.replace('time = "80 a"', 'time = "60 a"')


def write_parts(folder: Path, *tables: str, **wish: object) -> Path:
    """A project folder with it."""
    folder.mkdir()
    (folder / "project.toml").write_text(parts_text(*tables, **wish), encoding="utf-8")  # type: ignore[arg-type]
    return folder
