"""Rules of layers that thicken or thin across, each broken by itself in the starter project.

The starter has peat of 2 m over clay of 4 m, and a bank 4 m high with a crest of 10 m and slopes 1:2 on a platform.
"""

from collections.abc import Callable
from typing import Any

import pytest

from calc.inputs import Design
from calc.inputs.tables.columns import ColumnField
from calc.inputs.tables.ground import Layer, Water
from calc.inputs.tables.positions import not_with_sloping_layers, to_toe, values_at_one_depth
from calc.inputs.tables.widening import Widening

Change = tuple[str, str]
Refused = Callable[..., list[str]]
Read = Callable[..., Design]
LEVEL: Change = ("makeup_fill = true", "makeup_fill = false")
WHERE = "with layers that change their thickness across"
TOLD = "results of tests are told to the layers by their depth below the axis"
PEAT, CLAY = 'thickness = "2.0 m"', 'thickness = "4.0 m"\ngamma = "14.2'


def peat(**sides: str) -> Change:
    return PEAT, "\n".join([PEAT, *(f'thickness_{side} = "{text}"' for side, text in sides.items())]) + " "


def clay(**sides: str) -> Change:
    given = [f'thickness_{side} = "{text}"' for side, text in sides.items()]
    return CLAY, "\n".join(['thickness = "4.0 m"', *given, 'gamma = "14.2'])


def told(lines: list[str]) -> list[str]:
    return [line.split(": ", 1)[1] for line in lines]


def test_compensation_fill_is_refused(refused: Refused) -> None:
    must = f"must be false {WHERE}: fill for a settlement that differs across is not calculated"

    assert told(refused(peat(right="3.0 m"))) == [f"section[1].makeup_fill: {must}, got true"]


def test_steep_boundary_is_refused_at_the_layer_that_makes_it_so(read: Read, refused: Refused) -> None:
    bank = read().sections[0]
    reach = to_toe(bank.embankment, bank.platform, "right")
    lines = told(refused(LEVEL, peat(right="3.0 m"), clay(right="20 m")))

    must = (
        f"must be 0.00 m to {4 - 1 + reach / 4:.2f} m, so that the base of the layer slopes by no more than 1:4 over "
        f"the {reach:.2f} m from the axis to the toe"
    )
    assert lines == [f'section[1].layer[2].thickness_right: {must}, got "20 m"']


def test_layer_does_not_begin_beside_the_axis(refused: Refused) -> None:
    """The reason stands where 0 is given, not where the thickness is too large."""
    must = "section[1].layer[1].thickness: must be greater than 0 m and at most 500 m"
    why = ", because a layer that begins beside the axis cannot be given"

    assert told(refused(LEVEL, (PEAT, 'thickness = "0 m"'))) == [f'{must}{why}, got "0 m"']
    assert told(refused(LEVEL, (PEAT, 'thickness = "501 m"'))) == [f'{must}, got "501 m"']


def test_soft_ground_does_not_end_at_a_toe(refused: Refused) -> None:
    thin = (PEAT, 'thickness = "1.0 m"\nthickness_left = "0 m" ')
    ends = (CLAY, 'thickness = "1.0 m"\nthickness_left = "0 m"\ngamma = "14.2')
    lines = told(refused(LEVEL, thin, ends))

    must = "must be greater than 0 of one layer at least: columns end in firm ground below soft ground"
    assert lines == [f'section[1].layer[2].thickness_left: {must}, got "0 m"']


def test_points_over_depth_are_refused(refused: Refused) -> None:
    points = '{ points = [{ depth = "0 m", c_u = "15 kPa" }, { depth = "2 m", c_u = "16 kPa" }], source = "Vanes" }'
    lines = told(refused(LEVEL, clay(left="5 m"), ('c_u = "15 kPa"\nE_oed', f"c_u_profile = {points}\nE_oed")))

    must = f"must be left out {WHERE}: points over depth hold at one place across alone"
    assert lines == [f"section[1].layer[1].c_u_profile: {must}, got a table"]


