"""The page of the unit cell: sublayers at the governing case, stages, positions, and the two methods side by side."""

import numpy as np

from calc.chapters.shared.frame import CENTRE, G_Q, LONG, G, frame
from calc.chapters.shared.layer_tables import case_table, envelope_table, layer_profile, layer_table
from calc.chapters.shared.ratio_limits import GIVEN
from calc.chapters.shared.second_cell import EXPECTED_GAP, STIFFNESS_POINTS
from calc.chapters.unit_cell.limits import MORE
from calc.chapters.unit_cell.runs import KEPT
from calc.chapters.unit_cell.sketch import unit_cell_sketch
from calc.engine.sheet import Page, Sheet, Table, TableColumn, Value, number_text
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

RING_TABLE = ("z_F", "sigma_v0sz", "sigma_v0cz", "Dsigma_vs", "Dsigma_vc", "E_oed", "Dr_c", "F_Ri")
STANDARD_TABLE = ("sigma_v0s", "sigma_v0c", "Dsigma_vs", "Dsigma_vc", "n", "E_oed", "Dr_c", "F_Ri", "eps_Ri", "s_i")
CASES_TABLE = ("Dsigma_0", "Dsigma_vs", "Dsigma_vc", "E_oed", "Dr_c", "F_Ri")
PANELS = (
    ("Δσ<sub>v</sub>", "kN/m²", ((say("soil"), "Dsigma_vs"), (say("column"), "Dsigma_vc"))),
    ("F<sub>R</sub>", "kN/m", ((say("ring-tension"), "F_Ri"),)),
    ("Δr<sub>c</sub>", "mm", ((say("radial-expansion"), "Dr_c"),)),
)


def page(of: Page, design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Expected shares, stress ratios, envelopes over the stages, then the sublayers at the printing case."""
    ring, tension, settlement = (of.sheet.scopes[name] for name in ("ring", "tension", "settlement"))
    of.aside.update({GIVEN, MORE} & of.sheet.scopes.keys())
    of.set_aside(KEPT)
    of.tables.append(expected_shares())
    of.tables.append(stress_ratios(section, frame(design, section).loaded_stages, (tension["n"], settlement["n"])))
    of.record(*stages(ring["F_Ri"], settlement["s"]))
    of.figures.append(unit_cell_sketch(section))
    layer_table(of, "tension", say("tension-title"), "ring", RING_TABLE, say("tension-note"))
    layer_profile(of, "tension", say("profile-title"), "ring", section, PANELS, depth="z_F")
    layer_table(of, "settlement", say("settlement-title"), "settlement", STANDARD_TABLE)
    of.recorded.add("tension-cases")
    case_table(of, "tension-cases", say("tension-cases-title"), "ring", CASES_TABLE, ("factor_set", "combination"))


def expected_shares() -> Table:
    """By how much the standard method settles less, by ring stiffness."""
    head = [TableColumn(symbol="J", unit="kN/m"), TableColumn(symbol="d_exp", unit="%")]
    rows = [
        [number_text(stiffness, 0), number_text(100 * share, 1)]
        for stiffness, share in zip(STIFFNESS_POINTS, EXPECTED_GAP, strict=True)
    ]
    return Table("expected-share", say("expected-share-title"), head, rows, say("expected-share-note"))


def stress_ratios(section: Section, loaded: tuple[str, ...], ratios: tuple[Value, ...]) -> Table:
    """The ratio of the cell beside the one to be used for stability, which is safe in the opposite direction."""
    rows = []
    for label, stage in zip(loaded, section.stages, strict=True):
        parts = [ratio.at(stage=label) for ratio in ratios]
        numbers = np.concatenate([part.array[part.valid] for part in parts])
        ends = (
            [number_text(float(ratio), 1) for ratio in (numbers.min(), numbers.max())]
            if numbers.size
            else [parts[0].reason] * 2
        )
        rows.append([label, *ends, number_text(stage.n_stability, 1)])
    words = (say("stage"), say("least-ratio"), say("largest-ratio"), say("n-for-stability"))
    head = [TableColumn(words=word) for word in words]
    return Table("stress-ratio", say("stress-ratio-title"), head, rows, say("stress-ratio-note"))


def stages(tension: Value, settled: Value) -> list[Table]:
    """The largest ring tension by factor set, and settlements by stiffness and by position, of every stage."""
    return [
        envelope_table(
            "tension-stages", say("tension-stages-title"), tension.at(combination=(G, G_Q)), "stage", "factor_set",
            note=say("tension-stages-note"),
        ),
        envelope_table(
            "settlement-stages", say("settlement-stages-title"), settled.at(position=CENTRE, load="G+Q"),
            "stage", "stiffness", note=say("settlement-stages-note"),
        ),
        envelope_table(
            "settlement-positions", say("settlement-positions-title"), settled.at(stiffness=LONG, load="G+Q"),
            "stage", "position", note=say("settlement-positions-note"),
        ),
    ]  # fmt: skip
