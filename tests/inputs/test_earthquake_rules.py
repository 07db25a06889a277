"""Rules of the table [earthquake] and of the stages in which it acts, each broken by itself."""

from collections.abc import Callable

import pytest

from calc.inputs import Design
from calc.inputs.reading.starter import starter_project, switched_on

Refused = Callable[..., list[str]]

TEXT = starter_project("Test")
BLOCK = TEXT[TEXT.index('# [[stage]]\n# name = "Full height"') : TEXT.index('[[stage]]\nname = "Final"')]
ON = switched_on(BLOCK)
SEISMIC = "seismic = 1.2 # needed with a seismic stage alone\n"

DEEP = "6 m"

RULES = [
    ((BLOCK, ON[ON.index("[earthquake]") :]),
     'earthquake: must be left out in a section without a stage of the situation "seismic", got a table'),
    ((BLOCK, ON[: ON.index("[earthquake]")]),
     'stage[4].situation: must not be "seismic" in a section without a table earthquake, got "seismic"'),
    ((BLOCK, ON.replace('"4.0 m"', '"3.0 m"', 1)),
     'stage[4].fill_height: must be that of the stage before it (3 m) in a seismic situation, got "4.0 m"'),
    ((BLOCK, ON.replace('"4.0 m"', '"3.0 m"')),
     'stage[4].fill_height: must be the height of the embankment (4 m) in at least one seismic stage, got "3.0 m"'),
    ((BLOCK, ON.replace("psi_2 = 0.3", "# no psi_2")),
     "earthquake.factors.psi_2: must be given where traffic meets the earthquake, got nothing"),
    ((BLOCK, ON.replace("traffic = true", "traffic = false")),
     "stage[4].traffic: must be true, as in stage 'Final' beside it at the same fill, got false"),
    ((BLOCK, ON.replace("consolidates = false\n", "")),
     "stage[4].consolidates: must be given as false in a seismic situation, which passes, got true"),
    ((BLOCK, ON.replace("n_stability = 1.5\nconsolidates", 'plant = "5 kPa"\nn_stability = 1.5\nconsolidates')),
     'stage[4].plant: must be left out in a seismic situation, got "5 kPa"'),
    ((BLOCK, ON.replace("a_g = 0.10", "a_g = 0.80")),
     ("earthquake.a_g: must give k_h/(1 − k_v) below 0.510, where the fill cannot be in equilibrium "
      "(reduction, soil_factor, vertical), got 0.80")),
    ((BLOCK, ON.replace("a_g = 0.10", "a_g = 2.0").replace("soil_factor = 1.35", "soil_factor = 1")),
     ("earthquake.a_g: must give k_h below 1, at which nothing stays on the ground, not 1 (reduction, soil_factor), "
     "got 2.0")),
    ((BLOCK, ON.replace("a_g = 0.10", "a_g = 0")),
     "earthquake.a_g: must be greater than 0 where readings are screened for liquefaction, got 0"),
    ((BLOCK, ON.replace('liquefaction = "see …:', 'liquefaction = "no:')),
     'earthquake.liquefaction: must begin with "see ", got "no: proof by others, for the soft layers too"'),
    ((BLOCK, ON.replace("reduction = 0.5", "reduction = 1.5")),
     "earthquake.reduction: must be greater than 0 and at most 1, got 1.5"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "message"), RULES, ids=[rule[1].split(":")[0] for rule in RULES])
def test_a_broken_rule_is_told(refused: Refused, change: tuple[str, str], message: str) -> None:
    assert [line.split(": ", 1)[1] for line in refused(change)] == [message]


def test_no_hold_point_stops_an_earthquake(refused: Refused) -> None:
    points = TEXT[TEXT.index("# [[construction.hold_point]]") : TEXT.index("# [[construction.test]]")]
    held = switched_on(points).replace('stage = "Stage 1"', 'stage = "Earthquake"')
    lines = refused((BLOCK, ON), (points, held))

    must = 'name a stage that waits for it, not one of the situation "seismic" (Platform, Stage 1, Full height, Final)'
    assert [line.split(": ", 1)[1] for line in lines] == [
        f'construction.hold_point[1].stage: must {must}, got "Earthquake"'
    ]


