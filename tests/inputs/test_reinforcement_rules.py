"""Rules between values of the horizontal reinforcement and of the load transfer, each broken by itself."""

from collections.abc import Callable

import pytest

from calc.inputs import Design

Refused = Callable[..., list[str]]
HEAD = "# Matters outside"
FACTOR = '{ value = 1.1, source = "invented" }'
LAYER = f"""[[reinforcement]]
name = "grid"
direction = "DIRECTION"
strength = "400 kN/m"
interaction = 0.8
level = "0.9 m"
MORE
stiffness = [{{ name = "short", time = "1 d", J = "3000 kN/m" }}, {{ name = "long", time = "100 a", J = "2500 kN/m" }}]
factors = {{ A1 = {FACTOR}, A2 = {FACTOR}, A3 = {FACTOR}, A4 = {FACTOR}, A5 = {FACTOR} }}
gamma_M = {{ persistent = 1.4, transient = 1.3, accidental = 1.2, source = "invented" }}
"""
OVERLAP = f'overlap = {{ length = "1.5 m", interaction = 0.6, f_po = {FACTOR}, f_ms = {FACTOR} }}'
ANCHORAGE = (
    'anchorage = { length = "1.5 m", FOLD friction_below = "30 deg", interaction_below = 0.8, '
    f"f_n = {FACTOR}, f_po = {FACTOR}, f_ms = {FACTOR} }}"
)
LIFT = """[first_lift]
thickness = "0.4 m"
machines = "dozer"
plant = "10 kPa"
machine_cover = "0.4 m"
placing = "Pushed forward."
source = "invented"
"""


def layer(more: str, direction: str = "across") -> tuple[str, str]:
    return HEAD, LAYER.replace("DIRECTION", direction).replace("MORE", more) + HEAD


@pytest.mark.parametrize(
    ("more", "direction", "text"),
    [
        (
            'joint = "sewn"\n' + OVERLAP, "across",
            'reinforcement[1].joint: must be left out where overlap is given, got "sewn"',
        ),
        (
            ANCHORAGE.replace("FOLD", ""), "along",
            "reinforcement[1].anchorage: must be given for layers across or in both directions only, got a table",
        ),
        (
            ANCHORAGE.replace("FOLD", 'fold_back = "4 m",'), "both",
            "reinforcement[1].anchorage.fold_back_cover: must be given where fold_back is given, got nothing",
        ),
        (
            ANCHORAGE.replace("FOLD", 'fold_back_cover = "2 m",'), "across",
            "reinforcement[1].anchorage.fold_back: must be given where fold_back_cover is given, got nothing",
        ),
    ],
)  # fmt: skip
def test_ends_of_the_reinforcement_that_do_not_fit_are_refused(
    refused: Refused, more: str, direction: str, text: str
) -> None:
    assert [line.split(": ", 1)[1] for line in refused(layer(more, direction))] == [text]


def test_reinforcement_needs_a_direction(refused: Refused) -> None:
    """A geosynthetic has two strengths; which one carries is never guessed."""
    old, new = layer("")
    (line,) = refused((old, new.replace('direction = "across"\n', "")))

    assert "reinforcement[1].direction: must be given" in line


def test_drag_of_panels_needs_all_three_values(refused: Refused) -> None:
    lines = refused((HEAD, LIFT + "panels = 3\n\n" + HEAD))

    together = "must be given with the other two of remoulded_strength, panels, panel_width, got nothing"
    assert [line.split(": ", 1)[1] for line in lines] == [
        f"first_lift.panel_width: {together}",
        f"first_lift.remoulded_strength: {together}",
    ]


def test_overlap_without_a_joint_is_read(read: Callable[..., Design]) -> None:
    (found,) = read(layer(OVERLAP)).sections[0].reinforcement

    assert found.joint is None
    assert found.overlap is not None
    assert found.overlap.length == 1.5


def test_anchorage_with_a_covered_fold_is_read(read: Callable[..., Design]) -> None:
    (found,) = (
        read(layer(ANCHORAGE.replace("FOLD", 'fold_back = "4 m", fold_back_cover = "2 m",'))).sections[0].reinforcement
    )

    assert found.anchorage is not None
    assert (found.anchorage.length, found.anchorage.fold_back, found.anchorage.fold_back_cover) == (1.5, 4.0, 2.0)


