"""What is on paper is what was computed: read back from the PDF itself."""

from tests.engine.recompute import recomputes
from tests.packages.conftest import Made
from tests.packages.reading import printed_lines, printed_values, typed


def computed_lines(package: Made) -> dict[str, tuple[str, str]]:
    """Number to (line with numbers, result with unit), as the engine prints them."""
    from calc.engine.sheet import printed_numbers, printed_result
    from calc.package.shown import write_numbers

    found = {}
    for part in package.run.sections:
        for sheet in part.sheets:
            for step in sheet.page.lines:
                case = part.cases[sheet.key, step.scope]
                if step.formula is not None and step.value.number(case) is not None:
                    texts = printed_numbers(step, case), printed_result(step, case)
                    found[part.numbers[step.key]] = typed(write_numbers(texts[0])), typed(write_numbers(texts[1]))
    return found


def test_every_equation_is_read_back_with_its_numbers_and_its_result(package: Made) -> None:
    read = {line.number: (line.numbers, line.shown) for line in printed_lines(package.files.pdf)}

    assert len(read) > 100
    assert read == computed_lines(package)


def test_every_line_on_paper_recomputes_to_its_result(package: Made) -> None:
    lines = printed_lines(package.files.pdf)
    wrong = [line for line in lines if not recomputes(line.numbers, line.shown)]

    assert wrong == []


def test_lines_are_numbered_without_gaps_or_repeats_within_a_chapter(package: Made) -> None:
    (part,) = package.run.sections
    for chapter, sheet in enumerate(part.sheets, start=1):
        numbers = [part.numbers[step.key] for step in sheet.page.lines]
        assert numbers == [f"A.{chapter}.{line}" for line in range(1, len(numbers) + 1)]
    assert [number for number, *_ in printed_values(package.files.pdf)] == list(computed_lines(package))
