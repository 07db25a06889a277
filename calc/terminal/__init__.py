"""The verdicts of a run for a terminal (text that reads without colour) and for other programs (JSON)."""

from calc.terminal.record import as_json, verdict_record
from calc.terminal.run_summary import summary
from calc.terminal.shown_verdicts import EVERYTHING, Chosen, printable
from calc.terminal.verdict_table import verdict_table

__all__ = ["EVERYTHING", "Chosen", "as_json", "printable", "summary", "verdict_record", "verdict_table"]
