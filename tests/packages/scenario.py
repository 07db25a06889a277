"""An invented project of any size, written as its project file."""

from pathlib import Path

from calc.chain import SectionRun
from calc.engine.sheet import Page, Sheet
from calc.inputs import Section

HEAD = """
basis.factor_sets = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]
basis.design_life = "100 a"
basis.geotechnical_category = 2
basis.consequence_class = "CC2"
basis.ground_report = "GIR 2025-014-G-002 of 2025-01-20"
basis.national_annex = "none: the recommended values are used"
basis.psi_2 = 0.3
basis.limits.settlement_total = "1.20 m"
basis.limits.ring_strain = 0.06
makeup_fill = true

[[basis.standard]]
title = "EN 1997-1"
edition = "2004 + A1:2013"
note = "partial factors"

[[basis.drawing]]
number = "2025-014-D-010"
revision = "B"
title = "Embankment, typical cross-sections"

[people]
originator = { name = "Aurélie Fenwick", organisation = "design office" }
checker = { name = "Bø Okoye", organisation = "another office" }
approver = { name = "Ćira Lindqvist" }

[[assumption]]
text = "The old ditch is filled with the same clay as the field."
source = "Site walk of 2025-02-11"
owner = "designer"
confirm_by = "trial pit before installation begins"

[embankment]
height = "6.0 m"
crest_width = "12.0 m"
slope_left = "1:2"
slope_right = "1:2"
gamma = "19 kN/m^3"
gamma_sub = "10 kN/m^3"
phi = "32.5 deg"
c = "0 kPa"

[traffic]
q = "20 kPa"

[platform]
thickness = "0.8 m"
gamma = "18.5 kN/m^3"
role = "load"

[water]
low = "-0.8 m"
mean = "-0.3 m"

[columns]
pattern = "triangular"
spacing = "2.0 m"
diameter = "0.80 m"
installation = "displacement"
K_star = 1.0
embedment = "0.5 m"
upstand = "0 m"
fill = { gamma = "18 kN/m^3", gamma_sat = "20 kN/m^3", phi = "32.5 deg", psi = "5 deg", E = "40 MPa", nu = 0.3 }

[sleeve]
name = "sleeve type 1"
oversize = "5 mm"
stiffness = [
    { name = "short", time = "1 d", J = "3000 kN/m" },
    { name = "long", time = "36500 d", J = "2200 kN/m" },
]
strength = "400 kN/m"
seam = "woven as a tube without seam"
gamma_M = { persistent = 1.4, transient = 1.3, accidental = 1.2, source = "basis of design, section 5" }

[sleeve.factors]
A1 = { value = 1.5, source = "creep test report 118/24" }
A2 = { value = 1.1, source = "damage test report 119/24" }
A3 = { value = 1.0, source = "no joint" }
A4 = { value = 1.05, source = "ageing test report 120/24" }
A5 = { value = 1.0, source = "no dynamic load" }

[[reinforcement]]
name = "grid type 2"
direction = "across"
strength = "1600 kN/m"
stiffness = [
    { name = "short", time = "1 d", J = "4000 kN/m" },
    { name = "long", time = "36500 d", J = "3200 kN/m" },
]
gamma_M = { persistent = 1.4, transient = 1.3, accidental = 1.2, source = "basis of design, section 5" }
interaction = 0.8
level = "0.9 m"

[reinforcement.factors]
A1 = { value = 1.5, source = "creep test report 121/24" }
A2 = { value = 1.1, source = "damage test report 122/24" }
A3 = { value = 1.0, source = "no joint" }
A4 = { value = 1.05, source = "ageing test report 123/24" }
A5 = { value = 1.0, source = "no dynamic load" }

[[stage]]
name = "first lift"
situation = "transient"
water = "mean"
fill_height = "3.0 m"
traffic = false
start = "30 d"
duration = "14 d"
n_stability = 1.2

[[stage]]
name = "in use"
situation = "persistent"
water = "mean"
fill_height = "6.0 m"
traffic = true
start = "120 d"
duration = "30 d"
n_stability = 4.0
c_u_gain = "8 kPa"
c_u_gain_source = "vane tests, invented"
"""

