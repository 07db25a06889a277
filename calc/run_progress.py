"""Lines of progress, and the share of the work that is done at each of them."""

from collections.abc import Callable, Sequence
from itertools import accumulate
from typing import Self


class Progress(str):
    """One line of progress, with the share of the work that is done, 0 to 1, and whether a chapter opens with it."""

    __slots__ = ("opens", "share")
    share: float
    opens: bool

    def __new__(cls, text: str, share: float, *, opens: bool) -> Self:
        """Say what is being done."""
        made = super().__new__(cls, text)
        made.share, made.opens = share, opens
        return made


Tell = Callable[[Progress], None]


def tells_of_parts(tell: Tell | None, work: Sequence[float]) -> list[Tell | None]:
    """What tells of each part of some work by its share of the whole."""

    def of_part(part: float, end: float) -> Tell | None:
        if tell is None:
            return None
        return lambda progress: tell(
            Progress(progress, (end - part + part * progress.share) / sum(work), opens=progress.opens)
        )

    return [of_part(part, end) for part, end in zip(work, accumulate(work), strict=True)]
