"""Tables of the trigger levels: what is done when one is crossed, how each was judged, which sublayers decide."""

from collections.abc import Sequence
from string import ascii_lowercase

from calc.chapters.monitoring.reading_dates import KIND_WORDS, words_of_trigger
from calc.chapters.monitoring.triggers import COUNTED, Judged
from calc.chapters.shared.frame import SCENARIOS
from calc.engine.sheet import Table, TableColumn, number_text
from calc.engine.symbols import Symbol, symbol
from calc.engine.typeset import set_quantity
from calc.engine.words import words_of
from calc.factors.monitored import QUANTITIES
from calc.inputs import Section
from calc.inputs.tables.monitoring import Trigger

say = words_of(__name__)


def action_tables(section: Section, triggers: Sequence[Trigger], judged: Sequence[Judged]) -> list[Table]:
    """What somebody on site does when a level is crossed: what stops the work first.

    An action that several triggers share, with who decides, stands once below the table under a letter.
    """
    known = {judgement.number: judgement for judgement in judged}
    head = [
        TableColumn(words=word)
        for word in (say("no"), say("quantity"), say("when-and-at-which-level"), say("action-head"), say("source"))
    ]
    tables = []
    for kind, title in (("stop", say("stop-title")), ("attention", say("attention-title"))):
        alike: dict[tuple[str, ...], list[tuple[str, str, str]]] = {}
        letters: dict[tuple[str, str], str] = {}
        for k, trigger in enumerate(triggers, start=1):
            if trigger.kind == kind:
                letter = letters.setdefault((trigger.action, trigger.decides), _letter(len(letters)))
                level = _level_text(section, k, trigger, known.get(k))
                key = (_quantity(trigger), letter, trigger.source)
                alike.setdefault(key, []).append((f"T{k}", words_of_trigger(trigger), level))
        rows = [
            [
                ", ".join(number for number, _, _ in levels), quantity,
                "; ".join(f"{when}: {level}" for _, when, level in levels), letter, source,
            ]
            for (quantity, letter, source), levels in alike.items()
        ]  # fmt: skip
        if rows:
            actions = " ".join(
                say("action", letter=letter, action=action.rstrip("."), decides=decides)
                for (action, decides), letter in letters.items()
            )
            tables.append(Table(kind, title, head, rows, f"{actions} {say('action-note')}"))
    return tables


def _letter(place: int) -> str:
    """Letters from a to z, then aa, ab and so on."""
    first, last = divmod(place, len(ascii_lowercase))
    return (_letter(first - 1) if first else "") + ascii_lowercase[last]


def _quantity(trigger: Trigger) -> str:
    return f"{trigger.quantity}, {trigger.layer}" if trigger.layer else trigger.quantity


def _level_text(section: Section, number: int, trigger: Trigger, judged: Judged | None) -> str:
    """The level as typed, or the value that the design counts on where that is known."""
    side = say("below") if QUANTITIES[trigger.quantity].falls else say("above")
    if trigger.level.value is not None:
        return f"{side} {given_level(section, number, trigger)}"
    if judged is None or judged.level is None:
        return f"{side} {COUNTED}"
    shown = _trigger_symbol(judged)
    levels = judged.by_layer if len(judged.by_layer) > 1 else (("", judged.level),)
    text = ", ".join(f"{number_text(level * shown.factor, shown.decimals)} {name}".rstrip() for name, level in levels)
    return f"{side} {text} {shown.unit_text}".rstrip() + f" ({COUNTED})"


def given_level(section: Section, number: int, trigger: Trigger) -> str:
    """The level that is given, in the unit of its lines; as typed where there are none, or none that it stands on."""
    of = QUANTITIES[trigger.quantity]
    if of.symbols is None or of.elevation or trigger.level.value is None:
        return set_quantity(section.origin(f"monitoring.trigger.{number - 1}.level").text)
    shown = symbol(f"{of.symbols.key}_T")
    return f"{number_text(trigger.level.value * shown.factor, 0, exact=True)} {shown.unit_text}".rstrip()


def _trigger_symbol(judged: Judged) -> Symbol:
    return symbol(f"{judged.of.symbols.key}_T")


def judged_table(judged: Sequence[Judged]) -> Table:
    """Every level beside what is expected and what the design holds up to, with the finding in words."""
    heads = (
        say("no"),
        say("quantity"),
        say("when"),
        say("trigger"),
        say("level"),
        *SCENARIOS,
        say("holds"),
        say("unit"),
        say("finding"),
    )
    rows = [_judged_row(judgement) for judgement in judged]
    return Table("judged", say("judged-title"), [TableColumn(words=head) for head in heads], rows, say("judged-note"))


def _judged_row(judged: Judged) -> list[str]:
    trigger, shown = judged.trigger, _trigger_symbol(judged)

    def text(number: float | None) -> str:
        return "–" if number is None else number_text(number * shown.factor, shown.decimals)

    expected = judged.expected.values
    scenarios = [None] * len(SCENARIOS) if expected is None else [float(number) for number in expected]
    return [
        f"T{judged.number}",
        _quantity(trigger),
        words_of_trigger(trigger),
        KIND_WORDS[trigger.kind],
        text(judged.level),
        *(text(number) for number in scenarios),
        text(judged.bound.value),
        shown.unit_text or "–",
        judged.finding,
    ]


def pressure_table(judged: Sequence[Judged]) -> Table:
    """Of levels of pore pressure, each with its number: the sublayer that reads most, the one that holds least."""
    shown = symbol("u_T")
    heads = ((say("no"), ""), (say("when"), ""), (say("level"), shown.unit_text),
             (say("pressure-expected"), shown.unit_text),
             (say("in-sublayer"), ""), (say("holds"), shown.unit_text), (say("in-sublayer"), ""))  # fmt: skip
    rows = []
    for judgement, ((read, most), (limit, least)) in [
        (item, item.decisive) for item in judged if item.decisive is not None
    ]:
        texts = [number_text(value * shown.factor, shown.decimals) for value in (judgement.level or 0.0, read, limit)]
        rows.append([f"T{judgement.number}", words_of_trigger(judgement.trigger), *texts[:2], most, texts[2], least])
    head = [TableColumn(words=words, unit=unit) for words, unit in heads]
    return Table("pressures", say("pressure-title"), head, rows, say("pressure-note"))
