"""Rules between values of a project file, each broken by itself."""

from collections.abc import Callable

import pytest

from calc.inputs.reading.starter import starter_project

Refused = Callable[..., list[str]]
LineOf = Callable[[str], int]

SPACING = 'spacing = "1.90 m"'

RULES = [
    (
        'chainage = "0+000 to 0+100"',
        'chainage = "12+50 to 12+90"',
        (
            "section[1].chainage: must have three digits of metres after each +, such as 0+120 (12+050 is 12.05 km), "
            'got "12+50 to 12+90"'
        ),
    ),
    ('key = "clay"', 'key = "peat"', 'section[1].layer[2].key: must be used once only, got "peat"'),
    ('key = "sand"', 'key = "peat"', 'section[1].bearing_layer.key: must be used once only, got "peat"'),
    (
        'gamma_sat = "11.0 kN/m^3"',
        'gamma_sat = "9.8 kN/m^3"',
        'section[1].layer[1].gamma_sat: must be at least gamma_w (9.81 kN/m^3), got "9.8 kN/m^3"',
    ),
    (
        'gamma_sat = "11.0 kN/m^3"',
        'gamma_sat = "10.7 kN/m^3"',
        'section[1].layer[1].gamma_sat: must be at least gamma (10.8 kN/m^3), got "10.7 kN/m^3"',
    ),
    (
        'gamma_sat = "20 kN/m^3"',
        'gamma_sat = "9 kN/m^3"',
        'columns.fill.gamma_sat: must be at least gamma_w (9.81 kN/m^3), got "9 kN/m^3"',
    ),
    (
        'c_u = "15 kPa"',
        'c_u = "15 kPa"\nsigma_p = "40 kPa"\nOCR = 1.2',
        "section[1].layer[1].OCR: must be left out where sigma_p is given, got 1.2",
    ),
    (
        'oversize = "0 mm"',
        'oversize = "0 mm"\ninstalled_radius = "0.41 m"',
        "sleeve.oversize: must be given, or installed_radius, but not both, got both",
    ),
    (
        'oversize = "0 mm"',
        'installed_radius = "0.39 m"',
        'sleeve.installed_radius: must be at least the column radius (0.4 m), got "0.39 m"',
    ),
    (
        'J = "2400 kN/m"',
        'J = "3200 kN/m"',
        'sleeve.stiffness[2].J: must not be greater than the stiffness before it (3000 kN/m), got "3200 kN/m"',
    ),
    (
        'time = "100 a"',
        'time = "24 h"',
        'sleeve.stiffness[2].time: must be later than the time before it (1 d), got "24 h"',
    ),
    ('name = "long"', 'name = "short"', 'sleeve.stiffness[2].name: must be used once only, got "short"'),
    (
        "A1 = { value = 1.5,",
        "A1 = { value = 0.9,",
        "sleeve.factors.A1.value: must be at least 1 and at most 100, got 0.9",
    ),
    (
        'start = "60 d"',
        'start = "0 d"',
        'stage[2].start: must be later than the start of the stage before it (0 d), got "0 d"',
    ),
    (
        'start = "60 d"',
        'start = "1 week"',
        'stage[2].start: must not be before the end of the stage before it (14 d), got "1 week"',
    ),
    (
        'fill_height = "2.0 m"',
        'fill_height = "7.5 m"',
        'stage[2].fill_height: must be less than 6.5 m, where the slopes of a surcharge meet, got "7.5 m"',
    ),
    (
        '\nfill_height = "4.0 m"',
        '\nfill_height = "3.9 m"',
        (
            "stage[3].fill_height: must be the height of the embankment (4 m) "
            'in the last stage, the final state, got "3.9 m"'
        ),
    ),
    (
        'fill_height = "0 m"',
        'fill_height = "2.5 m"',
        'stage[2].fill_height: must not be less than in the stage before it or the embankment (2.5 m), got "2.0 m"',
    ),
    (
        'situation = "persistent"',
        'situation = "transient"',
        'stage[3].situation: must be "persistent" in the last stage, the final state, got "transient"',
    ),
    (
        "\ntraffic = true",
        "\ntraffic = false",
        "stage[3].traffic: must be true in the last stage of a section with traffic, got false",
    ),
    (
        'high = "0.00 m"',
        'high = "-0.70 m"',
        'water.high: must not be below the level mean (-0.5 m), got "-0.70 m"',
    ),
    (
        'high = "0.00 m"',
        'high = "30 m"',
        'water.high: must not be above the crest (4 m without the platform), got "30 m"',
    ),
    (
        'oversize = "0 mm"',
        'oversize = "300 mm"',
        'sleeve.oversize: must be less than half the column radius (0.2 m), got "300 mm"',
    ),
    (
        'oversize = "0 mm"',
        'installed_radius = "0.7 m"',
        'sleeve.installed_radius: must be less than one and a half times the column radius (0.6 m), got "0.7 m"',
    ),
    ('name = "Stage 1"', 'name = "Platform"', 'stage[2].name: must be used once only, got "Platform"'),
    (
        '\nwater = "mean"',
        '\nwater = "flood"',
        'stage[3].water: must name a level that the table water gives (mean, high), got "flood"',
    ),
    (
        'initial_water = "mean"',
        'initial_water = "flood"',
        'section[1].initial_water: must name a level that the table water gives (mean, high), got "flood"',
    ),
    (
        'factor_sets = ["EN 1997-1 DA1-1", ',
        'factor_sets = ["EN 1997-1 DA1-2", ',
        'basis.factor_sets[2]: must be used once only, got "EN 1997-1 DA1-2"',
    ),
    (
        'checker = { name = "Name of the checker" }',
        'checker = { name = "name of the  originator" }',
        'people.checker.name: must be another person than the originator, got "name of the  originator"',
    ),
    (
        'gamma_sub = "10 kN/m^3"',
        'gamma_sub = "19 kN/m^3"',
        'embankment.gamma_sub: must be less than gamma (19 kN/m^3), got "19 kN/m^3"',
    ),
]