def test_what_holds_at_one_place_alone_is_refused(read: Read) -> None:
    """What the starter cannot show by one change: floating columns, heads, screening, sleeve cohesion, plug, gain."""
    design = read(LEVEL, peat(right="0 m"))
    one = design.sections[0]
    floating = one.columns.model_copy(update={"floating": object()})
    heads = one.water_table.model_copy(update={"heads": (object(),)})
    shaken: Any = type("Shaken", (), {"screening": object()})
    field, old = ColumnField(sleeve_cohesion=True), Widening.model_construct()
    found = [*not_with_sloping_layers(one.layers, floating, False, heads, field, shaken, old)]
    gain = tuple(stage.model_copy(update={"c_u_gain": "consolidation"}) for stage in one.stages[:1])
    plug = type("Plug", (), {"length": 6.0})
    more = [*values_at_one_depth(one.layers, gain, object(), plug, one.columns)]  # type: ignore[arg-type]

    assert [(problem.path, problem.must) for problem in (*found, *more)] == [
        (("widening",), f"be left out {WHERE}: an old bank is calculated on level layers alone"),
        (("columns", "floating"), f"be left out {WHERE}: the soft ground goes on below the toes"),
        (("water", "head"), f"be left out {WHERE}: heads over depth are level"),
        (("field", "sleeve_cohesion"), f"be false {WHERE}: the ring tension that it rests on differs across"),
        (("earthquake", "screening"), f"be left out {WHERE}: soundings lie at depths below the ground at the axis"),
        (("stage", 0, "c_u_gain"), f"be a number {WHERE}: it is compared with the gain calculated at every position"),
        (("ground_model",), f"be left out {WHERE}: {TOLD}"),
        (("plug", "length"), "not be greater than the shortest column below the ground (4.5 m), at a toe"),
    ]  # fmt: skip


def test_level_ground_has_nothing_to_refuse(read: Read) -> None:
    one = read(peat(left="2.0 m", right="2.0004 m")).sections[0]

    assert not one.slopes
    assert [*not_with_sloping_layers(one.layers, one.columns, True, one.water_table, None, None, None)] == []
    assert [*values_at_one_depth(one.layers, one.stages, None, None, one.columns)] == []


def test_positions_follow_their_section_with_the_layers_that_are_there(read: Read) -> None:
    """Straight from the axis to the toe: at the crest edge the share of half the crest in the way to the toe."""
    design = read(LEVEL, peat(right="0 m"), clay(right="6 m"))
    main, edge, toe = design.sections
    bank = main.embankment
    share = bank.crest_width / 2 / to_toe(bank, main.platform, "right")

    assert [one.key for one in design.stated] == ["A"]
    assert [(section.key, section.of) for section in design.sections] == [("A", "A"), ("A.re", "A"), ("A.rt", "A")]
    assert edge.title == "Name of the stretch: ground at the right crest edge"
    assert [layer.thickness for layer in edge.layers] == pytest.approx([2 - 2 * share, 4 + 2 * share])
    assert [(layer.key, layer.thickness) for layer in toe.layers] == [("clay", 6.0)]
    assert toe.origin("layer.clay.thickness") == main.origin("layer.clay.thickness_right")
    between = "straight between 2.0 m at the axis and 0 m at the toe"
    text = f"{edge.layers[0].thickness:.3f} m at the right crest edge, {between}"
    assert edge.origin("layer.peat.thickness").text == text
    assert edge.origin("layer.peat.gamma") == main.origin("layer.peat.gamma")


def test_each_side_has_the_way_to_its_own_toe(read: Read) -> None:
    """A steeper left slope and a lower left crest edge bring its toe nearer."""
    design = read(
        LEVEL, peat(left="3 m", right="3 m"), ('slope_left = "1:2"', 'slope_left = "1:1.5"'),
        ('height = "4.0 m"\n', 'height = "4.0 m"\nheight_left = "3.8 m"\n'),
    )  # fmt: skip
    _, left, _, right, _ = design.sections

    assert left.layers[0].thickness > right.layers[0].thickness
    assert isinstance(left.layers[0], Layer)
    assert isinstance(left.water_table, Water)
