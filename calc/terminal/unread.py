"""Numbers of ground and materials that were given and that no line of a run rests on."""

from dataclasses import dataclass

from calc.chain import Run
from calc.inputs.reading.kinds import Table
from calc.inputs.reading.provenance import single_values
from calc.package.line_places import field_path

GROUND = ("embankment", "layer", "layer_below", "bearing_layer", "columns", "sleeve", "reinforcement")
"""Tables whose numbers one expects to count; others have settings of searches, offsets of instruments and the like."""
AT_TIMES = ("time", "accidental")
"""Last words of fields that count in a situation or at a time that a run may not have."""


@dataclass(frozen=True, slots=True)
class Unread:
    """A number that counts for nothing: the section, the field as errors of the input name it, and its line."""

    section: str
    field: str
    line: int


def unread(run: Run) -> tuple[Unread, ...]:
    """Every such number of the sections that were run, in the order of the file.

    A section is read with its positions and the zones of its columns.
    """
    fields = []
    for section in run.design.stated:
        parts = [part for part in run.sections if part.section.of == section.key]
        lines = {
            origin.line for part in parts for sheet in part.sheets for step in sheet.steps for origin in step.origins
        }
        for field in _numbers(section) if parts else ():
            place = run.design.provenance.get(f"section.{section.key}.{field}")
            # By lines, for the radius of an installed sleeve is read as its oversize.
            if place is not None and place.line is not None and place.line not in lines:
                fields.append(Unread(section.key, field_path(field), place.line))
    return tuple(sorted(fields, key=lambda field: (field.section, field.line)))


def _numbers(section: Table) -> list[str]:
    return [
        label
        for label, _, _, value in single_values(section, (), "")
        if isinstance(value, int | float) and not isinstance(value, bool)
        and label.split(".")[0] in GROUND and label.split(".")[-1] not in AT_TIMES
    ]  # fmt: skip