def test_readings_of_the_screening_lie_in_the_bearing_layer_and_are_of_one_kind(refused: Refused) -> None:
    wrong = ON.replace('depth = "14 m"', 'depth = "1 m"', 1).replace("N_60 = 22", 'N_60 = 22\nq_c = "9 MPa"')
    lines = refused((BLOCK, wrong.replace('q_c = "14 MPa"\n', "").replace('depth = "14 m"', 'depth = "21 m"')))

    at = "earthquake.screening.sounding"
    assert [line.split(": ", 1)[1].replace(f"{at}[", "[") for line in lines] == [
        f'[1].depth: must lie below the soft layers ({DEEP}) and at most 20 m deep, got "1 m"',
        "[1].N_60: must be given, or q_c, but not both, got both",
        "[2].N_60: must be given, or q_c, but not both, got neither",
        f'[2].depth: must lie below the soft layers ({DEEP}) and at most 20 m deep, got "21 m"',
    ]


def test_readings_are_not_screened_in_dry_ground(refused: Refused) -> None:
    dry = ON.replace('water = "mean"', 'water = "low"').replace('depth = "14 m"', 'depth = "6 m"', 1)
    lines = refused((BLOCK, dry), ('# low = "-0.80 m"', 'low = "-6.10 m"'))

    below = f"lie below the soft layers ({DEEP}) and at most 20 m deep"
    wet = "be no lower than the base of the soft layers where readings are screened for liquefaction"
    assert [line.split(": ", 1)[1] for line in lines] == [
        f'stage[4].water: must {wet}, got "low"',
        f'earthquake.screening.sounding[1].depth: must {below}, got "6 m"',
    ]


def test_strips_meet_the_earthquake_where_they_stand_before_it(refused: Refused) -> None:
    """Without a uniform load, too."""
    strips = TEXT[TEXT.index("# [[traffic.strip]]") : TEXT.index("## [traffic.dynamic]")]
    lines = refused(
        (BLOCK, ON.replace("traffic = true", "traffic = false")), (strips, switched_on(strips)),
        ('q = "15 kPa"', 'q = "0 kPa"'),
    )  # fmt: skip

    assert [line.split(": ", 1)[1] for line in lines] == [
        "stage[4].traffic: must be true, as in stage 'Final' beside it at the same fill, got false"
    ]


def test_geosynthetics_need_a_factor_of_the_seismic_situation(refused: Refused) -> None:
    lines = refused((BLOCK, ON), (SEISMIC, ""))

    assert [line.split(": ", 1)[1] for line in lines] == [
        "sleeve.gamma_M.seismic: must be given where a stage is seismic, got nothing"
    ]


def test_an_earthquake_is_not_denied(refused: Refused) -> None:
    lines = refused((BLOCK, ON), ('# seismic = "not relevant because …"', 'seismic = "not relevant because calm"'))

    assert [line.split(": ", 1)[1] for line in lines] == [
        'outside.seismic: must begin with "see " where there is a table earthquake, got "not relevant because calm"'
    ]


def test_the_earlier_place_of_the_coefficient_tells_the_new_one(refused: Refused) -> None:
    slip = TEXT[TEXT.index("# [slip]") : TEXT.index("## centres = 10")]
    lines = refused((slip, switched_on(slip) + "[slip.seismic]\nk_h = 0.05\n"))

    must = "be given as [earthquake], which acts in stages of the situation seismic"
    assert [line.split(": ", 1)[1] for line in lines] == [f"slip.seismic: must {must}, got an unknown key"]


def test_an_earlier_earthquake_without_traffic_beside_it_meets_none(read: Callable[..., Design]) -> None:
    quake = ON[ON.index('[[stage]]\nname = "Earthquake"') : ON.index("[earthquake]")]
    early = quake.replace("Earthquake", "Early").replace("4.0 m", "2.0 m").replace("120 d", "80 d")

    stages = read((BLOCK, early.replace("traffic = true", "traffic = false") + ON)).sections[0].stages

    assert [stage.traffic for stage in stages if stage.situation == "seismic"] == [False, True]
