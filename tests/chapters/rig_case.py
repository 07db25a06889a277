"""A rig on the platform of the small test project: the values of V8.2, invented scenario."""

from collections.abc import Callable
from typing import Any

import tomlkit

Change = Callable[[Any], None]
RIG = """
machine = "test rig"
sheet = "rig sheet 1, invented"
track_width = "0.8 m"
track_length = "4.5 m"
track_distance = "5.0 m"
edge_distance = "3 m"
edge_slope = "1:2"
phi = "40 deg"
phi_source = "invented"
punching = { value = 5.5, source = "from memory" }
spread = { value = 0.5, source = "from memory" }
c_u_after = "25 kPa"
c_u_after_source = "invented"
[least]
thickness = "0.3 m"
over_track_width = 0.5
source = "from memory"
[factors]
standing = 1.6
extracting = 1.2
source = "from memory"
[[operation]]
name = "standing"
relieves = false
pressure = "150 kPa"
length = "4.0 m"
[[operation]]
name = "extracting"
relieves = true
pressure = "220 kPa"
length = "2.2 m"
"""


def on_platform(*changes: Change, thickness: str = "0.9 m") -> Change:
    """The test project with this rig and then some changes of the table."""

    def made(document: Any) -> None:
        rig = tomlkit.parse(RIG).unwrap()
        for change in changes:
            change(rig)
        document["platform"] = {"thickness": thickness, "gamma": "20 kN/m^3", "role": "load", "rig": rig}

    return made
