"""The limits of the project as they are typed, in words."""

from calc.engine.words import words_of
from calc.site.installed.installed_run import Installation
from calc.site.installed.sheet_choice import LIMITS_OF

say = words_of(__name__)


def limit_texts(installation: Installation) -> dict[str, str]:
    """The limits that are given by their fields, as they are typed."""
    limits, typed = installation.compared.installed.limits, installation.design.provenance
    names = [name for name, value in limits if value is not None] if limits else []
    return {name: typed[f"installed.limits.{name}"].text for name in names if f"installed.limits.{name}" in typed}


def limits_text(texts: dict[str, str], item: str) -> str:
    """The limits that an item is judged by; nothing where there is none."""
    return ", ".join(say(name, value=texts[name]) for name in LIMITS_OF.get(item, ()) if name in texts)
