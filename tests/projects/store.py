"""Verdicts of the example projects, as they are stored to be compared with later runs."""

import json
from pathlib import Path
from typing import Any

from calc.chain import Run, run_checks
from calc.inputs import read_design

STORED = Path(__file__).parent / "stored"
EXAMPLES = sorted(path.parent for path in (Path(__file__).parents[2] / "projects").glob("*/project.toml"))


def summary(run: Run) -> dict[str, Any]:
    """Outcome and every verdict of a run by section and chapter."""
    return {
        "outcome": run.outcome,
        "verdicts": {
            f"{part.section.key}/{sheet.key}/{one.key}": {
                "state": one.state,
                "effect": one.effect,
                "resistance": one.resistance,
                "utilisation": one.utilisation,
                "case": dict(one.case),
            }
            for part, sheet, one in run.verdicts()
        },
        "limitations": [
            f"{part.section.key}/{sheet.key}/{one.key}"
            for part in run.sections
            for sheet in part.sheets
            for one in sheet.limitations
        ],
    }


if __name__ == "__main__":
    STORED.mkdir(exist_ok=True)
    for example in EXAMPLES:
        text = json.dumps(summary(run_checks(read_design(example))), indent=1, ensure_ascii=False)
        (STORED / f"{example.name}.json").write_text(text + "\n", encoding="utf-8")
