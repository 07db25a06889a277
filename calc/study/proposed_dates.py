"""A design with other dates: every changed value says that it is proposed, everything else stays as it was read."""

from collections.abc import Sequence
from dataclasses import replace

from calc.inputs import Design, Provenance, Section

PROPOSED = "proposed"


def day_text(date: float) -> str:
    """A date as it is typed in a project file."""
    return f"{date:.12g} d"


def with_dates(design: Design, key: str, starts: Sequence[float], hand_over: float) -> tuple[Design, Section]:
    """The design and its section ``key`` with these starts of the stages and this hand-over (day).

    The file, its bytes and its hash stay those that were read: they do not hold the new dates, whose origin is
    "proposed". A section without a table consolidation has no hand-over.
    """
    old = next(section for section in design.sections if section.key == key)
    stages = tuple(stage.model_copy(update={"start": start}) for stage, start in zip(old.stages, starts, strict=True))
    changed = {f"stage.{k}.start": start for k, start in enumerate(starts) if start != old.stages[k].start}
    update: dict[str, object] = {"stages": stages}
    if old.consolidation is not None:
        update["consolidation"] = old.consolidation.model_copy(update={"hand_over": hand_over})
        if hand_over != old.consolidation.hand_over:
            changed["consolidation.hand_over"] = hand_over
    new = {path: Provenance(day_text(date), None, None, PROPOSED) for path, date in changed.items()}
    section = old.model_copy(update=update)
    section._provenance = {**old._provenance, **new}  # noqa: SLF001  # it belongs to the section, which is made here
    sections = tuple(section if other is old else other for other in design.sections)
    origins = {**design.provenance, **{f"section.{key}.{path}": value for path, value in new.items()}}
    return replace(design, sections=sections, provenance=origins), section
