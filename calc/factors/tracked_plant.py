"""Numbers of the published method for tracked plant on working platforms."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TrackedPlant:
    """What the published method gives, dimensionless but for the range of strengths in kPa.

    ``standing`` and ``extracting``: factors on the track pressure where the operator cannot relieve and where he can;
    ``bare_standing`` and ``bare_extracting``: ratio of bearing to pressure from which the ground needs no platform.
    """

    standing: float = 1.6
    extracting: float = 1.2
    bare_standing: float = 2.0
    bare_extracting: float = 1.5
    N_c: float = 5.14
    least_strength: float = 20.0
    most_strength: float = 80.0
    source: str = "BRE BR 470 (2004) ◦"


TRACKED_PLANT = TrackedPlant()
