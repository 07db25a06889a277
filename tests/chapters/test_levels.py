"""Levels within a millimetre are equal: every pair of ground level and height on a raster of 0.1 m, 720 of them."""

from collections.abc import Callable
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.edges import low_edges, stages_with_fill
from calc.chapters.shared.frame import chapter
from calc.chapters.shared.geometry import profile, record_places
from calc.chapters.stability.stage_model import Case, Ties, model
from calc.engine.levels import above, same
from calc.engine.sheet import Origin, Sheet, Value
from calc.engine.sheet.values import Axis
from calc.formulas.column_field import height_above_reinforcement
from calc.inputs import Design, Section, read_design
from calc.inputs.tables.programme import final_state, water_order
from calc.inputs.tables.section_rules import depth_of_slip_surfaces, reinforcement_in_fill
from calc.inputs.tables.slip import Slip
from calc.procedures.sublayers import divide
from tests.chapters.test_thrust import layer
from tests.chapters.timed import BASE

RASTER = [(ground / 10, height / 10) for ground, height in product(range(-10, 14), range(1, 31))]
FINAL = "2 Final"


def typed(ground: float, height: float) -> float:
    """The level as a user types it."""
    return round(ground + height, 1)


ROUNDED_UP = [pair for pair in RASTER if sum(pair) > typed(*pair)]
ROUNDED_DOWN = [pair for pair in RASTER if sum(pair) < typed(*pair)]


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Design:
    folder: Path = tmp_path_factory.mktemp("levels")
    (folder / "project.toml").write_text(BASE.read_text(encoding="utf-8"), encoding="utf-8")
    return read_design(folder)


def at(section: Section, ground: float, thickness: float) -> Section:
    """The section on a platform whose top is the level of a layer, with a first stage of the platform alone."""
    from calc.inputs.tables.embankment import Platform
    from calc.inputs.tables.sleeve import ReinforcementLayer

    given = layer("one", "both", 0.8, typed(ground, thickness))
    laid = ReinforcementLayer.model_validate(given).model_copy(update={"level": typed(ground, thickness)})
    platform = Platform.model_validate({"thickness": "1 m", "gamma": "19 kN/m^3", "role": "load"})
    stages = (section.stages[0].model_copy(update={"fill_height": 0.0}), *section.stages[1:])
    # Copies keep the places of the file that was read, which has no platform.
    section._provenance = {**section._provenance, "platform.thickness": section._provenance["ground_level"]}
    return section.model_copy(update={
        "ground_level": ground, "platform": platform.model_copy(update={"thickness": thickness}),
        "reinforcement": (laid,), "stages": stages,
    })  # fmt: skip


def test_raster_holds_pairs_that_floating_point_tells_apart() -> None:
    assert len(RASTER) == 720
    assert (0.4, 0.8) in ROUNDED_UP
    assert len(ROUNDED_UP) > 50
    assert len(ROUNDED_DOWN) > 50


def test_levels_are_equal_within_a_millimetre_and_not_beyond() -> None:
    for pair in RASTER:
        assert same(sum(pair), typed(*pair))
        assert not above(sum(pair), typed(*pair))
        assert not above(typed(*pair), sum(pair))
        assert not above(typed(*pair) + 0.001, sum(pair))
        assert above(typed(*pair) + 0.0011, sum(pair))
        assert not same(typed(*pair) - 0.0011, sum(pair))
    assert above(np.array([0.0, 1e-3, 0.01]), 0.0).tolist() == [False, False, True]


def test_rules_treat_every_pair_alike(base: Design) -> None:
    """A layer at the crest is refused, a last stage at the height of the embankment and water at the crest are not; a
    slip surface as deep as the soft ground is refused."""
    section, slip = (
        base.sections[0],
        Slip.model_validate({"drained": True, "water_mode": "vertical", "min_depth": "1 m"}),
    )
    for ground, height in RASTER:
        made = at(section, ground, height)
        low = section.embankment.model_copy(update={"height": height})
        crest = typed(ground, height)
        last = section.stages[-1].model_copy(update={"fill_height": typed(ground, height) - ground})
        flood = section.water_table.model_copy(update={"mean": crest})
        soft = (section.layers[0].model_copy(update={"thickness": 4.0}),)
        deep = slip.model_copy(update={"min_depth": round(height + 4.0, 1)})

        assert len(list(reinforcement_in_fill(made.reinforcement, ground, low, None))) == 1
        assert not list(final_state((last,), low))
        assert not list(water_order(flood, low, ground))
        assert len(list(depth_of_slip_surfaces(deep, soft, low))) == 1


