"""Rules between the values of berms and the bank that they stand beside, each broken by itself."""

from collections.abc import Callable

import pytest

from calc.inputs import Design

Refused = Callable[..., list[str]]
HEAD = "[traffic]"
BERM = """[embankment.berm_right]
width = "6 m"
height = "1.5 m"
slope = "1:2"
stage = "STAGE"

"""


def berm(stage: str, *changes: tuple[str, str]) -> tuple[str, str]:
    text = BERM.replace("STAGE", stage)
    for one in changes:
        text = text.replace(*one)
    return HEAD, text + HEAD


@pytest.mark.parametrize(
    ("stage", "change", "text"),
    [
        ("Stage 1", ('"1:2"', '"1:1.5"'), 'slope: must not be steeper than the side slope (1:2), got "1:1.5"'),
        ("Stage 9", ("", ""), 'stage: must name a stage that is given (Platform, Stage 1, Final), got "Stage 9"'),
        (
            "Stage 1", ('"1.5 m"', '"2.0 m"'),
            'height: must be below the fill of every stage from Stage 1 on (2 m in Stage 1), got "2.0 m"',
        ),
        (
            "Platform", ("", ""),
            'height: must be below the fill of every stage from Platform on (0 m in Platform), got "1.5 m"',
        ),
        ("Stage 1", ('"6 m"', '"0 m"'), 'width: must be greater than 0 m and at most 500 m, got "0 m"'),
    ],
)  # fmt: skip
def test_berm_that_does_not_fit_is_refused(refused: Refused, stage: str, change: tuple[str, str], text: str) -> None:
    lines = refused(berm(stage, change))

    assert [line.split(": ", 1)[1] for line in lines] == [f"embankment.berm_right.{text}"]


def test_berms_are_those_with_a_height(read: Callable[..., Design]) -> None:
    given = read(berm("Stage 1")).sections[0].embankment
    none = read(berm("Stage 1", ('"1.5 m"', '"0 m"'))).sections[0].embankment

    assert [*given.berms] == ["right"]
    assert given.berms["right"].height == 1.5
    assert none.berms == {}
