"""The page of the chapter on the columns."""

from calc.engine.sheet import Page, Sheet
from calc.inputs import Design, Section


def page(_of: Page, _design: Design, _section: Section, _done: dict[str, Sheet]) -> None:
    """Nothing besides the numbered lines; the columns are drawn in the cross-section and in the unit cell."""
