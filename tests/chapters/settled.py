"""What a chapter says of a question and of its limits, read from its sheet."""

from typing import Any

from calc.engine.sheet import Sheet


def state(sheet: Sheet, key: str) -> str:
    return next(one.state for one in sheet.verdicts if one.key == key)


def keys(sheet: Sheet) -> set[str]:
    return {one.key for one in sheet.limitations}


def firm(document: Any) -> None:
    """Soft ground that bears the test embankment, so that no verdict fails."""
    for layer in document["section"][0]["layer"]:
        layer["c_u"] = "40 kPa"
