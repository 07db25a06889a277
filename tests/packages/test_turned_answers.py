"""An answer in words names the limitations that can turn it, as one in numbers does."""

from dataclasses import replace
from typing import cast

import pytest

from calc.package.limitations import LimitView
from calc.package.pages import environment
from calc.package.verdicts import VerdictView, verdict_groups
from tests.packages.test_both_sides import view

FIRST, SECOND = (LimitView(f"L{k}", f"limit{k}", "Early.", "", (), "", turns=True) for k in (1, 2))


def answer(section: str, *limits: LimitView, note: str = "Passes by another.") -> VerdictView:
    made = view(section, "Extrusion", effect="", note=note)
    return replace(made, state="pass", stamp="pass", turned=limits)


def printed(*views: VerdictView) -> str:
    macros = environment().get_template("macros.html").make_module({"many": True})
    groups = verdict_groups(views)
    return cast("str", macros.verdicts(groups))  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("views", "times", "rows"),
    [
        ((answer("A", FIRST), answer("B", FIRST)), {"L1": 1, "L2": 0}, 1),
        ((answer("A", FIRST), answer("B", FIRST), answer("C", SECOND)), {"L1": 1, "L2": 1}, 2),
        ((answer("A", FIRST, SECOND), answer("B"), answer("C", note="Else.")), {"L1": 1, "L2": 1}, 1),
        ((answer("A"), answer("B")), {"L1": 0, "L2": 0}, 0),
    ],
)
def test_answer_in_words_names_what_can_turn_it(
    views: tuple[VerdictView, ...], times: dict[str, int], rows: int
) -> None:
    text = printed(*views)

    for number, count in times.items():
        assert text.count(f">{number}</a>") == count
    assert text.count("can fail, ") == rows
