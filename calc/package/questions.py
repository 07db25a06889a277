"""What the summary asks: the questions by which verdicts are grouped, and the values of a section that a client reads.

It is the one place of the package that names chapters, verdicts and lines; a test holds the names to what there is.
"""

from dataclasses import dataclass

# Questions with the chapters whose verdicts answer them; a chapter that none of them names is a question of its own.
QUESTIONS = (
    ("Sleeve", ("sleeve",)),
    ("Settlement", ("unit_cell", "alignment")),
    ("Consolidation during filling", ("consolidation",)),
    ("Bearing, lateral extrusion", ("bearing",)),
    ("Global stability", ("stability",)),
    ("Thrust, reinforcement", ("thrust", "load_transfer", "reinforcement")),
    ("Filters, drainage", ("filters",)),
    ("Working platform", ("platform",)),
    ("Ground, columns, construction", ("basis", "ground", "ground_model", "columns", "construction", "monitoring")),
    ("Neighbours", ("neighbours",)),
    ("Widening", ("widening",)),
)
BESIDE = ("stress_ratio", "stability_inputs")  # hold where nothing was searched, too: they answer no question alone
SETTLEMENT = "settlement"  # verdicts whose key begins so answer that question, in whichever chapter they stand


@dataclass(frozen=True, slots=True)
class Compared:
    """Effect of limit of the verdict nearest to it of several; the first says why none has numbers."""

    title: str
    verdicts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Required:
    """A value required of the value provided in every scope of a chapter that has both."""

    title: str
    chapter: str
    required: str
    provided: str


@dataclass(frozen=True, slots=True)
class Line:
    """Lines by chapter, scope and symbol."""

    title: str
    lines: tuple[str, ...]


FACTS: tuple[Compared | Required | Line, ...] = (
    Required("Strength of the sleeve, required of provided", "sleeve", "R_req", "R_Bk0"),
    Required("Strength, required of provided", "reinforcement", "R_rreq", "R_rk0"),
    Compared(
        "Primary settlement, of its limit", ("settlement_below_toe", "settlement_total", "settlement_elastic_plastic")
    ),
    Compared("Settlement after hand-over, of its limit", ("settlement_rest", "settlement_residual")),
    Compared("Settlement in the design life, of its limit", ("settlement_life", "settlement_with_time")),
    Line(
        "Filling ends; earliest hand-over for that limit, soft ground alone; all ground (best estimate of cₕ)",
        ("consolidation/course/t_en", "consolidation/residual/t_res", "bearing/hand_over/t_resb"),
    ),
    Line(
        "Columns; length of columns; of sleeves",
        ("construction/quantities/N_col", "construction/quantities/l_col", "construction/quantities/l_sl"),
    ),
    Line("Column fill delivered; embankment fill", ("construction/quantities/V_del", "construction/quantities/V_E")),
    Line("Reinforcement laid", ("construction/reinforcement/A_rf",)),
    Line("Reinforcement delivered, with waste", ("construction/reinforcement/A_rd",)),
)
