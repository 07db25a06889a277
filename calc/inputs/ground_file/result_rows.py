"""What a file of results holds: readings with their numbers in kN, m, kPa, day, and what was passed over."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256

TEXTS = ("id", "location", "test", "layer")
UNITS = {
    "depth": "m", "c_fv": "kPa", "I_P": "%", "w_L": "%", "q_c": "kPa", "u_2": "kPa", "a": "", "u_0": "kPa",
    "c_u": "kPa", "stress": "kPa", "strain": "%", "sigma_p": "kPa", "k": "m/s", "organic": "%",
}  # fmt: skip
"""The columns of numbers with the unit that theirs must convert to."""
NEEDED = {
    "vane": ("c_fv",), "cone": ("q_c", "u_2"), "strength": ("c_u",), "oedometer": ("stress", "strain", "sigma_p"),
    "preconsolidation": ("sigma_p",), "permeability": ("k",), "organic": ("organic",),
}  # fmt: skip
"""The tests, and the columns that each has to fill."""
INDEX = "index"
"""Index tests of AGS 4 files, which have rows of their own there: they stand for vanes without I_P or w_L."""
IGNITION = "loss on ignition"
"""What ids of organic contents say that an AGS 4 file has as such."""
MAY_BE_NOTHING = {"depth", "strain", "u_2", "u_0", "stress", "organic"}
LONGEST = 60
LARGEST_NUMBER = 1e8
MOST_SHOWN = 10


@dataclass(frozen=True, slots=True)
class Result:
    """One row of a file: what was tested where, with its numbers in kN, m, kPa, day."""

    id: str
    location: str
    depth: float
    test: str
    layer: str
    row: int
    values: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class PassedOver:
    """Rows that are no readings, and why; no mistake, but said."""

    rows: tuple[int, ...]
    test: str
    heading: str
    why: str

    def __str__(self) -> str:
        parts = joined_ranges(str(row) for row in self.rows).split(", ")
        rows = ", ".join([*parts[:MOST_SHOWN], *(["…"] if len(parts) > MOST_SHOWN else [])])
        many = len(self.rows) > 1
        return f"{self.heading}: {self.why} ({f'{len(self.rows)} rows: ' if many else 'row '}{rows})"


@dataclass(frozen=True, slots=True)
class ResultsFile:
    """A file of results as it was read."""

    name: str
    content: bytes
    results: tuple[Result, ...]
    passed: tuple[PassedOver, ...] = ()

    @property
    def sha256(self) -> str:
        """Hash of the file."""
        return sha256(self.content).hexdigest()


def is_possible(name: str, value: float) -> bool:
    """Whether a quantity can have this value."""
    if value == 0:
        return name in MAY_BE_NOTHING
    return (value > 0 or name == "u_2") and abs(value) < LARGEST_NUMBER


def joined_ranges(texts: Iterable[str]) -> str:
    """Some texts in a row; whole numbers that follow each other as a range."""
    parts: list[list[str]] = []
    for text in texts:
        if parts and text.isdigit() and parts[-1][-1].isdigit() and int(text) == int(parts[-1][-1]) + 1:
            parts[-1] = [parts[-1][0], text]
        else:
            parts.append([text])
    return ", ".join("–".join(part) for part in parts)
