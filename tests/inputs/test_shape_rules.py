"""Rules between the values of berms and the bank that they stand beside, each broken by itself."""

from collections.abc import Callable

import pytest

from calc.inputs import Design

Refused = Callable[..., list[str]]
HEAD = "[traffic]"
BERM = """[embankment.berm_right]
width = "6 m"
height = "1.5 m"
slope = "1:2"
stage = "STAGE"

"""


def berm(stage: str, *changes: tuple[str, str]) -> tuple[str, str]:
    text = BERM.replace("STAGE", stage)
    for change in changes:
        text = text.replace(*change)
    return HEAD, text + HEAD


@pytest.mark.parametrize(
    ("stage", "change", "text"),
    [
        ("Stage 1", ('"1:2"', '"1:1.5"'), 'slope: must not be steeper than the side slope (1:2), got "1:1.5"'),
        ("Stage 9", ("", ""), 'stage: must name a stage that is given (Platform, Stage 1, Final), got "Stage 9"'),
        (
            "Stage 1", ('"1.5 m"', '"2.0 m"'),
            'height: must be below the fill of every stage from Stage 1 on (2 m in Stage 1), got "2.0 m"',
        ),
        (
            "Platform", ("", ""),
            'height: must be below the fill of every stage from Platform on (0 m in Platform), got "1.5 m"',
        ),
        ("Stage 1", ('"6 m"', '"0 m"'), 'width: must be greater than 0 m and at most 500 m, got "0 m"'),
    ],
)  # fmt: skip
def test_berm_that_does_not_fit_is_refused(refused: Refused, stage: str, change: tuple[str, str], text: str) -> None:
    lines = refused(berm(stage, change))

    assert [line.split(": ", 1)[1] for line in lines] == [f"embankment.berm_right.{text}"]


def test_berms_are_those_with_a_height(read: Callable[..., Design]) -> None:
    given = read(berm("Stage 1")).sections[0].embankment
    none = read(berm("Stage 1", ('"1.5 m"', '"0 m"'))).sections[0].embankment

    assert [*given.berms] == ["right"]
    assert given.berms["right"].height == 1.5
    assert none.berms == {}


LOWER = """[embankment.berm_right.lower]
width = "4 m"
height = "0.8 m"
slope = "1:3"

"""


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (('"1:3"', '"1:1.5"'), 'slope: must not be steeper than the slope of the berm above it (1:2), got "1:1.5"'),
        (('"0.8 m"', '"1.5 m"'), 'height: must be below the berm above it (1.5 m), got "1.5 m"'),
    ],
)
def test_lower_berm_that_does_not_fit_is_refused(refused: Refused, change: tuple[str, str], text: str) -> None:
    lines = refused(berm("Stage 1", ("\n\n", f"\n\n{LOWER.replace(*change)}")))

    assert [line.split(": ", 1)[1] for line in lines] == [f"embankment.berm_right.lower.{text}"]


def test_lower_berm_beside_a_berm_of_no_height_is_refused(refused: Refused) -> None:
    lines = refused(berm("Stage 1", ('"1.5 m"', '"0 m"'), ("\n\n", f"\n\n{LOWER}")))

    assert [line.split(": ", 1)[1] for line in lines] == [
        'embankment.berm_right.lower.height: must be below the berm above it (0 m), got "0.8 m"'
    ]


FURTHER = """[[embankment.berm_right.further]]
width = "3 m"
height = "{}"
slope = "1:{}"

"""


@pytest.mark.parametrize(
    ("tables", "text"),
    [
        (
            (FURTHER.format("0.4 m", "3"),),
            "further: must be left out without a lower berm, below which they stand, got a list",
        ),
        (
            (LOWER, FURTHER.format("0.8 m", "3")),
            'further[1].height: must be below the berm above it (0.8 m), got "0.8 m"',
        ),
        (
            (LOWER, FURTHER.format("0.4 m", "3"), FURTHER.format("0.2 m", "2.5")),
            'further[2].slope: must not be steeper than the slope of the berm above it (1:3), got "1:2.5"',
        ),
        (
            (LOWER, FURTHER.format("0 m", "3"), FURTHER.format("0.2 m", "3")),
            'further[2].height: must be below the berm above it (0 m), got "0.2 m"',
        ),
    ],
)
def test_further_step_that_does_not_fit_is_refused(refused: Refused, tables: tuple[str, ...], text: str) -> None:
    lines = refused(berm("Stage 1", ("\n\n", "\n\n" + "".join(tables))))

    assert [line.split(": ", 1)[1] for line in lines] == [f"embankment.berm_right.{text}"]


