"""The small test project with everything that the chapter on filters reads, and looks into the chapter."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import tomlkit

from calc.engine.sheet import Sheet, Verdict

Chapters = Callable[..., dict[str, Sheet]]
ROOT = Path(__file__).parents[2]
DAY = 86400.0
FILTERS = """
[[soil]]
layer = "peat"
D_10 = "0.005 mm"
D_15 = "0.010 mm"
D_60 = "0.15 mm"
D_85 = "0.60 mm"
fines = 0.40
source = "invented"
filtration_test = "report 1, invented"
[[soil]]
layer = "clay"
D_10 = "0.0008 mm"
D_15 = "0.0015 mm"
D_60 = "0.02 mm"
D_85 = "0.06 mm"
fines = 0.90
source = "invented"
[fill]
D_10 = "0.20 mm"
D_15 = "0.25 mm"
D_60 = "0.90 mm"
D_85 = "2.0 mm"
fines = 0.03
source = "invented"
[geotextile]
opening = "0.25 mm"
yarn = "0.80 mm"
permeability = "4e-4 m/s"
thickness = "1.6 mm"
open_area = 0.06
source = "invented"
[criteria]
flow = "steady"
fine_retention = 1.0
largest_opening = "0.30 mm"
permeability_ratio = 10
clogging = 3.0
open_area_min = 0.04
gradient_ratio_max = 3.0
granular_retention = 5.0
granular_permeability = 5.0
granular_smallest = "0.1 mm"
fill_retains = false
source = "invented"
[estimates]
hazen = "100 1/cm/s"
porosity = 0.30
grain = "0.1 mm"
viscosity = "1.307e-3 Pa*s"
source = "invented"
[drainage]
ends = "top"
head_loss_max = "0.10 m"
well_resistance_max = 0.3
source = "invented"
"""
PLUG = """
needed = true
reason = "invented"
length = "1.0 m"
permeability = "1e-9 m/s"
gamma_sat = "20 kN/m^3"
shear = "5 kPa"
seepage_max = "5e-10 m/s"
gamma_dst = 1.1
gamma_stb = 0.9
gamma_shear = 1.4
source = "invented"
"""
# The base of the soft layers of the test project, 2.0 m above its water level; the jump leaves the soil at rest.
AQUIFER = [
    {"water": "mean", "points": [{"level": "-6.1 m", "head": "-0.3 m"}, {"level": "-6.1 m", "head": "1.7 m"}],
     "source": "invented"}
]  # fmt: skip
TEST = {"at_geotextile": 2.4, "in_soil": 2.0, "source": "invented"}


def filtered(change: Callable[[Any], None] | None = None) -> Callable[[Any], None]:
    """The test project with its filters, permeable layers and fill, and then a change."""

    def made(document: Any) -> None:
        document["filters"] = tomlkit.parse(FILTERS).unwrap()
        document["columns"]["fill"]["k"] = "1e-4 m/s"
        for layer in document["section"][0]["layer"]:
            layer.update({"k": "2e-9 m/s", "c_v": "1 m^2/a", "c_h": "3 m^2/a"})
        if change:
            change(document)

    return made


def verdict(sheet: Sheet, key: str) -> Verdict:
    return next(one for one in sheet.verdicts if one.key == key)


def keys(sheet: Sheet) -> set[str]:
    return {one.key for one in sheet.verdicts}


def noted(sheet: Sheet, key: str) -> str:
    assert verdict(sheet, key).state == "not verified"
    return verdict(sheet, key).note
