"""Rules of columns that end in soft ground, each broken by itself in an example that is right."""

from pathlib import Path
from shutil import copy

import pytest

from calc.inputs import InputErrors, read_design

FOLDER = Path(__file__).parents[2] / "projects" / "fen-track"
TEXT = (FOLDER / "project.toml").read_text(encoding="utf-8")
UPLIFT = """
[uplift]
seals = true
gamma_dst = 1.1
gamma_stb = 0.9
gamma_S_dst = 1.35
gamma_S_stb = 0.9
source = "invented"

[field]
"""
HEADS = """mean = "-0.50 m"
head = [{ water = "mean", points = [{ level = "-7.00 m", head = "-0.50 m" }], source = "invented" }]
"""
DRAINAGE = """[filters]
drainage = { ends = "both", head_loss_max = "0.1 m", well_resistance_max = 0.3, source = "invented" }

[field]
"""
SECONDARY = """[consolidation.secondary_reduction]
value = 0.5
source = "invented"

[slip]
"""
RULES = [
    ('mean = "-0.50 m"\n', HEADS,
     "water.head: must be left out with columns.floating: it is not covered for them, got a table"),
    ('embedment = "0 m"', 'embedment = "0.5 m"',
     ("columns.embedment: must be 0 with columns.floating: the soft layers end at the toes, a layer that reaches "
      'deeper is split there, got "0.5 m"')),
    ("firm = false", "firm = true",
     ("bearing_layer.firm: must be false with columns.floating: it is the soft ground that the toes stand in, "
      "got true")),
    ("firm = false", 'c_u = "20 kPa"\nfirm = false',
     'bearing_layer.c_u: must be left out with columns.floating, whose c_u stands for it, got "20 kPa"'),
    ('c_u = "22 kPa"\n', "",
     "layer[1].c_u: must be given with columns.floating: it limits the adhesion of the shaft, got nothing"),
    ('soft_below = "5.0 m"', 'soft_below = "9.5 m"',
     'columns.floating.soft_below: must not be greater than the layers below the toes are thick (9 m), got "9.5 m"'),
    ('soft_below = "5.0 m"', 'soft_below = "4.9 m"',
     ("columns.floating.soft_below: must not be less than the layers below the toes down to the first that drains are "
      'thick (5 m), got "4.9 m"')),
    ("N_c = 9.0", "N_c = 9.1", "columns.floating.N_c: must be greater than 0 and at most 9, got 9.1"),
    ("[slip]\n", SECONDARY,
     ("consolidation.secondary_reduction: must be left out with columns.floating: within the sharing length the "
      "columns take nothing off the soil, got a table")),
    ('c_v = "1.5 m^2/a"\n\n', "\n",
     "layer_below[1].c_v: must be given with columns.floating unless drains is true, got nothing"),
    ("makeup_fill = false", 'makeup_fill = true\nembankment = { gamma_sub = "9 kN/m^3" }',
     ("makeup_fill: must be false with columns.floating: the fill for the settlement is not found for them, got true")),
    ("[field]\n", UPLIFT, "uplift: must be left out with columns.floating: it is not covered for them, got a table"),
    ("[field]\n", DRAINAGE,
     'filters.drainage.ends: must be "top" with columns.floating: the toes stand in soft ground, got "both"'),
    ('drainage = "top"', 'drainage = "both"',
     'consolidation.drainage: must be "top" with columns.floating: the toes stand in soft ground, got "both"'),
    ("n_stability = 1.0", "n_stability = 1.5",
     ("stage[1].n_stability: must be 1 with columns.floating: what they carry comes back to the soil above their toes, "
      "got 1.5")),
    ("n_stability = 1.0\n\n[consolidation]",
     'n_stability = 1.0\nc_u_gain = "2 kPa"\nc_u_gain_source = "vanes"\n\n[consolidation]',
     ("stage[3].c_u_gain: must be left out with columns.floating: surfaces pass below the toes, where no column drains "
      'the ground, got "2 kPa"')),
]  # fmt: skip


def refused(folder: Path, text: str) -> list[str]:
    (folder / "project.toml").write_text(text, encoding="utf-8")
    copy(FOLDER / "ground-data.ags", folder)
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    return str(caught.value).splitlines()


@pytest.mark.parametrize(("old", "new", "message"), RULES, ids=[f"{k}" for k, _ in enumerate(RULES)])
def test_broken_rule_is_refused_with_its_place(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert TEXT.count(old) >= 1
    (line,) = refused(tmp_path, TEXT.replace(old, new, 1))

    assert line.endswith(message)


def test_no_layer_below_the_toes_is_refused(tmp_path: Path) -> None:
    (line,) = refused(tmp_path, TEXT[: TEXT.index("[[section.layer_below]]")])

    assert line.endswith("layer_below: must hold the layers below the toes with columns.floating, got nothing")
