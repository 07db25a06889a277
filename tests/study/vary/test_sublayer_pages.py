"""What pages, text and lines say of values by sublayer, by a limit state of a few lines."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from calc.inputs import Design, read_design
from calc.inputs.reading.starter import starter_project
from calc.study.engines import Here
from calc.study.vary.depth_fields import DepthField
from calc.study.vary.marginals import joint, marginal
from calc.study.vary.one_at_a_time import ends_of
from calc.study.vary.project_values import thick_sublayers
from calc.study.vary.study import Means, study_section
from calc.study.vary.vary_lines import calculation
from calc.study.vary.vary_pages import vary_pages
from calc.study.vary.vary_run import Varied
from calc.study.vary.vary_text import vary_text
from tests.study.vary.known_states import Floats, by_depth, depth_field
from tests.study.vary.read_back import read_back
from tests.study.vary.test_study import asked, text_of_pdf

STIFF, HEAVY, ANGLE = "layer.peat.E_oed_ref", "layer.peat.gamma", "layer.peat.phi"
INPUT = """
[[vary.input]]
path = "{path}"
distribution = "{kind}"
mean = "{mean}"
cov = {cov}
vertical = "sublayers"
correlation_length = "{scale}"
source = "invented"
"""
TABLE = (
    "[vary]\npoints = 256\nreplicates = 8\n"
    + INPUT.format(path=STIFF, kind="lognormal", mean="750 kPa", cov=0.3, scale="0.6 m")
    + 'averaging_length = "0.8 m"\n'
    + INPUT.format(path=HEAVY, kind="normal", mean="11 kN/m^3", cov=0.05, scale="0.8 m")
    + INPUT.format(path=ANGLE, kind="lognormal", mean="22 deg", cov=0.1, scale="0.4 m")
    + '\n[[vary.limit_state]]\nverdict = "soft/ground"\n'
)


def soft(values: Mapping[str, Floats]) -> dict[str, Floats]:
    """Fails where the mean of the moduli is low."""
    return {"soft": 550.0 / by_depth(values, STIFF).mean(axis=0)}


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Design:
    folder = tmp_path_factory.mktemp("bank")
    text = starter_project("Bank").replace("\n[[section]]\n", f"\n{TABLE}\n[[section]]\n", 1)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    return read_design(folder)


def studied(design: Design, *fields: DepthField, model: object = soft) -> Varied:
    vary = design.vary
    assert vary is not None
    known = {one.path: marginal(one) for one in vary.inputs}
    together = joint([*known.values()], np.eye(3), {}, fields)
    ends = [ends_of(one, known) for one in vary.inputs]
    base = {STIFF: 750.0, HEAVY: 11.0, ANGLE: 0.38}
    found = study_section(vary, [asked(model)], together, ends, base, Means(Here()), names=("A", "Bank"))  # type: ignore[arg-type]
    return Varied(design, vary, design, (replace(found, outside=(*thick_sublayers(fields),)),))


@pytest.fixture(scope="module")
def varied(design: Design) -> Varied:
    one = DepthField(ANGLE, ("layer.peat/1.phi",), (2.5,), 1.0, (0.0,), 0.4, 0.0)
    return studied(design, depth_field(0.6, 0.8, STIFF), depth_field(0.8, path=HEAVY), one)


def test_lines_give_the_correlation_of_neighbours(varied: Varied) -> None:
    """Of averages by three formulas, of values at a point by one; a layer of one sublayer has no neighbours."""
    read = read_back(varied)
    sheet = calculation(read, read.record.sections[0])

    of_inputs = {name: [step.symbol for step in sheet.steps if step.scope == name] for name in sheet.scopes}
    assert of_inputs["input_0"] == [
        "V_pt", "L_av", "theta_v", "G_av", "V_av", "z_ln", "Dz_m", "I_zz", "C_zz", "r_zz",
    ]  # fmt: skip
    assert of_inputs["input_1"] == ["theta_v", "Dz_m", "r_zz"]
    assert of_inputs["input_2"] == ["theta_v", "V_av", "z_ln"]
    fields = varied.sections[0].joint.fields
    for name, path in (("input_0", STIFF), ("input_1", HEAVY)):
        step = next(step for step in sheet.steps if step.scope == name and step.symbol == "r_zz")
        assert float(step.value.array) == pytest.approx(fields[path].correlation[0, 1])


@pytest.mark.slow
def test_text_and_pages_name_what_is_by_sublayer(varied: Varied) -> None:
    text = " ".join(vary_text(varied, 100).split())
    pages = " ".join(text_of_pdf(vary_pages(read_back(varied))).split())
    [answer] = varied.sections[0].answers
    point = answer.at_point.profiles[STIFF]

    low, high = min(point.values), max(point.values)
    assert f"{STIFF} {low:.4g} kPa to {high:.4g} kPa by sublayer ({point.values[point.place]:.4g} kPa in " in text
    assert (
        f"Caution: {HEAVY}: neighbouring sublayers of up to 0.50 m have a correlation of 0.29, less than 0.37" in text
    )
    assert f"Caution: {STIFF}" not in text
    assert "after averaging with Γ = 0.699; a value in each sublayer (5), scale of fluctuation 0.6 m" in pages
    assert "a value in each sublayer (1), scale of fluctuation 0.4 m" in pages
    assert f"Points of the sampling over {STIFF} in {point.labels[point.place]}" in pages
    assert f"Design point of {STIFF} by sublayer" in pages
    assert "By sublayer: the normal scores" in pages
    assert text.count("neighbouring sublayers") == 1
    assert "Averaged inputs stand for the mean" not in pages


def test_without_a_design_point_the_first_sublayer_stands_for_the_points(design: Design) -> None:
    def never(values: Mapping[str, Floats]) -> dict[str, Floats]:
        return {"never": 0.2 + 0.0 * by_depth(values, STIFF).mean(axis=0)}

    made = studied(design, depth_field(0.6, 0.8, STIFF), model=never)

    assert made.sections[0].answers[0].at_point.profiles == {}
    pages = " ".join(text_of_pdf(vary_pages(read_back(made))).split())
    assert f"Points of the sampling over {STIFF} in 1.00–1.50 m" in pages
    assert "a value in each sublayer (not evaluated here)" in pages
