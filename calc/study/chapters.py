"""A part of the chain for one section: the chapters that a study asks again and again."""

from collections.abc import Mapping

from calc.chain import CHAPTERS, CalculationError
from calc.engine.sheet import Sheet
from calc.inputs import Design, Section


def chapters(
    design: Design, section: Section, *, until: str, done: Mapping[str, Sheet] | None = None
) -> dict[str, Sheet]:
    """The finished sheets of the chapters up to ``until``, but those that are ``done``.

    A chapter that is not built is left out. ``CalculationError`` names section and chapter without a solution.
    """
    sheets = dict(done or {})
    last = next(k for k, chapter in enumerate(CHAPTERS) if chapter.key == until)
    for chapter in CHAPTERS[: last + 1]:
        if chapter.key in sheets or chapter.check is None:
            continue
        try:
            sheet = chapter.check(design, section, sheets)
        except ArithmeticError as error:
            message = f"section {section.key}, {chapter.title}: {error}"
            raise CalculationError(message) from error
        sheet.title = chapter.title
        sheets[chapter.key] = sheet.finish()
    return sheets
