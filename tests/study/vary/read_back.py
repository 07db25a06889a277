"""A study, or a limit state of it, as its pages have it: written as JSON and read again."""

import json

from calc.study.vary.read_vary import ReadVary, State, VaryRecord
from calc.study.vary.study import Answer, Studied
from calc.study.vary.vary_record import answer_record, record
from calc.study.vary.vary_run import Varied


def read_back(of: Varied) -> ReadVary:
    text = json.dumps(record(of), allow_nan=False)
    return ReadVary(of.design, of.vary, VaryRecord.model_validate_json(text))


def state_of(found: Studied, answer: Answer | None = None) -> State:
    """An answer of a section, by itself its only one."""
    return State.model_validate_json(json.dumps(answer_record(answer or found.answers[0], found), allow_nan=False))
