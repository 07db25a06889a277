"""The tables [size] and [catalogue]: what is refused, with the whole message."""

from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design
from tests.study.grids import write_grid

PRICE = 'price = { value = 9, source = "Offer O-1 (invented)" }\n'
MATS = '\n[[size.mat]]\nreplaces = "grid"\nby = ["mat"]\n\n[[catalogue.sleeve]]\nname = "light"'
ZONE = '\n[[size.zone]]\nkey = "slope"\nspacing = ["2.2 m", "2.4 m"]\n'
BERM = '\n[[size.berm]]\nside = "left"\nwidth = ["4 m"]\nheight = ["0 m", "1 m"]\n'
OWN = """
[section.embankment.berm_left]
width = "4 m"
height = "1 m"
slope = "1:4"
stage = "First lift"
[section.embankment.berm_left.lower]
width = "3 m"
height = "0.5 m"
slope = "1:4"

[section.traffic]
"""
FIRST = '\n[[catalogue.sleeve]]\nname = "light"'


def refusals(folder: Path, *changes: tuple[str, str]) -> list[str]:
    """The refusals without file and line."""
    with pytest.raises(InputErrors) as caught:
        read_design(write_grid(folder, *changes))
    return [line.split(": ", 1)[1] for line in str(caught.value).splitlines() if "project.toml:" in line]


def test_grid_is_read(tmp_path: Path) -> None:
    design = read_design(write_grid(tmp_path / "p"))

    assert design.size is not None
    assert design.catalogue is not None
    assert design.size.spacing == (1.6, 1.9, 2.1)
    assert [one.strength for one in design.catalogue.sleeve] == [200.0, 400.0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('spacing = ["1.6 m", "1.9 m", "2.1 m"]', 'spacing = ["1.6 m", "1.9 m", "160 cm"]'),
         'size.spacing[3]: must be used once only, got "160 cm"'),
        (('spacing = ["1.6 m", "1.9 m", "2.1 m"]', 'spacing = ["0.6 m", "0.7 m"]'),
         "size.spacing: must have a value greater than the least diameter (0.7 m), got none"),
        (('method = "excavation"\n[', 'method = "displacement"\n['),
         "size.installation[1].K_star: must be given for displacement columns, got nothing"),
        (('sleeve = ["light", "strong"]', 'sleeve = ["light", "none"]'),
         'size.sleeve[2]: must be the name of a sleeve of [catalogue] ("light", "strong"), got "none"'),
        ((PRICE, ""), "catalogue.sleeve[1].price: must be given for the objective cost, got nothing"),
        (('currency = "EUR"\n', ""), "size.currency: must be given for the objective cost, got nothing"),
        (('objective = ["cost"]', 'objective = ["speed"]'),
         'size.objective[1]: must be one of "cost", "carbon", "settlement", "time", got "speed"'),
        (('objective = ["cost"]', 'objective = ["cost", "cost"]'),
         'size.objective[2]: must be used once only, got "cost"'),
        (('objective = ["cost"]', 'section = "X"\nobjective = ["cost"]'),
         'size.section: must be the key of a section (T), got "X"'),
        (('name = "strong"', 'name = "light"'), 'catalogue.sleeve[2].name: must be used once only, got "light"'),
        (('J = "2800 kN/m"', 'J = "4000 kN/m"'),
         'catalogue.sleeve[2].stiffness[2].J: must not be greater than the stiffness before it (3600 kN/m), got "4000'),
        (('oversize = "3 mm"', 'installed_radius = "0.403 m"'),
         "size.diameter: must have one value where sleeve.installed_radius is given: give its oversize, got 2 values"),
        (('objective = ["cost"]', 'objective = ["time"]'),
         "size.programme: must be given for the objective time, got nothing"),
        ((FIRST, ZONE + FIRST),
         'size.zone[1].key: must be the key of a zone of the section (it has none), got "slope"'),
        ((FIRST, ZONE.replace("2.4", "2.2") + FIRST), 'size.zone[1].spacing[2]: must be used once only, got "2.2 m"'),
        ((FIRST, ZONE + ZONE + FIRST), 'size.zone[2].key: must be used once only, got "slope"'),
        ((FIRST, BERM + FIRST), 'size.berm[1].side: must be that of a berm: give embankment.berm_left, got "left"'),
        ((FIRST, BERM + FIRST), "size.berm[1].price: must be given for the objective cost, got nothing"),
        ((FIRST, BERM + BERM.replace("left", "both") + FIRST),
         'size.berm[2].side: must not be that of a berm that is varied already, got "both"'),
        ((FIRST, BERM.replace('"1 m"', '"0 m"') + FIRST), 'size.berm[1].height[2]: must be used once only, got "0 m"'),
        ((FIRST, BERM.replace('"4 m"', '"4 m", "400 cm"') + FIRST), "size.berm[1].width[2]: must be used once only"),
        ((FIRST, MATS), 'size.mat[1].replaces: must be the name of a layer of the section (it has none), got "grid"'),
        ((FIRST, MATS), 'size.mat[1].by[1]: must be the name of a mat of [catalogue] (none is given), got "mat"'),
    ],
)  # fmt: skip
def test_what_breaks_a_rule_of_the_grid_is_refused(change: tuple[str, str], said: str, tmp_path: Path) -> None:
    assert any(line.startswith(said) for line in refusals(tmp_path / "p", change))


def test_a_berm_that_is_charged_needs_the_width_of_the_field_and_its_lower_berm_stays(tmp_path: Path) -> None:
    said = refusals(tmp_path / "p", (FIRST, BERM + FIRST), ("\n[section.traffic]\n", OWN))

    assert ("size.berm[1].side: must stand in a section with field.beyond_left and field.beyond_right: it is charged "
            'over their width, got "left"') in said  # fmt: skip
    assert ("size.berm[1].height[1]: must be greater than 0 where embankment.berm_left has a lower berm, which would "
            'go with it, got "0 m"') in said  # fmt: skip


def test_carbon_asks_for_its_factors_and_several_sections_for_a_key(tmp_path: Path) -> None:
    carbon = ('objective = ["cost"]', 'objective = ["carbon"]')
    gone = ('carbon = { value = 2, source = "Declaration D-2 (invented)" }\n', "")
    other = ("[[section]]\n", '[[section]]\nkey = "B"\ntitle = "Other"\nchainage = "0+000 to 0+001"\n\n[[section]]\n')

    assert refusals(tmp_path / "p", carbon, gone) == [
        "catalogue.sleeve[1].carbon: must be given for the objective carbon, got nothing"
    ]
    assert "size.section: must be the key of a section (B, T), got nothing" in refusals(tmp_path / "q", other)
