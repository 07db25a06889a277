"""The test project with an earthquake: a stage of the seismic situation before the final one."""

from collections.abc import Callable
from typing import Any

from tests.chapters.mats import whole

Change = Callable[[Any], None]
FACTORS = {"gamma_G": 1.0, "gamma_G_fav": 1.0, "gamma_phi": 1.25, "gamma_c": 1.25, "gamma_cu": 1.4, "gamma_R_e": 1.0,
           "gamma_R_v": 1.0, "gamma_R_h": 1.0, "psi_2": 0.3, "source": "invented"}  # fmt: skip
EARTHQUAKE = {"a_g": 0.10, "soil_factor": 1.35, "reduction": 0.5, "vertical": 0.5, "source": "invented",
              "strength_left": 0.8, "strength_source": "invented",
              "liquefaction": "see report 22, invented", "factors": FACTORS}  # fmt: skip
STAGE = "2 Earthquake"


def shaken(*changes: Change, **more: Any) -> Change:
    """Full height before the earthquake, which passes; the final stage follows."""

    def change(document: Any) -> None:
        whole(document)
        first, last = document["stage"]
        first["fill_height"] = last["fill_height"]
        quake = {**last, "name": "Earthquake", "situation": "seismic", "start": "50 d", "consolidates": False}
        quake.pop("plant", None)
        document["stage"].insert(1, quake)
        document["earthquake"] = {**EARTHQUAKE, **more}
        document["outside"]["seismic"] = "see report 21"
        document["sleeve"]["gamma_M"]["seismic"] = 1.2
        for one in document["reinforcement"]:
            one["gamma_M"]["seismic"] = 1.2
        for one in changes:
            one(document)

    return change