def test_more_steps_than_symbols_are_refused(refused: Refused) -> None:
    tables = [FURTHER.format(f"0.{7 - k} m", "3") for k in range(5)]
    lines = refused(berm("Stage 1", ("\n\n", "\n\n" + "".join((LOWER, *tables)))))

    assert len(lines) == 1
    assert "embankment.berm_right.further: must" in lines[0]


def test_steps_end_where_one_has_no_height(read: Callable[..., Design]) -> None:
    given = read(berm("Stage 1", ("\n\n", "\n\n" + LOWER + FURTHER.format("0.4 m", "3") + FURTHER.format("0 m", "3"))))
    fill = given.sections[0].embankment

    assert [step.height for step in fill.berms["right"].steps] == [1.5, 0.8, 0.4]
    assert [fill.path_of_step("right", k) for k in range(3)] == [
        "embankment.berm_right", "embankment.berm_right.lower", "embankment.berm_right.further.0",
    ]  # fmt: skip


def test_toe_lies_beyond_both_berms(read: Callable[..., Design]) -> None:
    """6 m and 4 m, and 1 of run on 0.8 m + 0.3 m of platform that the lower slope is flatter by."""
    given = read(berm("Stage 1", ("\n\n", f"\n\n{LOWER}"))).sections[0].embankment.berms["right"]

    assert len(given.steps) == 2
    assert given.out(2.0, 0.3) == pytest.approx(6 + 4 + 1.0 * 1.1)


def zone(bottom: str, top: str, gamma: str = "18 kN/m^3", name: str = "one") -> str:
    return (
        f'[[embankment.zone]]\nname = "{name}"\nbottom = "{bottom}"\ntop = "{top}"\ngamma = "{gamma}"\n'
        'phi = "35 deg"\nc = "0 kPa"\n\n'
    )


@pytest.mark.parametrize(
    ("zones", "text"),
    [
        (zone("1 m", "1 m"), '[1].top: must be above its bottom (1 m), got "1 m"'),
        (zone("1 m", "4.5 m"), '[1].top: must not be above the crest (4 m), got "4.5 m"'),
        (
            zone("1 m", "2 m") + zone("1.5 m", "3 m", name="two"),
            '[2].bottom: must not be below the top of the zone before it (2 m), got "1.5 m"',
        ),
        (zone("1 m", "2 m") + zone("2 m", "3 m"), '[2].name: must be used once only, got "one"'),
        (
            zone("2 m", "4 m", "22 kN/m^3"),
            (
                "[1].top: must be below the crest where it is heavier than the fill, which compensation fill is taken "
                'as, got "4 m"'
            ),
        ),
    ],
)
def test_zone_that_does_not_fit_is_refused(refused: Refused, zones: str, text: str) -> None:
    lines = refused((HEAD, zones + HEAD))

    assert [line.split(": ", 1)[1] for line in lines] == [f"embankment.zone{text}"]


def test_zone_below_a_water_level_is_refused(refused: Refused) -> None:
    lines = refused((HEAD, zone("0 m", "1 m") + HEAD), ('high = "0.00 m"', 'high = "2.00 m"'))

    assert len(lines) == 1
    assert "the highest water level: the buoyancy of a zone is not calculated" in lines[0]


def test_zone_of_the_values_of_the_fill_is_none(read: Callable[..., Design]) -> None:
    same = zone("1 m", "2 m", "19 kN/m^3").replace('"35 deg"', '"32.5 deg"')

    assert read((HEAD, same + HEAD)).sections[0].embankment.zones == ()
    both = read((HEAD, same + zone("2 m", "3 m", name="two") + HEAD)).sections[0].embankment
    assert [k for k, _ in both.zones] == [1]


NO_GAIN = ('c_u_gain = "0.1 kPa"', 'c_u_gain = "0 kPa"'), ('c_u_gain = "0.3 kPa"', 'c_u_gain = "0 kPa"')


