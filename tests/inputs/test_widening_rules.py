"""Rules of the table [widening], each broken by itself in the example that has it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from calc.inputs import Design, InputErrors, read_design
from calc.inputs.tables.neighbours import Neighbours
from calc.inputs.tables.widening import not_with_old_bank
from tests.first_section import quay_road

Refused = Callable[..., list[str]]
BERM = '{ width = "3 m", height = "1 m", slope = "1:2", stage = "Fill" }'
ZONE = """zone = [{ key = "slope", x_left = "5 m", x_right = "9 m", pattern = "square", spacing = "1.9 m" }]

"""
UNKNOWN = "strength and columns under the old bank are not those of the section"
BARE = "must be left out with [widening]: it is not calculated beside an old bank"
SLOPES = 'slope_left = "1:2"\nslope_right = "1:2"\n'
KEPT = 'height = "3.0 m"\ncrest_left = "-9.5 m"', 'height = "3.2 m"\ncrest_left = "-9.1 m"'
OUTER = "must be left out with [widening] that leaves this side as it is: no columns stand there"


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Design]:
    """Read the example after changes, each the replacement of a text that is there."""

    def changed(*changes: tuple[str, str]) -> Design:
        text = quay_road()
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new)
        (tmp_path / "project.toml").write_text(text, encoding="utf-8")
        return read_design(tmp_path)

    return changed


@pytest.fixture
def refused(read: Callable[..., Design], tmp_path: Path) -> Refused:
    """Give the refusals without file and line."""

    def lines(*changes: tuple[str, str]) -> list[str]:
        with pytest.raises(InputErrors) as caught:
            read(*changes)
        found = str(caught.value).replace(f"{tmp_path}/", "").splitlines()
        return [line.split(": ", 1)[1] for line in found if line.startswith("project.toml")]

    return lines


def test_the_example_is_read_as_it_is(read: Callable[..., Design]) -> None:
    given, fill = read().sections[0].widening, read().sections[0].embankment

    assert given is not None
    assert [given.moves(fill, side) for side in ("left", "right")] == [False, True]
    assert [given.inwards(fill, side) for side in ("left", "right")] == [0.0, pytest.approx(8.7)]


@pytest.mark.parametrize(
    ("change", "changed"),
    [
        (("ageing", "ageing"), False),
        ((f'{SLOPES}gamma = "18.5', f'{SLOPES.replace("1:2", "1:1.9", 1)}gamma = "18.5'), True),
        (('height = "3.2 m"\ncrest_left', 'height = "3.1 m"\ncrest_left'), True),
    ],
)  # fmt: skip
def test_a_side_is_kept_only_with_its_height_and_slope(
    read: Callable[..., Design], change: tuple[str, str], changed: bool
) -> None:
    """Raised or steepened it loads the ground anew, though neither crest edge nor toe moves outwards."""
    section = read(KEPT, change).sections[0]

    assert section.widening is not None
    assert section.widening.bare_sides(section.embankment) == ["left"] * changed


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        ('beyond_right = "5.0 m"', 'beyond_right = "5.0 m"\nbeyond_left = "3.0 m"',
         f'field.beyond_left: {OUTER}, got "3.0 m"'),
        ('columns_right = "0.4 m"', 'columns_right = "0.4 m"\ncolumns_left = "-9.9 m"',
         f'widening.columns_left: {OUTER}, got "-9.9 m"'),
    ],
)  # fmt: skip
def test_no_columns_stand_on_a_side_that_is_kept(refused: Refused, old: str, new: str, text: str) -> None:
    assert refused(KEPT, (old, new)) == [text]


def test_neighbours_are_refused(read: Callable[..., Design]) -> None:
    """They would be judged by columns from toe to toe."""
    one = read().sections[0]
    (found,) = not_with_old_bank(one.widening, one.embankment, None, False, None, None, None, one.columns,
                                 Neighbours.model_construct())  # fmt: skip

    must = "be left out with [widening]: it would have columns from toe to toe"
    assert (found.path, found.must) == (("neighbours",), must)


def test_instruments_stand_where_columns_do(refused: Refused) -> None:
    """Columns stand from 0.4 m to 9.1 + 5.0 m."""
    given = """[monitoring]
[[monitoring.instrument]]
name = "SP"
quantity = "settlement"
offsets = ["-5 m", "0.4 m", "14.1 m", "14.2 m"]
source = "invented"