def test_first_lift_without_drag_of_panels_is_read(read: Callable[..., Design]) -> None:
    lift = read((HEAD, LIFT + HEAD)).sections[0].first_lift

    assert lift is not None
    assert (lift.thickness, lift.plant) == (0.4, 10.0)
    assert (lift.remoulded_strength, lift.panels) == (None, None)


@pytest.mark.parametrize(
    ("table", "must"),
    [
        ("load_transfer", "be given as [first_lift], the one table of the first lift"),
        ("construction", "be given as [first_lift], with its thickness over the lowest reinforcement"),
    ],
)
def test_first_lift_where_it_stood_before_names_its_table(refused: Refused, table: str, must: str) -> None:
    source = '[load_transfer]\nsource = "invented"\n\n' if table == "load_transfer" else ""
    (line,) = refused((HEAD, source + LIFT.replace("[first_lift]", f"[{table}.first_lift]") + "\n" + HEAD))

    assert line.split(": ", 1)[1] == f"{table}.first_lift: must {must}, got an unknown key"


OTHER = (
    "be that of first_lift.plant ({}), because a slip surface or a block of soft ground may lie below these machines "
    "alone: no mean over a wider lift, got {}"
)


@pytest.mark.parametrize(
    ("on_lift", "over_cell", "must"),
    [
        ("10 kPa", "10 kPa", ""),
        (None, "0 kPa", ""),
        ("5 kPa", "10 kPa", OTHER.format("10 kPa", '"5 kPa"')),
        ("12 kPa", "10 kPa", OTHER.format("10 kPa", '"12 kPa"')),
        ("1 kPa", "0 kPa", OTHER.format("0 kPa", '"1 kPa"')),
        ("0 kPa", "10 kPa", OTHER.format("10 kPa", '"0 kPa"')),
        (None, "10 kPa", OTHER.format("10 kPa", "nothing")),
    ],
)
def test_plant_on_the_first_lift_is_that_of_its_stage(
    refused: Refused, read: Callable[..., Design], on_lift: str | None, over_cell: str, must: str
) -> None:
    """A layer at 0.9 m: the platform of 0.6 m lies below it, the last stage begins at 2.6 m, above a lift of 0.4 m."""
    _, mat = layer("")
    changes = [(HEAD, LIFT.replace("10 kPa", over_cell) + "\n" + mat)]
    if on_lift is not None:
        changes.append(('name = "Stage 1"', f'name = "Stage 1"\nplant = "{on_lift}"'))
    if must:
        (line,) = refused(*changes)
        assert line.split(": ", 1)[1] == f"stage[2].plant: must {must}"
    else:
        assert read(*changes).sections[0].first_lift is not None


@pytest.mark.parametrize(("field", "value"), [("arching", '"best"'), ("load_shape", '"round"'), ("membrane", '"none"')])
def test_unknown_words_of_the_load_transfer_are_refused(refused: Refused, field: str, value: str) -> None:
    (line,) = refused((HEAD, f'[load_transfer]\nsource = "invented"\n{field} = {value}\n\n{HEAD}'))

    assert f"load_transfer.{field}: must be one of" in line


def test_reinforcement_above_the_crest_is_refused(refused: Refused) -> None:
    (found,) = refused((HEAD, LAYER.replace("DIRECTION", "across").replace("MORE", "").replace("0.9 m", "40 m") + HEAD))
    assert "reinforcement[1].level: must be below the crest of the final state (" in found
    assert found.endswith('got "40 m"')


@pytest.mark.parametrize(("level", "stands"), [("-0.10 m", False), ("0 m", True)])
def test_reinforcement_below_the_ground_is_refused(
    read: Callable[..., Design], refused: Refused, level: str, stands: bool
) -> None:  # fmt: skip
    """A height above the platform that is typed as a level of high ground lies there."""
    change = (HEAD, LAYER.replace("DIRECTION", "across").replace("MORE", "").replace("0.9 m", level) + HEAD)
    if stands:
        assert read(change).sections[0].reinforcement[0].level == 0.0
    else:
        (found,) = refused(change)
        assert found.split(": ", 1)[1] == (
            "reinforcement[1].level: must be an elevation not below the ground (0 m), where columns would stand "
            'through it, got "-0.10 m"'
        )


def test_slip_surfaces_deeper_than_all_soft_ground_are_refused(refused: Refused) -> None:
    (found,) = refused((HEAD, '[slip]\nwater_mode = "vertical"\nmin_depth = "60 m"\ndrained = false\n\n' + HEAD))
    assert "slip.min_depth: must be less than height of fill and thickness of the soft layers together (" in found
