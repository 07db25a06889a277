"""Settlement along the alignment where columns or an old bank make it differ below the crest."""

from dataclasses import replace
from pathlib import Path

import pytest

from calc.chapters.alignment.steps import alignment
from calc.inputs.tables.columns import ColumnZone
from calc.inputs.tables.widening import Widening
from tests.chapters.alignment_case import run
from tests.chapters.test_alignment import two, verdicts


@pytest.mark.parametrize(("left", "state"), [(3.0, "not verified"), (7.0, "pass")])
def test_no_gradient_is_judged_where_two_grids_stand_below_the_crest(tmp_path: Path, left: float, state: str) -> None:
    """Neither at the section nor at the one that follows on it; a zone below the slope alone changes nothing."""
    design, found = run(tmp_path, two(None))
    zone = ColumnZone.model_validate(
        {"key": "slope", "x_left": f"{left} m", "x_right": "12 m", "pattern": "square", "spacing": "2.5 m"}
    )
    first, second = design.sections
    second = second.model_copy(update={"columns": second.columns.model_copy(update={"zone": (zone,)})})
    zoned = replace(design, sections=(first, second))
    known = {f"{section}/{key}": one for section, own in found.items() for key, one in own.items()}

    for own, other in ((first, "B/"), (second, "A/")):
        others = {path: one for path, one in known.items() if path.startswith(other)}
        made = verdicts(alignment(zoned, own, found[own.key] | others))
        assert {made[one].state for one in ("gradient_hand_over", "gradient_residual")} == {state}
        assert ("zones of the columns (“slope”)" in made["gradient_residual"].note) == (left < 6)


def test_no_gradient_is_judged_beside_a_bank_around_an_old_one(tmp_path: Path) -> None:
    """Sections alike had no change of gradient, though the old bank of one hardly settles."""
    design, found = run(tmp_path, two(None))
    first, second = design.sections
    around = replace(design, sections=(first, second.model_copy(update={"widening": Widening.model_construct()})))
    known = {f"{section}/{key}": one for section, own in found.items() for key, one in own.items()}

    for own, other in ((first, "B/"), (around.sections[1], "A/")):
        others = {path: one for path, one in known.items() if path.startswith(other)}
        made = verdicts(alignment(around, own, found[own.key] | others))
        assert {made[one].state for one in ("gradient_hand_over", "gradient_residual")} == {"not verified"}
        assert "an old bank" in made["gradient_hand_over"].note
