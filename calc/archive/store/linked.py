"""Whether lines of an index make one chain."""

from calc.archive.refusals import DamagedArchive
from calc.archive.store.contract import Entry, head


def refuse_broken_chain(entries: list[Entry], where: str) -> None:
    """Refuse lines that do not make one chain; `where` names what holds them."""
    previous = head([])
    for number, entry in enumerate(entries, start=1):
        if entry.sequence != number or entry.previous != previous:
            message = f"{where}: the line of record {entry.sequence} does not follow the one before it"
            raise DamagedArchive(message)
        previous = entry.sha256