def case_of(design: Design, section: Section, water: float) -> Case:
    """The first stage with its recorded places, this level of water and 1 for every other value of the model."""
    sheet = chapter("columns", design, section)
    rule = Origin("project rule", text="test")
    sheet.given("t_soft", sum(one.thickness for one in section.layers), origin=rule)
    sheet.given("t_emb", section.columns.embedment, origin=rule)
    record_places(sheet, section, sheet.scope("ground", "Ground").given("z_g", section.ground_level, origin=rule))
    stage = section.stages[0]
    place = profile(sheet, sheet.axes["stage"][1])

    def read(_scope: str, name: str, _soil: str = "") -> float:
        return {"z_w": water, "z_bot": place.toes - 3.0}.get(name, 1.0)

    return Case(stage, place, read, drained=False, shares=(1.0, 1.0), a_E=0.15)


def test_no_layer_ties_a_slope_whose_crest_it_lies_at(base: Design) -> None:
    """Before, where the sum is rounded up, the layer was cut to nothing and the analysis refused it."""
    for ground, height in [*ROUNDED_UP, *ROUNDED_DOWN, *RASTER[::12]]:
        section = at(base.sections[0], ground, height)
        case = replace(case_of(base, section, ground), ties=(Ties(0, 100.0),))
        cut = model(section, case)

        assert cut.reinforcement == ()
        assert not above(case.place.crest, section.reinforcement[0].level)


def test_water_at_the_ground_does_not_stand_on_it(base: Design) -> None:
    """Half a millimetre above the ground by another sum is the ground: no open water, and no table in the air."""
    section = base.sections[0]
    for more in (-5e-4, 1e-16, 5e-4):
        level = section.ground_level + more
        cut = model(section, case_of(base, section, level))
        assert cut.water is not None
        assert cut.water.open_level is None
        assert max(y for _, y in cut.water.table) == section.ground_level
    standing = model(section, case_of(base, section, section.ground_level + 0.01))
    assert standing.water is not None
    assert standing.water.open_level == pytest.approx(section.ground_level + 0.01)


def test_stage_whose_fill_ends_at_the_layer_has_no_fill_over_it(base: Design) -> None:
    for ground, height in RASTER:
        over = height_above_reinforcement(np.array([0.0, 0.0, 0.3, 6.0]), ground + height, typed(ground, height))
        stages = Axis("stage", ("0 built", "1 platform", "2 lift", FINAL))
        found = Value("H_R", over, (stages,), "step")
        section = base.sections[0]
        three = section.model_copy(update={"stages": (*section.stages, section.stages[-1])})

        assert stages_with_fill(found) == ["2 lift", FINAL]
        assert low_edges(three, found) == ["2 lift"]


def test_water_at_a_boundary_of_layers_cuts_no_sliver() -> None:
    for ground, height in RASTER:
        depth = typed(ground, height) - ground
        assert divide([height, 3.0], [depth], 10.0) == divide([height, 3.0], [], 10.0)
        assert min(divide([height, 3.0], [depth + 5e-4], 10.0).thickness) == pytest.approx(min(height, 3.0))


@pytest.mark.parametrize("pair", [(0.4, 0.8), ROUNDED_UP[0], ROUNDED_UP[-1], ROUNDED_DOWN[0], (0.0, 0.5)], ids=str)
def test_layer_on_the_platform_slides_alike_whatever_the_sum_is_rounded_to(
    chapters: Callable[..., dict[str, Sheet]], pair: tuple[float, float]
) -> None:
    """6 m of fill, and the settlement made up, stand over the layer at every pair; before, a stage of the platform
    alone had 2e-16 m, thrust with the settlement behind it and governed with a utilisation of 3e29."""
    ground, thickness = pair

    def laid(document: Any) -> None:
        document["platform"] = {"thickness": f"{thickness} m", "gamma": "19 kN/m^3", "role": "load"}
        document["reinforcement"] = [layer("one", "both", 0.8, typed(*pair))]
        document["stage"][0]["fill_height"] = "0 m"
        document["section"][0]["ground_level"] = f"{ground} m"
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"
        document["water"]["mean"] = f"{ground - 0.7:.1f} m"

    sheet = chapters(laid)["thrust"]
    found = next(verdict for verdict in sheet.verdicts if verdict.key == "sliding")

    assert found.utilisations is not None
    assert found.utilisations.labels("stage") == (FINAL,)
    height = 6.0 + float(sheet["s_th"].at(stage=FINAL).array)
    pushed = np.tan(np.pi / 4 - np.arctan(np.tan(np.radians(32.5)) / 1.25) / 2) ** 2
    pushed *= 19 * height**2 / 2 + 1.3 * 20 * height
    assert found.utilisation == pytest.approx(pushed / (0.8 * 19 * 36 * np.tan(np.radians(32.5)) / 1.25))
