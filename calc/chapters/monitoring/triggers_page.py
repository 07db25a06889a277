"""Tables of the trigger levels: what is done when one is crossed, how each was judged, which sublayers decide."""

from collections.abc import Sequence
from dataclasses import replace
from string import ascii_lowercase

from calc.chapters.monitoring.reading_dates import words_of_trigger
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

MARK = "\u00a0*"  # of the value that the design counts on
UNCOMPARED = {*SCENARIOS, say("holds"), say("finding")}


def trigger_tables(section: Section, triggers: Sequence[Trigger], judged: Sequence[Judged]) -> list[Table]:
    """Every level with what is done when it is crossed, what is expected and what the design holds up to.

    What stops the work comes first. An action that several triggers share, with who decides, stands once below the
    table under a letter.
    """
    known = {judgement.number: judgement for judgement in judged}
    tables = []
    for kind, title in (("stop", say("stop-title")), ("attention", say("attention-title"))):
        letters: dict[tuple[str, str], str] = {}
        rows = [
            [
                f"T{k}", _quantity(trigger), words_of_trigger(trigger), _level_text(section, k, trigger, known.get(k)),
                *_expected(known.get(k)),
                letters.setdefault((trigger.action, trigger.decides), _letter(len(letters))), trigger.source,
            ]
            for k, trigger in enumerate(triggers, start=1)
            if trigger.kind == kind
        ]  # fmt: skip
        if rows:
            note = " ".join(
                say("action", letter=letter, action=action.rstrip("."), decides=decides)
                for (action, decides), letter in letters.items()
            )
            counted = say("counted-note") if any(MARK in row[3] for row in rows) else ""
            table = Table(kind, title, _head(), rows, f"{note} {say('action-note')} {counted}".rstrip())
            tables.append(table if known else _without_expected(table))
    if known and tables:
        tables[-1] = replace(tables[-1], note=f"{tables[-1].note} {say('judged-note')}")
    return tables


def _head() -> list[TableColumn]:
    before = say("no"), say("quantity"), say("when"), say("level")
    words = (*before, *SCENARIOS, say("holds"), say("finding"), say("action-head"), say("source"))
    return [TableColumn(words=word) for word in words]


def _expected(judged: Judged | None) -> list[str]:
    """Readings expected in each scenario, the value up to which the design holds, and the finding."""
    values = None if judged is None else judged.expected.values
    numbers = [None] * len(SCENARIOS) if values is None else [float(number) for number in values]
    return [
        *("–" if judged is None or number is None else _in_its_unit(judged, number)
          for number in (*numbers, judged.bound.value if judged else None)),
        judged.finding if judged else say("not-calculated"),
    ]  # fmt: skip


def _in_its_unit(judged: Judged, number: float) -> str:
    shown = _trigger_symbol(judged)
    return number_text(number * shown.factor, shown.decimals)


def _without_expected(table: Table) -> Table:
    """The table of triggers where nothing is calculated that they could be compared with."""
    kept = [place for place, column in enumerate(table.head) if column.words not in UNCOMPARED]
    return replace(table, head=[table.head[k] for k in kept], rows=[[row[k] for k in kept] for row in table.rows])


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
        given = f"{side} {given_level(section, number, trigger)}"
        if judged is None or judged.level is None or not QUANTITIES[trigger.quantity].elevation:
            return given
        return f"{given}, {say('above-toes', height=_in_its_unit(judged, judged.level))}"
    if judged is None or judged.level is None:
        return f"{side} {COUNTED}"
    shown = _trigger_symbol(judged)
    texts = [(number_text(level * shown.factor, shown.decimals), name) for name, level in judged.by_layer]
    if len({number for number, _ in texts}) < 2:
        texts = [(number_text(judged.level * shown.factor, shown.decimals), "")]
    text = ", ".join(f"{number} {name}".rstrip() for number, name in texts)
    return f"{side} {text} {shown.unit_text}".rstrip() + MARK


def given_level(section: Section, number: int, trigger: Trigger) -> str:
    """The level that is given, in the unit of its lines; as typed where there are none, or none that it stands on."""
    of = QUANTITIES[trigger.quantity]
    if of.symbols is None or of.elevation or trigger.level.value is None:
        return set_quantity(section.origin(f"monitoring.trigger.{number - 1}.level").text)
    shown = symbol(f"{of.symbols.key}_T")
    return f"{number_text(trigger.level.value * shown.factor, 0, exact=True)} {shown.unit_text}".rstrip()


def _trigger_symbol(judged: Judged) -> Symbol:
    return symbol(f"{judged.of.symbols.key}_T")


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
