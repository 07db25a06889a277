"""Which verdicts are shown, and texts of projects made safe for a terminal."""

from dataclasses import dataclass

from calc.engine.sheet import Sheet, Verdict

OPEN = ("fail", "not verified")
WIDEST, NARROWEST = 100, 80


@dataclass(frozen=True, slots=True)
class Chosen:
    """The verdicts asked for: of one chapter, by its key; only what fails or is not verified."""

    chapter: str = ""
    failed: bool = False

    def takes(self, sheet: Sheet) -> bool:
        """Whether a chapter is shown."""
        return self.chapter in ("", sheet.key)

    def of(self, sheet: Sheet) -> list[Verdict]:
        """The verdicts of a chapter that are shown."""
        return (
            [verdict for verdict in sheet.verdicts if not self.failed or verdict.stamp in OPEN]
            if self.takes(sheet)
            else []
        )


EVERYTHING = Chosen()


def columns(width: int) -> int:
    """Columns of text on a terminal of this width."""
    return max(NARROWEST, min(WIDEST, width))


def printable(text: str) -> str:
    """Text of a project file without the characters that would steer a terminal."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
