"""Tables of the one date that is laid open: exponentials of both flows, and what every step has settled."""

from calc.chapters.consolidation.one_date import OneDate
from calc.engine.sheet import Table, TableColumn, number_text
from calc.engine.words import words_of
from calc.procedures.ground_in_time import Floats

say = words_of(__name__)


def exponentials_table(date: OneDate, title: str) -> Table:
    """Exponentials of both flows side by side."""
    parts, vertical = date.parts, date.vertical
    flows = [(say("horizontal"), parts.taut, "w_i", "g_i")]
    if parts.slack.any():
        flows.append((say("horizontal-without-sleeve"), parts.loose, "w_i", "g_i"))
    flows.append((say("vertical"), vertical, "w_j", "g_j"))
    head = [TableColumn(words=say("no"))]
    head += [TableColumn(symbol=name, words=words) for words, _, *names in flows for name in names]
    known = [flow for _, flow, *_ in flows if flow is not None]
    count = max(rates.size for rates, _ in known)
    rows = [
        [f"{k + 1}", *(text for rates, shares in known for text in _pair(rates, shares, k))] for k in range(count)
    ]  # fmt: skip
    note = say("rates-note") if vertical[0].size > 1 else ""
    return Table("one-date-rates", say("table-one-date-rates-title", title=title), head, rows, note)


def _pair(rates: Floats, shares: Floats, k: int) -> tuple[str, str]:
    return (number_text(float(rates[k]), -5), number_text(float(shares[k]), 5)) if k < rates.size else ("", "")


def steps_table(date: OneDate, title: str) -> Table:
    """Every step begun: when, what it adds in the end, what is left, what it has settled."""
    parts, left = date.parts, date.left
    head = [TableColumn(words=say("step")), TableColumn(symbol="T_k"), TableColumn(symbol="t_ek"),
            TableColumn(words=say("sleeve")), TableColumn(symbol="Ds_k"), TableColumn(symbol="u_left"),
            TableColumn(symbol="U_t"), TableColumn(symbol="s_kt")]  # fmt: skip
    settled = parts.added * (1 - left)
    rows = [
        [
            date.names[k], number_text(float(parts.end[k] - parts.begin[k]), 2),
            number_text(float(date.date - parts.end[k]), 2),
            say("no-tension") if parts.slack[k] else say("in-tension"), number_text(1000 * float(parts.added[k]), 3),
            number_text(float(left[k]), 5), number_text(100 * float(1 - left[k]), 2),
            number_text(1000 * float(settled[k]), 2),
        ]
        for k in range(left.size)
    ]  # fmt: skip
    rows.append(["sum", "", "", "", "", "", "", number_text(1000 * float(settled.sum()), 2)])
    return Table("one-date-steps", say("table-one-date-steps-title", title=title), head, rows, say("steps-note"))
