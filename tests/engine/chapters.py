"""Small chapters for the tests of the sheet."""

import numpy as np

from calc.engine.sheet import Origin, Sheet, Value

FILE = Origin("file", path="x", line=1)


def chapter(key: str = "cell", **axes: tuple[str, ...]) -> Sheet:
    sheet = Sheet(section="A", key=key)
    for name, labels in ({"factor_set": ("1", "2"), "stage": ("a", "b", "c"), "layer": ("top", "low")} | axes).items():
        sheet.axis(name, labels)
    return sheet


def masked(sheet: Sheet, name: str, numbers: list[float], lacking: list[bool]) -> Value:
    return sheet.reading(
        name, numbers, ["layer"], title="Read", mask=np.array(lacking), reason="no active state", note=""
    )
