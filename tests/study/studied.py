"""A project with a study whose limit state is a plane: its record is whole, quick to make, and of a real run."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import numpy as np

from calc.chain import Run, run_checks
from calc.engine.sheet import Limitation
from calc.inputs import Design, read_design
from calc.inputs.tables.vary_rules import correlation_matrix
from calc.study.changed import number_at
from calc.study.engines import Here
from calc.study.study_record import checksum
from calc.study.vary.data_file import data_of, files_beside
from calc.study.vary.marginals import joint, marginal
from calc.study.vary.one_at_a_time import ends_of
from calc.study.vary.section_models import verdict_of
from calc.study.vary.study import Asked, Means, study_section
from calc.study.vary.vary_record import record
from calc.study.vary.vary_run import Varied
from tests.archive.scenario import filled_starter

VERDICT = "unit_cell/settlement_total"
GAMMA, MODULUS, SPACING = "layer.peat.gamma", "layer.peat.E_oed_ref", "columns.spacing"
TABLE = f"""
[vary]
points = 256
replicates = 8

[[vary.input]]
path = "{GAMMA}"
distribution = "normal"
mean = "10.8 kN/m^3"
sd = "0.3 kN/m^3"
correlation_length = "0.5 m"
averaging_length = "2 m"
source = "tests <b>bold</b>, invented"

[[vary.input]]
path = "{MODULUS}"
distribution = "data"
file = "moduli.csv"
column = "E"
unit = "kPa"
source = "invented"

[[vary.input]]
path = "{SPACING}"
least = "1.7 m"
most = "1.9 m"
source = "invented"

[[vary.limit_state]]
verdict = "{VERDICT}"
target = 3.8
reliability_class = "RC2"
source = "basis of design, 50 years, invented"
"""
DATA = "E\n" + "".join(f"{700 + 40 * k}\n" for k in range(12))
Json = dict[str, Any]


@dataclass(frozen=True)
class Studied:
    """The project in its folder, its run, and the record of its study."""

    design: Design
    run: Run
    record: Json

    @property
    def content(self) -> bytes:
        return json.dumps(self.record, indent=2, ensure_ascii=False, allow_nan=False).encode()

    def altered(self, change: Callable[[Json], object]) -> bytes:
        """The record with something else in it, under a checksum that fits."""
        said = json.loads(self.content)
        change(said)
        return json.dumps({**said, "checksum": checksum(said)}).encode()


def write_studied(folder: Path, table: str = TABLE) -> Design:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "moduli.csv").write_text(DATA, encoding="utf-8")
    text = filled_starter("Bank").replace("[[section]]\n", f"{table}\n[[section]]\n", 1)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    return read_design(folder)


def plane(values: Mapping[str, Any]) -> dict[str, Any]:
    """Utilisation 0.7 at about the means, higher with the weight and lower with the modulus; it seldom reaches 1."""
    falls = 0.05 * (values[MODULUS] - 920) / 140
    return {VERDICT: 0.7 + 0.35 * (values[GAMMA] - 10.8) - falls + 0.1 * (values[SPACING] - 1.8)}


def studied(folder: Path) -> Studied:
    """Everything that a study finds of the plane, by itself."""
    design = write_studied(folder)
    run, vary = run_checks(design), design.vary
    assert vary is not None
    section = design.sections[0]
    known = {one.path: marginal(one, data_of(design, section, one, k) if one.file else None)
             for k, one in enumerate(vary.inputs) if one.distribution}  # fmt: skip
    base = {one.path: number_at(design, section, one.path) for one in vary.inputs}
    together = joint([*known.values()], correlation_matrix(vary, np.asarray), {SPACING: base[SPACING]})
    verdict = verdict_of(run, section.key, VERDICT)
    turned = (Limitation("toe-water-low", "The lowest level is in no stage.", "project file"),)
    asked = [Asked(vary.limit_states[0], verdict, verdict, plane, turned=turned)]
    ends = [ends_of(one, known) for one in vary.inputs]
    names = (section.key, section.title)
    found = study_section(vary, asked, together, ends, base, Means(Here()), names=names)
    files = {name: sha256(content).hexdigest() for name, content in files_beside(design, vary).items()}
    return Studied(design, run, record(Varied(design, vary, design, (found,), files)))