def ended(text: str, left: str = "", right: str = "") -> str:
    ends = "".join(f'{side} = "{x}"\n' for side, x in (("left", left), ("right", right)) if x)
    return text.removesuffix("\n") + ends + "\n"


@pytest.mark.parametrize(
    ("zones", "told"),
    [
        (
            ended(zone("1 m", "2 m"), "-11.2 m", "3 m"),
            ("left: must be at least -11 m, where the side slope is at the bottom of the zone; left out, the zone "
             'reaches the slope, got "-11.2 m"'),
        ),
        (
            ended(zone("1 m", "2 m"), right="11.1 m"),
            ("right: must be at most 11 m, where the side slope is at the bottom of the zone; left out, the zone "
             'reaches the slope, got "11.1 m"'),
        ),
        (ended(zone("1 m", "2 m"), "3 m", "3 m"), 'right: must be to the right of its left end (3 m), got "3 m"'),
    ],
)  # fmt: skip
def test_ends_of_a_zone_that_do_not_fit_are_refused(refused: Refused, zones: str, told: str) -> None:
    lines = refused((HEAD, zones + HEAD), *NO_GAIN)

    assert [line.split(": ", 1)[1] for line in lines] == [f"embankment.zone[1].{told}"]


def test_zones_side_by_side_may_share_levels_and_not_places(refused: Refused, read: Callable[..., Design]) -> None:
    left, right = ended(zone("1 m", "2 m"), right="0 m"), ended(zone("1 m", "3 m", name="two"), "0 m")
    bank = read((HEAD, left + right + HEAD), *NO_GAIN).sections[0].embankment
    assert bank.is_cored
    assert [bank.ends(one) for _, one in bank.zones] == [(-float("inf"), 0.0), (0.0, float("inf"))]

    lines = refused((HEAD, left + right.replace('left = "0 m"', 'left = "-0.5 m"') + HEAD), *NO_GAIN)
    assert [line.split(": ", 1)[1] for line in lines] == [
        'embankment.zone[2].bottom: must not be below the top of the zone before it (2 m), got "1 m"'
    ]


def test_zone_does_not_end_over_a_berm(refused: Refused) -> None:
    """Slope and berm of 1.5 m meet 10 m from the axis; the slope is at the bottom of the zone 12 m from it."""
    head, text = berm("Stage 1")
    lines = refused((head, text.removesuffix(HEAD) + ended(zone("0.5 m", "1.2 m"), right="10.5 m") + HEAD), *NO_GAIN)

    assert [line.split(": ", 1)[1] for line in lines] == [
        (
            "embankment.zone[1].right: must be at most 10 m, where the side slope meets the berm; left out, the zone "
            'reaches the slope, got "10.5 m"'
        )
    ]


def test_what_is_not_calculated_with_ends_is_refused_at_once(refused: Refused) -> None:
    lines = refused(
        (HEAD, ended(zone("1 m", "2 m"), "-3 m", "3 m") + HEAD),
        ('crest_width = "10.0 m"', 'crest_width = "10.0 m"\nheight_left = "3.9 m"'),
        ('thickness = "2.0 m" #', 'thickness_left = "1.9 m"\nthickness = "2.0 m" #'),
    )
    told = "\n".join(lines)

    for path in ("embankment.height_left", "c_u_gain: must be left out with a zone", "thickness_left"):
        assert path in told


def test_cohesion_of_sleeves_is_refused_with_ends_and_compensation_fill(
    refused: Refused, read: Callable[..., Design]
) -> None:
    """The cell has the places between ends of zones under compensation fill, which is not there everywhere."""
    core, field = ended(zone("1 m", "2 m"), "-3 m", "3 m"), "[field]\nsleeve_cohesion = true\n\n"
    without = ("makeup_fill = true", "makeup_fill = false")

    assert [line.split(": ", 1)[1] for line in refused((HEAD, field + core + HEAD), *NO_GAIN)] == [
        (
            "field.sleeve_cohesion: must be false with a zone of the fill that ends within the bank and compensation "
            "fill: the ring tension without that fill is not found at its places, got true"
        )
    ]
    assert read((HEAD, field + core + HEAD), *NO_GAIN, without).sections[0].embankment.is_cored
    assert not read((HEAD, field + zone("1 m", "2 m") + HEAD)).sections[0].embankment.is_cored
