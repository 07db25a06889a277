"""What a sign-off shows in its place on the cover, set by the renderer of the packages so that its fonts are inside."""

import datetime as dt

from calc.archive.record.manifest import Certificate, PersonName
from calc.inputs.reading.glyphs import first_without_glyph
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import cut

DONE = {"originator": "Made by", "checker": "Checked by", "approver": "Approved by"}
UNPRINTABLE = "\N{REPLACEMENT CHARACTER}"


def stamp_words(role: str, person: PersonName, moment: dt.datetime, certificate: Certificate | None) -> list[str]:
    """The lines of a stamp."""
    how = f"certificate {certificate.subject}, {certificate.issuer}" if certificate else "sign-off without certificate"
    return [DONE[role], person.name, f"{moment:%Y-%m-%d %H:%M} UTC", how]


def stamp_pdf(lines: list[str], package: str, size: tuple[float, float], moment: dt.datetime) -> bytes:
    """A page of `size` points; `package` is the hash that is signed."""
    context = {
        "width": f"{size[0]:.3f}",
        "height": f"{size[1]:.3f}",
        "date": moment.date().isoformat(),
        "done": lines[0],
        "name": _printable(cut(lines[1], 44)),
        "when": lines[2],
        "how": _printable(cut(lines[3], 76)),
        "package": package,
    }
    return render_pdf(environment().get_template("stamp.html").render(context), (), moment.date())


def _printable(text: str) -> str:
    """Names in a certificate may hold signs that the fonts cannot print."""
    return "".join(UNPRINTABLE if first_without_glyph(sign) is not None else sign for sign in text)