[columns.fill]"""
    must = "must be where columns stand with [widening]: what is expected is that of ground on columns"
    found = refused(("[columns.fill]", given))

    assert [one for one in found if "offsets" in one] == [
        f'monitoring.instrument[1].offsets[{k}]: {must}, got "{x}"' for k, x in ((1, "-5 m"), (4, "14.2 m"))
    ]


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        ('crest_right = "0.1 m"', 'crest_right = "-9.5 m"',
         'widening.crest_right: must be right of crest_left (-9.5 m), got "-9.5 m"'),
        ('height = "3.0 m"\ncrest_left', 'height = "3.4 m"\ncrest_left',
         'widening.height: must not be above the bank after widening (3.2 m): it is not cut down, got "3.4 m"'),
        ('crest_left = "-9.5 m"', 'crest_left = "-9.9 m"',
         'widening.crest_left: must lie within the slope after widening: it is 0.4 m outside, got "-9.9 m"'),
        ('slope_left = "1:2"\nslope_right = "1:2"\ngamma = "18.5',
         'slope_left = "1:2.5"\nslope_right = "1:2"\ngamma = "18.5',
         'widening.slope_left: must end within the toe after widening: its toe is 1.5 m outside, got "1:2.5"'),
        ('columns_right = "0.4 m"', 'columns_right = "0.1 m"',
         'widening.columns_right: must be outside the crest of the old bank (0.1 m), got "0.1 m"'),
        ('columns_right = "0.4 m"', 'columns_right = "8.0 m"',
         ("widening.columns_right: must be at least a spacing inside the crest edge after widening (7.4 m): bearing "
         'and lateral extrusion have columns under it, got "8.0 m"')),
        ('columns_right = "0.4 m"\n', "",
         "widening.columns_right: must be given: the new part stands on columns, got nothing"),
        ('beyond_right = "5.0 m"', "hold_top = 0.0",
         "field.beyond_right: must be given where widening.columns_right is given, got nothing"),
        ("makeup_fill = false", "makeup_fill = true",
         ("section[1].makeup_fill: must be false with [widening]: the fill for unlike settlements is not "
         "found, got true")),
        ("[columns.fill]", '[slip]\nmin_depth = "1 m"\nwater_mode = "vertical"\ndrained = true\n\n[columns.fill]',
         (f"slip: must be left out with [widening]: {UNKNOWN}; a document named in widening.stability stands for it, "
         "got a table")),
        ("[columns.fill]", '[platform]\nthickness = "0.5 m"\ngamma = "18 kN/m^3"\nrole = "load"\n\n[columns.fill]',
         "platform: must be left out with [widening]: heights count from the ground, a platform as fill, got a table"),
        ('c = "0 kPa"\n\n# The old', f'c = "0 kPa"\nberm_left = {BERM}\n\n# The old',
         f"embankment.berm_left: {BARE}, got a table"),
        ("[columns.fill]\n", f"{ZONE}[columns.fill]\n", f"columns.zone: {BARE}, got a table"),
        ('mean = "-0.60 m"', 'mean = "0.30 m"',
         ("water.mean: must not be above the ground (0 m) with [widening]: buoyancy of old and new fill is not "
         'calculated, got "0.30 m"')),
        ("C_c = 0.30\nC_r = 0.05", "C_c = 0.30",
         "section[1].layer[1].C_r: must be given of every layer where it is given of one, got nothing"),
        ("C_r = 0.05", "C_r = 0.35", "section[1].layer[1].C_r: must not be greater than C_c (0.3), got 0.35"),
        ('positions = ["3.6 m"]', 'positions = ["3.6 m", "3.6 m"]',
         'widening.positions[2]: must be used once only, got "3.6 m"'),
        ('layer = "Mat 1, across"', 'layer = "Mat 2, along"',
         ("widening.joint.layer: must name a layer of reinforcement that carries across (Mat 1, across), "
          'got "Mat 2, along"')),
        ('cover = "2.6 m"', 'cover = "3.1 m"',
         'widening.joint.cover: must not be more than the fill over the layer (3 m), got "3.1 m"'),
        ('length = "4.8 m"', 'length = "21.7 m"',
         'widening.joint.length: must not be longer than the old bank is wide at the ground (21.6 m), got "21.7 m"'),
        ('phi = "30 deg" # of the old fill below it\n', "",
         "widening.joint.phi: must be given where the joint does not lie on mats, got nothing"),
        ("on_mats = false", "on_mats = true",
         ("widening.joint.phi: must be left out where the joint lies on mats: the face between them counts alone, "
          'got "30 deg"')),
        ('base = "3.5 m" # a lane\n', "",
         "widening.limits.base: must be given where cross_fall or grade is, got nothing"),
        ('base = "3.5 m"', 'base = "9.2 m"',
         'widening.limits.base: must not be longer than half the crest (9.1 m), got "9.2 m"'),
        ('positions = ["3.6 m"]', 'positions = ["-47 m"]',
         'widening.positions[1]: must be within 46.5 m of the axis: it is far off, got "-47 m"'),
    ],
)  # fmt: skip
def test_what_does_not_fit_the_old_bank_is_refused(refused: Refused, old: str, new: str, text: str) -> None:
    assert text in refused((old, new))


def test_indices_without_a_widening_are_read_by_nobody(refused: Refused, read: Callable[..., Design]) -> None:
    text = quay_road()
    table = text[text.index("[widening]") : text.index("[traffic]")]
    must = "must be left out without [widening], which alone reads it"

    assert refused((table, "")) == [
        f"section[1].layer[{layer}].{name}: {must}, got {value}"
        for layer, name, value in ((1, "C_c", "0.30"), (1, "C_r", "0.05"), (2, "C_c", "0.70"), (2, "C_r", "0.09"))
    ]


def test_field_and_innermost_columns_belong_together_on_either_side(refused: Refused) -> None:
    """Both sides grow around the old bank; the field is given on both, the innermost columns on the right alone."""
    both = ('crest_left = "-9.5 m"', 'crest_left = "-5.0 m"'), ("[field]\n", '[field]\nbeyond_left = "5.0 m"\n')

    must = "must be given where field.beyond_left is given, got nothing"
    assert refused(*both) == [f"widening.columns_left: {must}"]


def test_void_ratio_belongs_to_the_indices(refused: Refused) -> None:
    found = refused(("C_alpha = 0.004\ne_0 = 1.4\n", ""))

    assert found == ["section[1].layer[1].e_0: must be given where C_c is given, got nothing"]


def test_an_outline_that_does_not_grow_is_no_widening(refused: Refused) -> None:
    grown = ('crest_width = "18.2 m"', 'crest_width = "8.8 m"')
    edges = ('crest_left = "-9.5 m"\ncrest_right = "0.1 m"', 'crest_left = "-4.8 m"\ncrest_right = "4.8 m"')
    found = refused(grown, edges)

    assert found[0] == (
        "widening.crest_right: must leave room for the widening: neither crest edge nor toe of either side moves "
        'outwards, got "4.8 m"'
    )
