"""Layers that thicken or thin across, from the project file through the chapters.

The test project has 2.5 m of peat over 4 m of clay below a bank 6 m high with a crest of 12 m and slopes 1:2: its toes
are 18 m from the axis, its crest edges a third of that.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chain import Run, run_checks, run_section
from calc.chapters.basis.sketch import cross_section
from calc.chapters.shared.frame import CELL_RATIO, GIVEN_RATIO, at_labels
from calc.chapters.shared.geometry import profile
from calc.chapters.shared.layer_lines import bands, layer_lines, level_at, outline, toe_below
from calc.chapters.shared.positions import _counts
from calc.chapters.shared.sloping_layers import ACROSS
from calc.chapters.stability.states import END_CELL, LIFT, LIFT_CELL
from calc.engine.figure import Callouts, Polygon, Scene
from calc.engine.sheet import Sheet, Verdict
from calc.inputs import read_design
from calc.inputs.tables.section import Position
from calc.package.summary import _section_to_draw
from tests.chapters.alignment_case import ends, follow, transition
from tests.chapters.slip_case import COARSE, SECOND, coarse
from tests.chapters.test_construction import built
from tests.chapters.timed import BASE, kept, timed

Change = Callable[[Any], None]
RunProject = Callable[..., Run]
Chapters = Callable[..., dict[str, Sheet]]
approx = pytest.approx
PERSISTENT = "2 Final"


def thick(**sides: tuple[str, ...]) -> Change:
    """Thickness of peat and clay at the toes of some sides."""

    def change(document: Any) -> None:
        for side, values in sides.items():
            for layer, value in zip(document["section"][0]["layer"], values, strict=True):
                layer[f"thickness_{side}"] = value

    return change


def searched(*changes: Change) -> Change:
    def change(document: Any) -> None:
        document["basis"]["factor_sets"] = [SECOND]
        document["slip"] = {**COARSE, "min_depth": "3 m"}
        document["field"] = {"beyond_left": "9 m", "beyond_right": "9 m"}
        document["basis"]["limits"]["settlement_difference"] = "0.02 m"
        for one in changes:
            one(document)

    return change


RIGHT = searched(thick(right=("3.0 m", "6.0 m")))
ENDS = searched(thick(right=("0 m", "5.5 m"), left=("2.0 m", "4 m")))


def sheets(run: Run, key: str) -> dict[str, Sheet]:
    (part,) = (section for section in run.sections if section.section.key == key)
    return {sheet.key: sheet for sheet in part.sheets}


def verdict(run: Run, key: str, chapter: str, name: str) -> Verdict:
    return next(one for one in sheets(run, key)[chapter].verdicts if one.key == name)


def utilisations(run: Run) -> dict[str, tuple[str, float | None]]:
    return {f"{part.section.key}/{sheet.key}/{one.key}": (one.state, one.utilisation)
            for part, sheet, one in run.verdicts()}  # fmt: skip


def mirrored(key: str) -> str:
    section, chapter, name = key.split("/")
    swapped = {"left": "right", "right": "left"}
    ends = {"A.le": "A.re", "A.lt": "A.rt", "A.re": "A.le", "A.rt": "A.lt"}
    return "/".join((ends.get(section, section), chapter, "_".join(swapped.get(one, one) for one in name.split("_"))))


@pytest.mark.slow
def test_mirrored_ground_has_mirrored_verdicts(run_project: RunProject) -> None:
    right, left = (searched(thick(**{side: ("3.0 m", "6.0 m")}), coarse) for side in ("right", "left"))
    one, other = utilisations(run_project(right)), utilisations(run_project(left))

    assert {mirrored(key) for key in other} == one.keys()
    for key, (state, value) in other.items():
        # The finer steps of a coarse search follow rounding; that models are mirrored is asked in tests/procedures.
        near = 1e-2 if "global_stability" in key else 1e-6
        assert one[mirrored(key)] == (state, None if value is None else approx(value, rel=near)), key


def test_equal_thickness_written_out_gives_the_same_digits(run_project: RunProject) -> None:
    equal = thick(left=("2.5 m", "4 m"), right=("2.5 m", "4 m"))
    level, written = run_project(), run_project(equal)

    def numbers(run: Run) -> dict[str, list[Any]]:
        return {step.key: np.nan_to_num(step.value.array).tolist() for part in run.sections for sheet in part.sheets
                for step in sheet.steps}  # fmt: skip

    assert utilisations(level) == utilisations(written)
    assert numbers(level) == numbers(written)


@pytest.mark.slow  # shares its run with those that follow
def test_blocks_are_less_safe_towards_the_thicker_side(run_project: RunProject) -> None:
    """The base dips outward on the right and is level on the left."""
    run = run_project(RIGHT)
    left, right = (verdict(run, "A", "stability", f"global_stability_blocks_{side}") for side in ("left", "right"))

    assert (left.utilisation or 0) < (right.utilisation or 0)


def test_what_is_judged_elsewhere_does_not_apply_at_a_position(run_project: RunProject) -> None:
    run = run_project(RIGHT)
    at_edge, at_toe = (
        {one.key for sheet in sheets(run, key).values() for one in sheet.verdicts if one.applies}
        for key in ("A.re", "A.rt")
    )

    assert {"ring_tension", "settlement_total", "soft_bearing", "squeeze", "toe_bearing", "stress_ratio"} <= at_edge
    assert not {"outside", "global_stability", "stability_tension", "filters", "monitoring", "neighbours"} & at_edge
    assert {"soft_bearing", "squeeze", "column_rows", "edge_bearing", "end-bearing", "uplift"} - at_toe == {"uplift"}
    assert not {"ring_tension", "settlement_total", "toe_bearing", "membrane", "global_stability"} & at_toe
    assert verdict(run, "A.rt", "sleeve", "ring_tension").note == (
        "found in section A or at another of its positions: this one has the ground at the right toe alone"
    )
    unmade = {"thrust", "load_transfer", "reinforcement", "construction", "monitoring", "alignment"}
    assert unmade <= {sheet.key for sheet in sheets(run, "A.rt").values() if not sheet.steps}
    assert not {"thrust", "load_transfer"} & {sheet.key for sheet in sheets(run, "A.re").values() if not sheet.steps}


def test_one_side_of_a_bank_counts_on_its_own_side(run_project: RunProject) -> None:
    def steeper(document: Any) -> None:
        thick(right=("3.0 m", "6.0 m"))(document)
        document["embankment"]["slope_left"] = "1:1.8"

    run = run_project(steeper)

    assert verdict(run, "A.re", "bearing", "edge_bearing_left").applies is False
    assert verdict(run, "A.re", "bearing", "edge_bearing_right").applies is True


@pytest.mark.parametrize("side", ["left", "right"])
def test_verdict_of_one_side_counts_at_the_positions_of_that_side(side: str) -> None:
    found = {one: _counts("bearing", f"edge_bearing_{one}", Position(side, toe=False)) for one in ("left", "right")}

    assert found == {one: one == side for one in ("left", "right")}


def test_thickness_and_levels_across_are_by_hand(chapters: Chapters) -> None:
    """6 of 18 m to the toe; rows every 1.5 m or less from −15 to 15 m, base 6.5 m deep, 9 m at the right toe."""
    columns = chapters(searched(thick(right=("3.0 m", "6.0 m"))))["columns"]
    scope = columns.scopes[ACROSS]

    assert scope["t_ler"].array == approx([2.5 + 0.5 / 3, 4 + 2 / 3])
    assert scope["t_lel"].array == approx([2.5, 4.0])
    assert scope["d_ltr"].array == approx([0.0, 3.0])
    assert float(scope["z_fr"].array) == approx(0.4 - 9.0)
    emb = float(columns["t_emb"].array)
    assert float(scope["z_ton"].array) == approx(0.4 - 9.0 - emb)
    # Half of the rows are level, over the others the base falls by 2.5 m · x / 18 m, 15 / 2 in the mean.
    assert float(scope["t_wm"].array) == approx(6.5 + 0.5 * 2.5 * 7.5 / 18, abs=0.05)


def test_quantities_have_the_mean_length_of_the_columns(chapters: Chapters) -> None:
    sheets = chapters(built(thick(right=("3.0 m", "6.0 m"))))
    quantities, columns = sheets["construction"].scopes["quantities"], sheets["columns"]

    assert float(quantities["L_c"].array) == float(columns.scopes[ACROSS]["L_cm"].array) > float(columns["L_c"].array)
    # The outermost row on the right stands on its share of 2.5 m in the 18 m from axis to toe.
    longest = float(columns["L_c"].array) + 2.5 * float(columns.scopes[ACROSS]["x_cr"].array) / 18
    note = next(
        step for step in sheets["construction"].steps if (step.scope, step.symbol) == ("quantities", "L_c")
    ).note
    assert note.endswith(f"shortest column {float(columns['L_c'].array):.2f} m, longest {longest:.2f} m")


@pytest.mark.slow
def test_share_of_a_lift_is_the_largest_of_the_positions(run_project: RunProject) -> None:
    """Longer columns drain more slowly, with well resistance."""
    run = run_project(timed(RIGHT))
    shares = [at_labels(sheets(run, key)["bearing"].scopes["soft_lift"]["mu_L"], ratio=GIVEN_RATIO).array
              for key in ("A", "A.re", "A.rt")]  # fmt: skip
    used = sheets(run, "A")["stability"].scopes[LIFT.shares[0]]["mu_L"]

    assert (used.array == np.max(shares, axis=0)).all()
    assert (shares[2] > shares[0]).any()


def test_ratio_of_the_cell_is_that_of_the_worst_position(run_project: RunProject) -> None:
    """Least ratio and gain, largest share of the soil: less strength and more load, wherever the surface lies."""
    run = run_project(RIGHT)
    bearings = [sheets(run, key)["bearing"] for key in ("A", "A.re", "A.rt")]
    stability = sheets(run, "A")["stability"]
    end, lift = (stability.scopes[one.shares[0]] for one in (END_CELL, LIFT_CELL))

    def of(name: str) -> list[Any]:
        return [bearing[name].at(ratio=CELL_RATIO).array for bearing in bearings]

    before = [at_labels(bearing.scopes["soft_lift"]["mu_sb"], ratio=CELL_RATIO).array for bearing in bearings]
    assert (end["n_st"].array == np.min(of("n_st"), axis=0)).all()
    assert (end["n_st"].array < of("n_st")[0]).any()
    assert (lift["mu_sb"].array == np.max(before, axis=0)).all()
    assert (lift["mu_sb"].array > before[0]).any()
    for scope in (end, lift):
        assert (scope["Dc_u"].array == np.min(of("Dc_u"), axis=0)).all()
    notes = {
        step.note for step in stability.steps if (step.scope, step.symbol) in {(end.name, "n_st"), (lift.name, "mu_sb")}
    }
    assert notes == {"of sections A, A.re, A.rt"}


def test_section_without_its_positions_is_not_verified(tmp_path: Path, run_project: RunProject) -> None:
    run_project(RIGHT)
    design = read_design(tmp_path)
    alone = run_section(design, design.sections[0])
    found = {one.key: one.note for sheet in alone.sheets for one in sheet.verdicts}

    lacking = "The positions A.re, A.rt of the section are not part of this run."
    assert found["settlement_across"] == found["global_stability"] == lacking


@pytest.mark.slow
def test_layer_that_ends_is_not_there_at_its_toe(run_project: RunProject) -> None:
    run = run_project(ENDS)
    frames = {part.section.key: part.section for part in run.sections}

    assert [layer.key for layer in frames["A.rt"].layers] == ["clay"]
    assert [layer.key for layer in frames["A.re"].layers] == ["peat", "clay"]
    assert list(frames) == ["A", "A.le", "A.lt", "A.re", "A.rt"]
    drawn = cross_section(frames["A"], profile(sheets(run, "A")["columns"], PERSISTENT))
    names = next(item for item in drawn.items if isinstance(item, Callouts) and item.side == "left")
    assert [text for _, text in names.entries][1:] == ["Peat", "Organic clay", "Dense sand"]
    handed = next(table for table in sheets(run, "A")["stability"].page.tables if table.key == "handed-ground")
    assert "Peat 2.00, 2.50, 0.00; Organic clay 4.00, 4.00, 5.50" in handed.note


def test_drawings_have_the_lines_of_the_layers(run_project: RunProject) -> None:
    run = run_project(RIGHT)
    parts = {part.section.key: part for part in run.sections}
    place = profile(sheets(run, "A")["columns"], PERSISTENT)
    lines = layer_lines(parts["A"].section, place, -20.0, 30.0)

    assert level_at(lines[2], 18.0) == approx(0.4 - 9.0)
    assert level_at(lines[2], 9.0) == approx(0.4 - 7.75)
    assert toe_below(parts["A"].section, place, 9.0) == approx(
        0.4 - 7.75 - float(sheets(run, "A")["columns"]["t_emb"].array)
    )
    scene = next(figure for figure in sheets(run, "A")["basis"].page.figures if isinstance(figure, Scene))
    ground = [item for item in scene.items if isinstance(item, Polygon) and item.fill in ("soft", "soft2", "firm")]
    assert any(len(one.points) > 4 for one in ground)
    elevations = next(item for item in scene.items if isinstance(item, Callouts) and item.side == "right")
    assert any(text == "bearing layer −8.60, −6.10 at the axis" for _, text in elevations.entries)
    assert sheets(run, "A.re")["basis"].page.figures == []
    assert _section_to_draw(run, parts["A.re"]) is parts["A"]
    alone = replace(run, sections=(parts["A.re"],))
    assert _section_to_draw(alone, parts["A.re"]) is parts["A.re"]


def test_lines_are_cut_at_the_bottom_of_a_drawing() -> None:
    """A line that falls from 0 to −4 m over 8 m is cut at −1 m after 2 m."""
    upper, lower = ((0.0, 0.0), (8.0, 0.0)), ((0.0, 0.0), (8.0, -4.0))
    (first, last) = bands([upper, lower], -1.0)

    assert first == (upper, ((0.0, 0.0), (2.0, -1.0), (8.0, -1.0)))
    assert outline(*last) == ((0.0, 0.0), (2.0, -1.0), (8.0, -1.0), (8.0, -1.0), (0.0, -1.0))


def test_page_has_the_thickness_from_toe_to_toe(chapters: Chapters) -> None:
    table = next(table for table in chapters(RIGHT)["columns"].page.tables if table.key == ACROSS)

    assert table.rows[0] == ["Peat", "2.50", "2.50", "2.50", "2.67", "3.00"]
    assert table.rows[2] == ["all soft layers", "6.50", "6.50", "6.50", "7.33", "9.00"]


def test_run_of_the_file_and_of_its_text_have_the_same_sections(tmp_path: Path) -> None:
    text = BASE.read_text(encoding="utf-8").replace('thickness = "4 m"', 'thickness = "4 m"\nthickness_right = "5 m"')
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    run = kept(("all", text), lambda: run_checks(read_design(tmp_path)))

    assert [part.section.key for part in run.sections] == ["A", "A.re", "A.rt"]


@pytest.mark.slow
def test_shear_in_the_embedment_is_that_below_the_thinnest_ground(run_project: RunProject) -> None:
    """The stress at the top of the firm layer by the weights of the sublayers there."""
    run = run_project(ENDS)
    grounds = [sheets(run, part.section.key)["ground"] for part in run.sections]
    stress = [ground["p_0"].array + ground["w"].array.sum(axis=-1) for ground in grounds]
    used = sheets(run, "A")["stability"].scopes["embedment"]["sigma_vsN"]

    assert (used.array == np.min(stress, axis=0)).all()
    assert (used.array < stress[0]).all()


@pytest.mark.slow
def test_crest_edge_is_compared_with_the_same_edge_of_the_next_section(run_project: RunProject) -> None:
    """The second section settles more at its right crest edge; the first one is level, or slopes as well."""

    def sloping(own: Any) -> None:
        own["layer"][1]["thickness_right"] = "6.0 m"

    def compared(first: Change | None) -> Run:
        parts = ("0+000 to 0+100", first), ("0+100 to 0+200", sloping)
        joints = [*ends("0+000", "0+200"), transition("0+100")]
        return run_project(timed(follow(*parts, transitions=joints, gradient_hand_over=0.02)))

    def labels(run: Run, key: str) -> list[str]:
        return list(sheets(run, key)["alignment"].axes["transition"])

    level, both = compared(None), compared(sloping)

    assert labels(level, "B")[0] == labels(level, "B.re")[0] == "section A at 0+100"
    assert labels(both, "B.re")[0] == "section A.re at 0+100"
    axis, edge = (verdict(level, key, "alignment", "gradient_hand_over").effect or 0.0 for key in ("B", "B.re"))
    assert edge > axis
    assert sheets(level, "B.rt")["alignment"].verdicts == []


@pytest.mark.slow
def test_bank_with_platform_zone_berm_and_crest_that_falls_is_followed(run_project: RunProject) -> None:
    """A lens that is thicker on both sides: both are searched; the toe is that of the slope over the berm."""

    def shaped(document: Any) -> None:
        document["platform"] = {"thickness": "0.5 m", "gamma": "18 kN/m^3", "role": "load"}
        document["embankment"] |= {
            "height_left": "5.8 m",
            "zone": [
                {"name": "drain", "bottom": "0 m", "top": "0.5 m", "gamma": "18 kN/m^3", "phi": "35 deg", "c": "0 kPa"}
            ],
        }
        document["embankment"]["berm_right"] = {"width": "4 m", "height": "1.5 m", "slope": "1:2", "stage": "Final"}

    sides = {"left": ("3.0 m", "5.0 m"), "right": ("3.0 m", "6.0 m")}
    run = run_project(searched(thick(**sides), shaped))
    far = {key: float(sheets(run, "A")["columns"].scopes[ACROSS][key].array) for key in ("x_tl", "x_tr")}

    assert far == {"x_tl": approx(-6 - 2 * 6.3), "x_tr": approx(6 + 2 * 6.5)}
    made = [one for one in sheets(run, "A")["stability"].verdicts if one.key.startswith("global_stability")]
    assert {"left", "right"} <= {part for one in made for part in one.key.split("_")}
    assert all(one.utilisation is not None for one in made)
