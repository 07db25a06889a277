"""The engine of a chapter: values with named axes, recorded steps, scopes, verdicts, limitations, printing cases."""

from calc.engine.sheet.cases import Cases, read_elsewhere, settle, settle_cases
from calc.engine.sheet.page import Page
from calc.engine.sheet.printing import (
    AXIS_WORDS,
    Expression,
    case_words,
    coherent_text,
    label_words,
    number_text,
    printed_numbers,
    printed_result,
    value_text,
)
from calc.engine.sheet.scope import PROJECT_RULE, Scope
from calc.engine.sheet.sheet import Sheet, Turning, settle_turns
from calc.engine.sheet.steps import (
    ACCEPTED,
    INFORMATION,
    NOT_APPLICABLE,
    NOT_REQUIRED,
    STAMPS,
    Input,
    Limitation,
    Origin,
    Procedure,
    Rest,
    Step,
    Table,
    TableColumn,
    Verdict,
)
from calc.engine.sheet.values import AXIS_ORDER, Axis, SheetError, Value

__all__ = [
    "ACCEPTED",
    "AXIS_ORDER",
    "AXIS_WORDS",
    "INFORMATION",
    "NOT_APPLICABLE",
    "NOT_REQUIRED",
    "PROJECT_RULE",
    "STAMPS",
    "Axis",
    "Cases",
    "Expression",
    "Input",
    "Limitation",
    "Origin",
    "Page",
    "Procedure",
    "Rest",
    "Scope",
    "Sheet",
    "SheetError",
    "Step",
    "Table",
    "TableColumn",
    "Turning",
    "Value",
    "Verdict",
    "case_words",
    "coherent_text",
    "label_words",
    "number_text",
    "printed_numbers",
    "printed_result",
    "read_elsewhere",
    "settle",
    "settle_cases",
    "settle_turns",
    "value_text",
]
