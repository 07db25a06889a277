"""An invented grid of designs over the quickest example: two sleeves in a catalogue, charges, few values."""

from pathlib import Path
from shutil import copyfile

EXAMPLE = Path(__file__).parents[2] / "projects" / "weak-sleeve"
DATA = "ground-data.csv"
SIZE = """
[size]
objective = ["cost"]
currency = "EUR"
diameter = ["0.70 m", "0.80 m"]
spacing = ["1.6 m", "1.9 m", "2.1 m"]
pattern = ["square", "triangular"]
sleeve = ["light", "strong"]

[[size.installation]]
method = "excavation"
[size.installation.price]
column = { value = 60, source = "Tender T-1, item 3.1 (invented)" }
metre = { value = 22, source = "Tender T-1, item 3.2 (invented)" }
volume = { value = 31, source = "Tender T-1, item 3.3 (invented)" }
[size.installation.carbon]
column = { value = 5, source = "Declaration D-1 (invented)" }
metre = { value = 4, source = "Declaration D-1 (invented)" }
volume = { value = 9, source = "Declaration D-1 (invented)" }
"""
SLEEVE = """
[[catalogue.sleeve]]
name = "{name}"
strength = "{strength} kN/m"
seam = "Sewn along its length, seam strength in RF_ID"
stiffness = [
  {{ name = "short", time = "1 d", J = "{short} kN/m" }},
  {{ name = "long", time = "80 a", J = "{long} kN/m" }},
]
price = {{ value = {price}, source = "Offer O-1 (invented)" }}
carbon = {{ value = {carbon}, source = "Declaration D-2 (invented)" }}
[catalogue.sleeve.iso20432]
RF_CR = {{ value = 1.50, source = "Creep rupture tests, report CR-09 (2021), invented" }}
RF_ID = {{ value = 1.20, source = "Installation damage and seam tests, report ID-03 (2021), invented" }}
RF_W = {{ value = 1.00, source = "Covered within one day, method statement" }}
RF_CH = {{ value = 1.05, source = "Ageing tests, report AG-02 (2021), invented" }}
R1 = {{ value = 1.10, source = "Longest creep test 10 000 h, report CR-09" }}
R2 = {{ value = 1.00, source = "Ageing tests beyond the design life, report AG-02" }}
[catalogue.sleeve.gamma_M]
persistent = 1.4
transient = 1.3
accidental = 1.2
source = "Minutes of the design meeting of 2025-03-11, item 5 (invented)"
"""


def sleeve(name: str, strength: float, price: float, carbon: float) -> str:
    """A sleeve of the catalogue; stiffness follows the strength."""
    return SLEEVE.format(
        name=name, strength=strength, short=9 * strength, long=7 * strength, price=price, carbon=carbon
    )


def grid_text(*changes: tuple[str, str]) -> str:
    """The project file with its grid; each change replaces a text that must stand in it."""
    text, _, _ = (EXAMPLE / "project.toml").read_text(encoding="utf-8").partition("\n# Which spacing and sleeve")
    text = text.replace('installed_radius = "0.403 m" # wider than the casing: the sleeve is slack at first',
                        'oversize = "3 mm" # the sleeve is slack at first')  # fmt: skip
    text += SIZE + sleeve("light", 200, 9, 2) + sleeve("strong", 400, 15, 3.5)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def write_grid(folder: Path, *changes: tuple[str, str]) -> Path:
    """A project folder with it."""
    folder.mkdir()
    copyfile(EXAMPLE / DATA, folder / DATA)
    (folder / "project.toml").write_text(grid_text(*changes), encoding="utf-8")
    return folder
