"""An HTML file that loads nothing: its policy, its data, and the script and style that it holds."""

import json
from base64 import b64encode
from hashlib import sha256

from markupsafe import Markup

from calc.resources import template_folder


def policy(script: str, style: str) -> str:
    """A content security policy: this very script and style, and nothing else, from nowhere."""
    return (
        f"default-src 'none'; script-src '{_hash_source(script)}'; style-src '{_hash_source(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def embed(data: object) -> Markup:
    """Data for a script element: no sign in it can end the element or begin markup."""
    text = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # noqa: S704 - every sign of markup is written as its number


def _hash_source(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


def own_file(name: str) -> str:
    """The text of a file of the templates."""
    return (template_folder() / name).read_text(encoding="utf-8")