@pytest.mark.parametrize(("old", "new", "text"), RULES, ids=[row[2].split(",")[0] for row in RULES])
def test_a_broken_rule_gives_one_line(refused: Refused, old: str, new: str, text: str) -> None:
    lines = refused((old, new))

    assert [line.split(": ", 1)[1] for line in lines] == [text]


def test_traffic_acts_only_where_it_is_given(refused: Refused) -> None:
    lines = refused(('[traffic]\nq = "15 kPa"', ""))

    assert [line.split(": ", 1)[1] for line in lines] == [
        "stage[3].traffic: must be false in a section without a table traffic, got true"
    ]


def test_a_sleeve_without_reduction_factors_is_refused(refused: Refused) -> None:
    text = starter_project("Test")
    factors = text[text.index("[sleeve.factors]") : text.index("[sleeve.gamma_M]")]

    assert [line.split(": ", 1)[1] for line in refused((factors, ""))] == [
        "sleeve.factors: must be given, or iso20432, or both, got neither"
    ]


BELOW = (
    '[[section.layer_below]]\nkey = "KEY"\nname = "n"\nthickness = "1 m"\ngamma_sat = "GAMMA kN/m^3"\nE = "10 MPa"\n\n'
)


@pytest.mark.parametrize("key", ["peat", "sand", "deep"])
def test_layers_below_have_keys_and_weights_of_their_own(refused: Refused, key: str) -> None:
    deep = BELOW.replace("KEY", "deep").replace("GAMMA", "20")
    lines = refused(
        ("[section.bearing_layer]", deep + BELOW.replace("KEY", key).replace("GAMMA", "9") + "[section.bearing_layer]")
    )

    assert [line.split(": ", 1)[1] for line in lines] == [
        f'section[1].layer_below[2].key: must be used once only, got "{key}"',
        'section[1].layer_below[2].gamma_sat: must be at least gamma_w (9.81 kN/m^3), got "9 kN/m^3"',
    ]


def test_a_factor_set_that_nobody_knows_is_refused_with_the_known_ones(refused: Refused) -> None:
    (line,) = refused(('"EN 1997-1 DA1-2"]', '"EN 1997 DA1"]'))

    assert line.split(": ", 1)[1] == (
        'basis.factor_sets[2]: must be one of "EN 1997-1 DA1-1", "EN 1997-1 DA1-2", "EN 1997-1 DA2", "EN 1997-1 DA3", '
        '"DIN 1054:2010 GEO-2", "DIN 1054:2010 GEO-3", got "EN 1997 DA1"'
    )


def test_a_section_names_factor_sets_of_the_project_each_once(refused: Refused) -> None:
    named = 'factor_sets = ["EN 1997-1 DA1-2", "EN 1997-1 DA2", "EN 1997-1 DA1-2"]\n'
    lines = refused(("ground_level = ", named + "ground_level = "))

    assert [line.split(": ", 1)[1] for line in lines] == [
        (
            "basis.factor_sets[1]: must be named by a section, because every section names sets of its own, got "
            '"EN 1997-1 DA1-1"'
        ),
        (
            'section[1].factor_sets[2]: must be one of basis.factor_sets: "EN 1997-1 DA1-1", "EN 1997-1 DA1-2", got '
            '"EN 1997-1 DA2"'
        ),
        'section[1].factor_sets[3]: must be used once only, got "EN 1997-1 DA1-2"',
    ]


def test_a_given_factor_set_does_not_hide_a_built_in_one(refused: Refused) -> None:
    values = "\n".join(
        f"gamma_{name} = 1" for name in ("G", "Q", "G_fav", "phi", "c", "cu", "gamma", "R_e", "R_v", "R_h")
    )
    tables = "\n".join(f"[basis.factor_set.{name}]\n{values}" for name in ("persistent", "transient", "accidental"))
    given = f'[[basis.factor_set]]\nkey = "EN 1997-1 DA2"\ntitle = "t"\nkind = "effect"\nsource = "s"\n{tables}\n'

    assert [line.split(": ", 1)[1] for line in refused(("# Matters outside", f"{given}\n# Matters outside"))] == [
        'basis.factor_set[1].key: must be another name than that of a built-in set, got "EN 1997-1 DA2"'
    ]
