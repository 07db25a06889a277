"""What opens a scope over several sections: its title and the cases at which it prints."""

from collections.abc import Mapping, Sequence
from itertools import takewhile

from calc.engine.sheet import AXIS_ORDER, label_words, stage_name
from calc.package.writer import Case


def common_title(titles: Sequence[str]) -> str:
    """The title of a scope in all sections: its first clauses where the others differ between them."""
    if len(set(titles)) == 1:
        return titles[0]
    same = "".join(signs[0] for signs in takewhile(lambda letters: len(set(letters)) == 1, zip(*titles, strict=False)))
    end = max(same.rfind(": "), same.rfind(", "))
    return same[:end] if end > 0 else titles[0]


def short_case(case: Case, sets: Mapping[str, str]) -> list[str]:
    """The labels of a case, without the word of an axis whose labels say what they are.

    `sets` has short names of factor sets.
    """
    return [
        sets.get(case[name], label_words(name, case[name])) if name == "factor_set"
        else case[name] if name == "layer"
        else stage_name(case[name]) if name == "stage" and not case[name].isdigit()
        else label_words(name, case[name])
        for name in AXIS_ORDER
        if name in case
    ]  # fmt: skip


def common_cases(parts: Mapping[str, Sequence[str]]) -> list[tuple[list[str], str]]:
    """The cases of sections, given by their parts: what all have alike once, then what each has besides."""
    first, *others = parts.values()
    same = [part for part in first if all(part in own for own in others)]
    words: dict[str, list[str]] = {}
    for section, own in parts.items():
        words.setdefault(", ".join(part for part in own if part not in same), []).append(section)
    cases = [(list(parts), ", ".join(same)), *((sections, text) for text, sections in words.items())]
    return [(sections, text) for sections, text in cases if text]
