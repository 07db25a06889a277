"""The columns of a file of results of tests, generated into docs/project-file.md."""

from calc.inputs.ground_file.result_rows import MAY_BE_NOTHING, NEEDED, TEXTS, UNITS

BEGIN, END = "<!-- columns: generated, do not edit -->", "<!-- end of columns -->"
HEAD = "| column | unit that it converts to | must | filled for | meaning |\n|---|---|---|---|---|"
MEANINGS = {
    "id": "Name of the reading; rows of one oedometer test share it.",
    "location": "Borehole or sounding, as `locations` names it.",
    "test": "Kind of test: " + ", ".join(f"`{name}`" for name in NEEDED) + ".",
    "layer": "Key of the layer of the section; without it the layer at the depth of the reading.",
    "depth": "Depth below ground level of the section.",
    "c_fv": "Strength measured by the field vane.",
    "I_P": "Plasticity index of the soil tested.",
    "w_L": "Liquid limit of the soil tested.",
    "q_c": "Measured cone resistance.",
    "u_2": "Pore pressure measured behind the cone.",
    "a": "Net area ratio of the cone.",
    "u_0": "Pore pressure before the test; without it that of the initial state.",
    "c_u": "Undrained shear strength by another test.",
    "stress": "Effective vertical stress of a load, one row a load, rising.",
    "strain": "Vertical strain under that load.",
    "sigma_p": "Preconsolidation pressure.",
    "k": "Permeability.",
    "organic": "Organic content.",
}


def with_columns(page: str) -> str:
    """Give the page with its generated table of columns renewed."""
    before, rest = page.split(BEGIN)
    return f"{before}{BEGIN}\n\n{columns()}\n\n{END}{rest.split(END)[1]}"


def columns() -> str:
    """Every column of a file of results, as Markdown."""
    return "\n".join([HEAD, *(_row(name) for name in (*TEXTS, *UNITS))])


def _row(name: str) -> str:
    tests = ", ".join(f"`{test}`" for test, needed in NEEDED.items() if name in needed)
    every = name in {*TEXTS[:3], "depth"}
    if name in TEXTS:
        unit, must = "text", "printable"
    else:
        unit = {"%": "% (or - for a plain number)", "": "none"}.get(UNITS[name], UNITS[name])
        must = "any number" if name == "u_2" else "not negative" if name in MAY_BE_NOTHING else "above zero"
    return f"| `{name}` | {unit} | {must} | {'every row' if every else tests or '–'} | {MEANINGS[name]} |"
