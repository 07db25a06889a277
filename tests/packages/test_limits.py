"""Limitations that say the same are one, with the sections of every number."""

from types import SimpleNamespace
from typing import cast

from calc.chain import Run
from calc.engine.sheet import Limitation, Sheet
from calc.inputs import Design, Section
from calc.package.limits import LimitView, collect_limits
from tests.packages.scenario import alone


def limits(texts: dict[str, list[str]], key: str = "soft") -> list[LimitView]:
    """The views of a run in which each section has said these texts."""
    parts = []
    for section, said in texts.items():
        sheet = Sheet(section=section, key="bearing", title="Bearing")
        for text in said:
            sheet.limitation(key, text)
        stages = tuple(SimpleNamespace(name=name) for name in ("Fill", "Use"))
        parts.append(alone(cast("Section", SimpleNamespace(key=section, stages=stages)), sheet))
    return list(dict.fromkeys(collect_limits(Run(cast("Design", None), tuple(parts))).values()))


def test_one_text_of_all_sections_is_one_limitation_without_their_names() -> None:
    (one,) = limits({"A": ["Cut."], "B": ["Cut."]})

    assert (one.number, one.text, one.where, one.chapters) == ("L1", "Cut.", "", ("1",))


def test_numbers_that_differ_name_their_sections() -> None:
    (one,) = limits({"A": ["It is 0.75 of 2."], "B": ["It is 0.8 of 2."], "C": ["It is 0.75 of 2."]})

    assert one.text == "It is 0.75 (A, C), 0.8 (B) of 2."


def test_stages_that_differ_name_their_sections() -> None:
    (one,) = limits({"A": ["No in “Fill”, “Use” (9)."], "B": ["No in “Use” (9)."]})

    assert one.text == "No in “Fill”, “Use” (A); “Use” (B) (9)."


def test_sections_are_named_where_they_are_not_all() -> None:
    (one,) = limits({"A": [], "B": ["Cut."], "C": ["Cut."]})

    assert one.where == "B, C"


def test_other_words_are_another_limitation() -> None:
    assert [limit.text for limit in limits({"A": ["It is 1."], "B": ["It was 1."]})] == ["It is 1.", "It was 1."]


def test_the_same_words_of_both_sides_are_one_limitation() -> None:
    sheet = Sheet(section="A", key="bearing", title="Bearing")
    for key, text in (("left", "Up to 15."), ("right", "Up to 15."), ("lift", "Up to 12.")):
        sheet.limitation(key, text)
    run = Run(cast("Design", None), (alone(cast("Section", SimpleNamespace(key="A", stages=())), sheet),))
    views = collect_limits(run)

    assert list(dict.fromkeys(view.text for view in views.values())) == ["Up to 15.", "Up to 12."]
    assert len(views) == 3


def test_what_would_turn_a_verdict_stands_first() -> None:
    first = Sheet(section="A", key="one", title="One")
    first.limitation("range", "Range.")
    second = Sheet(section="A", key="two", title="Two")
    second.axis("factor_set", ("set",))
    effect = second.reading("F_Rd", [50.0], ["factor_set"], title="Read")
    second.verdict("ring", "Ring", effect=effect, resistance=second.reading("R_Bd", 100.0, [], title="Read"))
    second.limitation("turning", "Turns.", turns=("ring",))
    part = alone(cast("Section", SimpleNamespace(key="A", stages=())), first, second)
    found = collect_limits(Run(cast("Design", None), (part,)))

    assert [found[limitation].number for limitation in (*second.limitations, *first.limitations)] == ["L1", "L2"]
    assert {one.key: view.turns for one, view in found.items()} == {"range": False, "turning": True}
    assert isinstance(next(iter(found)), Limitation)
