"""Verifications of both sides of an embankment stand together: one title, a row for each section and side."""

BOTH = "either"
SIDES = {"either side": BOTH, "left side": "left", "right side": "right"}  # as titles end with them


def title_and_side(title: str) -> tuple[str, str]:
    """A title without its side, and the side; none where the title names none."""
    for words, side in SIDES.items():
        before, separator, behind = title.partition(f", {words}")
        if separator:
            return before + behind, side
    return title, ""
