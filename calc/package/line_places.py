"""Where steps stand on the pages, and at which case a value was taken where its own step prints at another one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import groupby
from re import compile as pattern
from re import sub

import numpy as np
from markupsafe import Markup, escape

from calc.engine.figure import symbol_text
from calc.engine.sheet import AXIS_WORDS, Step, Value, case_words, value_text
from calc.engine.typeset import set_amount

Case = Mapping[str, str]

HERE = "↳"  # before the number of a line whose value is read at the case of the scope, not at its own

# Lists whose tables have no key: their tables are counted, from 0 in a path and from 1 on a page.
_COUNTED = pattern(r"(?<!\blayer)(?<!\bsection)\.(\d+)(?=\.|$)")


def field_path(path: str) -> str:
    """The path of a field of the project file as errors of the input print it: `stage[5].fill_height`."""
    return _COUNTED.sub(lambda match: f"[{int(match[1]) + 1}]", path)


def breakable(path: str) -> Markup:
    """A path which a line may break behind its dots and underscores."""
    return Markup(sub(r"([._])(?=\w)", r"\1<wbr>", str(escape(path))))  # noqa: S704 - escaped here


def scope_of(key: str) -> str:
    """The part of the key of a step that names its section, chapter and scope."""
    return key.rpartition("/")[0]


def is_before(value: Value, axis: str) -> bool:
    """Whether a value is that of the label before on an axis."""
    return value.earlier is not None and value.earlier.name == axis


def _place(number: str) -> tuple[int, int]:
    chapter, _, line = number.rpartition(".")
    return int(chapter), int(line)


@dataclass(frozen=True, slots=True)
class Places:
    """Where each step of a section stands: its printed number, the name of its place, and the case it prints at.

    Steps of the zones of its columns are among them, with the section whose column they stand in under ``beside``.
    """

    numbers: Mapping[str, str]
    anchors: Mapping[str, str]
    printed: Mapping[str, tuple[Step, Case]]
    beside: Mapping[str, str] = field(default_factory=dict)

    def link(self, key: str) -> Markup:
        """A link to a step, or the chapter of one that stands on no page."""
        if key not in self.numbers:
            chapter = key.split("/")[1] if key.count("/") > 1 else ""
            number = next((at.partition(".")[0] for own, at in self.numbers.items() if f"/{chapter}/" in own), "")
            return Markup("{}").format(f"chapter {number}" if chapter and number else key)
        link = Markup('<a class="step" href="#{}">{}</a>').format(self.anchors[key], self.numbers[key])
        return Markup("{} in {}").format(link, self.beside[key]) if key in self.beside else link

    def links(self, keys: Iterable[str]) -> list[Markup]:
        """Links to many steps in the order of their numbers; of three and more behind each other to the ends."""
        known = dict.fromkeys(keys)
        alone = self.numbers.keys() - self.beside.keys()
        placed = sorted((_place(self.numbers[key]), key) for key in known if key in alone)
        links = list(dict.fromkeys(self.link(key) for key in known if key not in alone))
        # Lines behind each other have one distance to their place in the order.
        for _, run in groupby(enumerate(placed), key=lambda item: (item[1][0][0], item[1][0][1] - item[0])):
            run_links = [self.link(key) for _, (_, key) in run]
            links += [Markup("{}–{}").format(run_links[0], run_links[-1])] if len(run_links) > 2 else run_links
        return links

    def elsewhere(self, value: Value, case: Case) -> dict[str, str]:
        """The labels at which a value is read, on the axes where its own step prints at others; {} for equal numbers.

        An axis which `case` leaves open is read whole, and is not among them, unless the value is the largest or the
        smallest number on it: then its label there is.
        """
        if value.step not in self.printed:
            return {}
        step, there = self.printed[value.step]
        axes = [axis.name for axis in step.value.axes]
        # An axis that was neither kept nor chosen from went as its largest or smallest number was taken.
        gone = set(axes) - set(value.axis_names) - {name for name, _ in value.chosen}
        here = {name: label for name, label in (value.read_at(case) or {}).items() if name not in gone}
        before = {value.earlier.name: here[value.earlier.name]} if value.earlier and here else {}
        if all(name in here for name in axes) and step.value.number(here) == step.value.number(there):
            return before
        labels = {name: here[name] for name in axes if name in here and here[name] != there[name]}
        return before | labels | self._extreme(value, case, {name: here[name] for name in axes if name in here})

    def _extreme(self, value: Value, case: Case, here: Case) -> dict[str, str]:
        """The labels at which a value that is an extreme of its step stands, where its step prints another number."""
        step, there = self.printed[value.step]
        known = step.value.at(**here)
        number = value.number(case) if set(value.axis_names) <= set(case) else None
        if number is None or not known.axes or number == step.value.number(there):
            return {}
        places = np.argwhere(known.valid & (known.array == number))
        if not len(places) or set(known.axis_names) & set(value.axis_names):
            return {}
        labels = {axis.name: axis.labels[k] for axis, k in zip(known.axes, places[0], strict=True)}
        return {name: label for name, label in labels.items() if label != there[name]}

    def origin_of(self, value: Value, case: Case, name: str = "") -> Markup:
        """Where a value was read, as `F of 4.84`, or `F as 4.84, but at load G` where it prints another number.

        What that other case has from the one at the head of the scope is not named: `F ↳ 4.84`, `F ↳ 4.84 at load G`.
        """
        axis = AXIS_WORDS[value.earlier.name] if value.earlier else ""
        text = symbol_text(name or value.symbol)
        if value.read_at(case) is None:
            return Markup("{} of {} has no {} before this one").format(text, self.link(value.step), axis)
        other = self.elsewhere(value, case)
        labels = {key: label for key, label in other.items() if case.get(key) != label and not is_before(value, key)}
        if len(labels) < len(other):
            at = Markup("{} {} {}").format(text, HERE, self.link(value.step))
            at = Markup("{} at {}").format(at, case_words(labels)) if labels else at
        else:
            at = Markup("{} {} {}").format(text, "as" if other else "of", self.link(value.step))
            at = Markup("{}, but at {}").format(at, case_words(other)) if other else at
        return Markup("{}, the {} before").format(at, axis) if axis else at

    def replacement(self, name: str, value: Value, case: Case) -> Markup:
        """What stands in the place of a symbol of an equation, with the labels chosen for it."""
        other = {**self.elsewhere(value, case), **dict(value.chosen)}
        labels = {key: label for key, label in other.items() if case.get(key) != label}
        own, read = symbol_text(name), symbol_text(value.symbol)
        what = Markup("{} {} {}").format(
            own if own == read else Markup("{} is {}").format(own, read),
            HERE if len(labels) < len(other) else "of",
            self.link(value.step),
        )
        return Markup("{} at {}").format(what, case_words(labels)) if labels else what

    def value_at(self, step: Step, case: Case) -> Markup:
        """A value of a step at another case than the one it prints at."""
        return Markup("{} = {} ({})").format(
            symbol_text(step.symbol),
            set_amount(value_text(step.value, case, step.symbol, unit=True)),
            self.link(step.key),
        )
