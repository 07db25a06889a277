"""The example with zones of the columns as a low bank on stronger clay, its slope columns shorter."""

from tests.willow import high_bank

SHORT = """
[columns.zone.floating]
alpha = 0.6
K = 0.8
delta = "18 deg"
N_c = 9.0
toe_share = 0.5
toe_in = "{toe_in}"
E = "1500 kPa"
source = "tests on two columns, invented"
"""
BELOW = """[[section.layer_below]]
key = "sand-below"
name = "Sand, dense"
thickness = "12.0 m"
gamma_sat = "21 kN/m^3"
E = "70 MPa"
drains = true
"""


def short_text(*changes: tuple[str, str], floating: bool = True, toe_in: str = "clay-lower", slip: bool = False) -> str:
    """Fill of 1.6 m; under the slopes columns of 4 m that end in the clay, of which 2 m lie below."""
    text = high_bank()
    clay = text[text.index('[[section.layer]]\nkey = "clay"') : text.index("[section.bearing_layer]")]
    upper = clay.replace('"5.0 m"', '"3.0 m"').replace('c_u = "18 kPa"', 'c_u = "25 kPa"')
    lower = clay.replace('"clay"', '"clay-lower"').replace('"Clay, soft"', '"Clay, soft, below"')
    lower = (
        lower.replace('"5.0 m"', '"2.0 m"')
        .replace('c_u = "18 kPa"', 'c_u = "30 kPa"')
        .replace('"1.2 m^2/a"', '"1.3 m^2/a"')
    )
    text = text.replace(clay, upper + lower).replace('"3.6 m"', '"1.6 m"').replace('"2.0 m"\nplant', '"0.8 m"\nplant')
    text = text.replace('x_left = "3.0 m"', 'x_left = "6.5 m"').replace('x_right = "11.3 m"', 'x_right = "9.0 m"')
    if floating:
        text = text.replace("\n[field]\n", f"{SHORT.format(toe_in=toe_in)}\n[field]\n")
    if not slip:
        begin = text.index("[slip]\n")
        text = text[:begin] + text[text.index("[construction.quantities]") :]
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def stage_of(name: str) -> str:
    """The lines of a stage."""
    text = short_text()
    begin = text.index(f'[[stage]]\nname = "{name}"')
    return text[begin : text.index("\n\n", begin) + 2]