SECTION = """
[[section]]
key = "{key}"
title = "{title}"
chainage = "{chainage}"
ground_level = "0.40 m"

[section.bearing_layer]
key = "sand"
name = "Dense sand"
gamma = "19 kN/m^3"
gamma_sat = "20.5 kN/m^3"
phi = "35 deg"
c = "0 kPa"
E = "60 MPa"
nu = 0.3
firm = true
evidence = "cone resistance above 12 MPa in all soundings"
"""

LAYER = """
[[section.layer]]
key = "{key}"
name = "{name}"
thickness = "{thickness} m"
gamma = "{gamma} kN/m^3"
gamma_sat = "{gamma} kN/m^3"
phi = "{phi} deg"
c = "{c} kPa"
c_u = "40 kPa"
E_oed_ref = "{modulus} kPa"
p_ref = "100 kPa"
m = {m}
nu = 0.4
K_0 = "jaky"
"""

PLAIN_LAYERS = (
    ("crust", "Crust, silty", 1.0, 17.5, 27.5, 5, 3000, 0.5),
    ("peat", "Peat, amorphous", 2.0, 11.5, 20, 3, 650, 1.0),
    ("clay", "Clay, soft", 3.0, 15.0, 24, 5, 1200, 1.0),
)
OUTSIDE_KEYS = (
    "structures", "end_slopes", "lateral_pressure", "neighbours", "seismic", "dynamic", "platform_rig", "deep_ground",
)  # fmt: skip


def many_layers(
    count: int, thickness: float = 0.4
) -> tuple[tuple[str, str, float, float, float, float, float, float], ...]:
    """Thin layers, no two with the same stiffness."""
    return tuple(
        (
            f"l{index}",
            f"Layer {index} of a long list, organic and silty",
            thickness,
            14.0,
            22.0,
            4.0,
            800.0 + 10 * index,
            1.0,
        )
        for index in range(1, count + 1)
    )


def quoted(text: str) -> str:
    """A text as a basic string of TOML."""
    return text.replace("\\", "\\\\").replace('"', '\\"')


def project_text(
    *,
    title: str = "Marsh approach road",
    purpose: str = "Detailed design of the embankment.",
    note: str = "first issue",
    status: str = "S3",
    client: str = "Harrow Vale road authority",
    sections: int = 1,
    section_title: str = "North approach",
    layers: tuple[tuple[str, str, float, float, float, float, float, float], ...] = PLAIN_LAYERS,
    answered: int = 7,
) -> str:
    """The project file."""
    parts = [
        "[project]",
        f'title = "{quoted(title)}"',
        'number = "2025-014"',
        'document = "2025-014-GEO-C-001"',
        f'client = "{quoted(client)}"',
        'location = "Harrow Vale"',
        f'purpose = "{quoted(purpose)}"',
        "[[project.revision]]",
        f'label = "A"\ndate = 2025-04-30\nstatus = "{quoted(status)}"\nnote = "{quoted(note)}"\nauthor = "A. Fenwick"',
        "[outside]",
        *(f'{key} = "not relevant because there is none within 100 m"' for key in OUTSIDE_KEYS[:answered]),
    ]
    top = HEAD.strip().split("\n[[basis.standard]]", 1)
    dotted = [line for line in top[0].splitlines() if line]
    parts = [
        *dotted,
        "[[basis.standard]]" + top[1].split("\n[people]", 1)[0],
        *parts,
        "[people]" + top[1].split("[people]", 1)[1],
    ]
    for index in range(sections):
        key = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[index]
        parts.append(SECTION.format(key=key, title=quoted(section_title), chainage=f"{index}+120 to {index}+480"))
        for name in layers:
            fields = ("key", "name", "thickness", "gamma", "phi", "c", "modulus", "m")
            parts.append(LAYER.format(**dict(zip(fields, name, strict=True))))
    return "\n".join(parts) + "\n"


def write_project(folder: Path, **more: object) -> Path:
    """A project folder with its project file."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "project.toml").write_text(project_text(**more), encoding="utf-8")  # type: ignore[arg-type]
    return folder


def alone(section: Section, *sheets: Sheet) -> SectionRun:
    """A section of sheets that no chain has written: their steps print, and nothing beside them."""
    part = SectionRun(section, sheets)
    for sheet in sheets:
        sheet.written = Page(sheet, part.cases)
    return part
