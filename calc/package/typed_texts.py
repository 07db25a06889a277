"""Texts of the project file: the chapters in which they print, and those below a table in one run."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from re import DOTALL, escape, fullmatch, search

from markupsafe import Markup

LONG = 30  # signs of a text that stands in a cell; a longer one stands below the table


@dataclass(frozen=True)
class PrintedTexts:
    """The texts of chapters by their names."""

    printed: Sequence[tuple[str, str]]
    _known: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def place(self, text: str) -> str:
        """The first chapter in which a text prints, if any."""
        return next(self._search(text), "")

    def places(self, text: str) -> tuple[str, ...]:
        """All of them."""
        if text not in self._known:
            self._known[text] = tuple(self._search(text))
        return self._known[text]

    def _search(self, text: str) -> Iterator[str]:
        said = " ".join(text.split()).rstrip(".")
        alone = rf"(?<!\w){escape(said)}(?!\w)"
        # Few texts print at all: most are not looked for word by word.
        return (name for name, printed in self.printed if said in printed and search(alone, printed))


def in_one_run(notes: Sequence[tuple[str, str]]) -> Markup:
    """Texts behind their letters; those that differ in one number alone are said once."""
    alike: dict[tuple[str, str], list[tuple[str, str, str]]] = {}
    for letter, text in notes:
        numbered = fullmatch(r"(.*\s)?(\S*\d[^\s,;]*)(.*)", text, DOTALL)
        before, number, behind = (numbered[1] or "", numbered[2], numbered[3]) if numbered else ("", "", text)
        around = (before, behind) if number and len(before) + len(behind) >= LONG else (text, "")
        alike.setdefault(around, []).append((letter, number, text))
    runs = []
    for (before, behind), own in alike.items():
        if len(own) > 1:
            each = Markup(", ").join(Markup("<b>{}</b> {}").format(letter, number) for letter, number, _ in own)
            runs.append(Markup("{}…{}: {}").format(before, behind, each))
        else:
            runs += [Markup("<b>{}</b> {}").format(letter, text) for letter, _, text in own]
    return Markup("").join(
        run if k == len(runs) - 1 else run + (" " if run.endswith(".") else "; ") for k, run in enumerate(runs)
    )
