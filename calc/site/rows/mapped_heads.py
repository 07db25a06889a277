"""Where the columns of a mapping stand in a file, by the words at their heads."""

from collections.abc import Mapping
from difflib import get_close_matches

from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show
from calc.site.rows.row_files import RowFile


def places_of(file: RowFile, heads: Mapping[str, str]) -> dict[str, int]:
    """The place of every head, given by the field of the project file that names it.

    ``InputErrors`` names all heads that the file has not, or has more than once.
    """
    by_field, errors = dict[str, int](), list[InputError]()
    for field, head in heads.items():
        places = [k for k, name in enumerate(file.heads) if name == head]
        if len(places) == 1:
            by_field[field] = places[0]
            continue
        near = get_close_matches(head, file.heads, 1, 0.5)
        got = f"{len(places)} of them" if places else f"none (near: {show(near[0])})" if near else "none"
        errors.append(InputError(file.name, file.line, 1, field, f"be the head of one column: {show(head)}", got))
    if errors:
        raise InputErrors(errors)
    return by_field
