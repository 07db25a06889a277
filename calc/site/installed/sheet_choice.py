"""Which columns get a sheet of their record, and which limits belong to which item."""

from calc.engine.words import words_of
from calc.site.installed.installed_run import Installation

say = words_of(__name__)

ALL, FAILING = "all", "failing"
LIMITS_OF = {
    "position": ("position",), "inclination": ("inclination",), "toe": ("toe_by", "toe_high"), "toe_low": ("toe_low",),
    "refusal": ("criterion_high",), "length": ("length_short", "length_long"),
    "diameter": ("diameter_least", "diameter_most"), "volume": ("volume_least", "volume_most"),
    "depth": ("depth_window", "depth_least", "depth_most"), "duration": ("duration",),
    "interruption": ("interruption",), "neighbours": ("neighbour_distance", "neighbour_time"),
}  # fmt: skip
"""Limits of the project that an item is judged by."""


class UnknownColumnError(ValueError):
    """An id that no column with a record has."""


def chosen_columns(installation: Installation, words: str) -> list[int]:
    """Places in the plan of the columns that are asked for, in the order of their ids.

    ``words``: all with a record, those with a non-conformity, or ids between commas. ``UnknownColumnError`` names ids
    without a record.
    """
    compared = installation.compared
    places = {name: k for k, name in enumerate(compared.ids) if compared.has[k]}
    if words == ALL:
        wanted = set(places)
    elif words == FAILING:
        wanted = {each.id for each in installation.findings} & set(places)
    else:
        wanted = {name.strip() for name in words.split(",")}
        unknown = sorted(wanted - set(places))
        if unknown:
            raise UnknownColumnError(say("unknown", ids=", ".join(unknown)))
    return [places[name] for name in sorted(wanted)]
