"""What a chapter says of a question and of its limits, read from its sheet."""

from typing import Any

from calc.engine.sheet import Sheet


def state(sheet: Sheet, key: str) -> str:
    return next(verdict.state for verdict in sheet.verdicts if verdict.key == key)


def keys(sheet: Sheet) -> set[str]:
    return {limitation.key for limitation in sheet.limitations}


def firm(document: Any) -> None:
    """Soft ground that bears the test embankment, so that no verdict fails."""
    for layer in document["section"][0]["layer"]:
        layer["c_u"] = "40 kPa"
