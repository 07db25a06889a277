"""Who may check, and whose initials may stand beside a line."""

from collections.abc import Iterator, Sequence

from calc.inputs import Design
from calc.review.records import By, Entry, are_initials_of
from calc.review.refused import RefusedFile
from calc.review.stored import StoredReview

SELF_CHECK = 0


def refuse_other_people(name: str, field: str, design: Design, place: str) -> None:
    """The one who checks is the checker of the project file; in a self-check also the originator."""
    for text in _wrong_name(name, field, design):
        message = f"{place}: {text}"
        raise RefusedFile(message)


def refuse_other_initials(by: By, entries: Sequence[Entry], place: str) -> None:
    """Initials are those of the person who checks."""
    wrong = [f"{place}: {text}" for text in _wrong_initials(by, entries, [by.name], "steps")]
    if wrong:
        raise RefusedFile("\n".join(wrong[:20]))


def wrong_people(review: StoredReview, design: Design, worked_on: bool) -> Iterator[str]:
    """What a stored review says of people that cannot be, one line each.

    For the revision that is worked on they are those of the project file; earlier ones may have had others.
    """
    checkers = _checkers(design)
    names = [*(file.by.name for file in review.taken), *checkers]
    for number, file in enumerate(review.taken):
        place = f"taken[{number}]"
        if worked_on:
            yield from _wrong_name(file.by.name, f"{place}.by.name", design)
        # What an earlier program stored may hold entries of several people under the name of the last.
        fitting = [file.by.name] if file.file else [file.by.name, *checkers]
        yield from _wrong_initials(file.by, file.steps, fitting, f"{place}.steps", f"{place}.")
    for number, event in enumerate(review.events if worked_on else ()):
        if event.kind != "answered" and not any(are_initials_of(event.who, name) for name in names):
            yield f"events[{number}].who: must be initials of the checker, got {event.who!r}"


def _checkers(design: Design) -> list[str]:
    people = design.people
    return [people.checker.name, *([people.originator.name] if design.basis.check_category == SELF_CHECK else [])]


def _wrong_name(name: str, field: str, design: Design) -> Iterator[str]:
    allowed = _checkers(design)
    if _same(name) not in map(_same, allowed):
        names = " or ".join(repr(person) for person in allowed)
        yield f"{field}: must be the checker of the project file, {names}, got {name!r}"


def _wrong_initials(
    by: By, entries: Sequence[Entry], names: Sequence[str], steps: str, before: str = ""
) -> Iterator[str]:
    """Initials that are nobody's of these names, each once, by the field in which they stand first."""
    given = {by.initials: f"{before}by.initials"}
    for place, entry in enumerate(entries):
        if entry.initials:
            given.setdefault(entry.initials, f"{steps}[{place}].initials")
    for initials, field in given.items():
        if not any(are_initials_of(initials, name) for name in names):
            yield f"{field}: must be the initials of {by.name!r}, got {initials!r}"


def _same(name: str) -> list[str]:
    return name.casefold().split()
