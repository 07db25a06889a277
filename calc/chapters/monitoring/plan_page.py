"""Tables of the plan: instruments, when they are read and by whom, what the design relies on and who watches it."""

from collections.abc import Sequence

from calc.chapters.monitoring.plan import COVERAGE, Relied, instruments_of, triggers_of
from calc.chapters.shared.rests import proven_before
from calc.engine.sheet import Table, TableColumn
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.monitoring import Instrument, Monitoring

say = words_of(__name__)

MISSING = say("not-given")


def instrument_tables(instruments: Sequence[Instrument]) -> list[Table]:
    """What is measured where, and how often, by whom, until when."""
    return [
        _table("instruments", say("what-is-measured"), instruments,
               ((say("instrument"), "name"), (say("quantity"), "quantity"), (say("purpose"), "purpose"),
                (say("location"), "place"),
                (say("number"), "number"), (say("zero-reading"), "zero"),
                (say("evaluation"), "evaluation"), (say("source"), "source"))),
        _table("readings", say("readings-title"), instruments,
               ((say("instrument"), "name"), (say("while-filling"), "filling"), (say("while-waiting"), "waiting"),
                (say("in-service"), "service"), (say("until"), "until"), (say("read-by"), "measured_by"),
                (say("interpreted-by"), "interpreted_by"), (say("maintained-by"), "maintained_by"))),
    ]  # fmt: skip


def _table(
    key: str, title: str, rows_of: Sequence[Instrument], columns: Sequence[tuple[str, str]]
) -> Table:  # fmt: skip
    head = [TableColumn(words=words) for words, _ in columns]
    rows = [
        [MISSING if (value := getattr(instrument, name)) is None else str(value) for _, name in columns]
        for instrument in rows_of
    ]
    return Table(key, title, head, rows)


def coverage_table(relied: Sequence[Relied], section: Section, monitoring: Monitoring) -> Table:
    """Everything that the design relies on with what measures it; hold points stand beside."""
    rows = [
        [
            assumption.what, assumption.value, assumption.stage or say("after-hand-over"),
            instruments_of(assumption, monitoring) or say("none"),
            triggers_of(assumption, monitoring.triggers) or say("none"),
            _hold_points(assumption, section) or say("none"),
        ]
        for assumption in relied
    ]  # fmt: skip
    heads = (say("coverage-heads"), say("value"), say("stage"), say("measured-by"), say("trigger"), say("hold-point"))
    return Table("relied", COVERAGE, [TableColumn(words=head) for head in heads], rows)


def _hold_points(relied: Relied, section: Section) -> str:
    """The hold points at which it is proven."""
    points = section.construction.hold_points if section.construction is not None else ()
    if relied.stage is None:
        return ""
    stage = proven_before(section, relied.stage, relied.quantity)
    return ", ".join(point.name for point in points if point.stage == stage)
