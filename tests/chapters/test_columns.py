"""The columns: grid and slack by hand, what is unusual, what must stand on a firm layer."""

from collections.abc import Callable
from typing import Any

import pytest

from calc.engine.sheet import Sheet
from tests.chapters.settled import keys, state

Chapters = Callable[..., dict[str, Sheet]]


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"spacing": "3.5 m"}, "area-ratio"),
        ({"diameter": "1.0 m", "spacing": "2.4 m"}, "diameter"),
        ({"fill": {"phi": "28 deg"}}, "fill-friction"),
    ],
)
def test_columns_outside_the_usual_range_are_stated(chapters: Chapters, change: dict[str, Any], key: str) -> None:
    def unusual(document: Any) -> None:
        for name, value in change.items():
            if isinstance(value, dict):
                document["columns"][name].update(value)
            else:
                document["columns"][name] = value

    assert keys(chapters(unusual)["columns"]) == {key}
    assert keys(chapters()["columns"]) == set()


def test_columns_that_float_are_not_verified(chapters: Chapters) -> None:
    def floating(document: Any) -> None:
        document["section"][0]["bearing_layer"]["firm"] = False

    assert state(chapters(floating)["columns"], "end-bearing") == "not verified"


def test_square_grid_and_installed_radius(chapters: Chapters) -> None:
    def square(document: Any) -> None:
        document["columns"]["pattern"] = "square"
        del document["sleeve"]["oversize"]
        document["sleeve"]["installed_radius"] = "0.41 m"

    columns = chapters(square)["columns"]

    assert float(columns["A_E"].array) == pytest.approx(1.97**2)
    assert float(columns["Dr_gap"].array) == pytest.approx(0.01)
