"""What the JSON of every comparison with the site says first."""

from typing import Any

from calc import __version__
from calc.inputs import Design
from calc.resources import program_fingerprint


def record_head(design: Design, outcome: str) -> dict[str, Any]:
    """Program, hash of the project file, outcome: an archive holds its record of an addendum against them."""
    return {
        "software": {"name": "sandsleeve", "version": __version__, "fingerprint": program_fingerprint()},
        "inputs_sha256": design.sha256,
        "outcome": outcome,
    }
