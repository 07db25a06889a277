"""The PDF of the plan: every id once, what can be audited, values that follow from one another; and the command."""

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from click.testing import CliRunner
from pytest import approx  # noqa: PT013 - as everywhere here

from calc.cli import main
from calc.engine.sheet import printed_numbers, printed_result
from calc.site.plan.plan_steps import GRIDS, QUANTITIES, SHORTEST, TOE
from calc.site.plan.plan_tables import MOST_POINTS, answers, blocks, limits, points_tables
from calc.site.plan.sheet_cuts import SCALES, cut_into_sheets, scale_of
from calc.site.plan.write_plan import MadePlan
from tests.engine.recompute import recomputes
from tests.site.planned import PLAN, SLEEVES, made, planned_text
from tests.site.planned import QUANTITIES as ALLOWANCES
from tests.site.test_layout_laws import BEND, EXCLUSION, ZONE

POINTS = "".join(
    f'\n[[plan.investigation]]\nname = "S{k}"\neasting = "{e} m"\nnorthing = "{n} m"\nbearing_level = "{z} m"\n'
    for k, (e, n, z) in enumerate([(1000, 2000, -6.0), (1030, 2040, -7.0), (1060, 2080, -8.0)], start=1)
)
FAR = ('source = "test"\n', 'source = "test"\ninvestigation_far = "20 m"\n')
ZONED = (ZONE, ("makeup_fill = true", "makeup_fill = false"))
SHORT = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+024"')
WIDE = ('spacing = "1.90 m"', 'spacing = "3.80 m"')


def test_toe_levels_are_those_of_the_points_there_and_between_them_elsewhere(tmp_path: Path) -> None:
    """Limits of inverse distances: the value of a point at the point, never outside the range of all."""
    plan = made(tmp_path, FAR, plan=PLAN + POINTS)
    columns, levels = plan.layout.columns, plan.levels
    near = int(np.argmin(np.hypot(columns.easting - 1030, columns.northing - 2040)))

    assert (levels.firm <= -6.0).all()
    assert (levels.firm >= -8.0).all()
    assert levels.firm[near] == approx(-7.0, abs=0.15)
    assert levels.nearest is not None
    assert levels.nearest.max() > 20
    told = " ".join(limit.text for limit in plan.sheets[0].sheet.limitations)
    assert "Columns more than 20 m from any investigation point: " in told
    assert {one.toe for one in plan.columns} == set(np.round(levels.toe, 2).tolist())


@pytest.mark.parametrize(("longer", "shorter", "fails"), [
    ("2.0 m", "1.0 m", set()), ("0.2 m", "1.0 m", {"longer"}), ("2.0 m", "0.1 m", {"shorter"}),
])  # fmt: skip
def test_columns_are_held_against_what_the_design_covers(
    tmp_path: Path, longer: str, shorter: str, fails: set[str]
) -> None:
    """The design has its bearing layer at one level, the points have it deeper and higher."""
    firm = float(made(tmp_path / "flat").levels.firm[0])
    points = POINTS.replace("-6.0 m", f"{firm + 0.9} m").replace("-7.0 m", f"{firm - 1.0} m").replace(
        "-8.0 m", f"{firm} m")  # fmt: skip
    given = f'working_level = "0.50 m"\ndesign_longer = "{longer}"\ndesign_shorter = "{shorter}"'
    plan = made(tmp_path, FAR, ('working_level = "0.50 m"', given), plan=PLAN + points)
    sheet, more = plan.sheets[0].sheet, plan.levels.design_firm - plan.levels.firm

    states = {verdict.key: verdict.state for verdict in sheet.verdicts if verdict.key in {"longer", "shorter"}}
    assert states == {key: "fail" if key in fails else "pass" for key in ("longer", "shorter")}
    assert float(sheet.scopes[TOE]["dL_lo"].array) == approx(float(more.max()))
    assert float(sheet.scopes[SHORTEST]["dL_sh"].array) == approx(float(-more.min()))
    # Both levels are found from the printed distances, weights and levels of the points.
    for scope, name, column in (
        (TOE, "z_fi", np.argmin(plan.levels.firm)),
        (SHORTEST, "z_fh", np.argmax(plan.levels.firm)),
    ):
        own = sheet.scopes[scope]
        assert float(own[name].array) == approx(float(plan.levels.firm[column]))
        assert float(own[name].array) == approx(float(np.average(own["z_i"].array, weights=1 / own["d_i"].array ** 2)))
    assert plan.sheets[0].shortest == plan.columns[int(np.argmax(plan.levels.firm))].id
    beyond = {one.column for one in plan.sheets[0].failing}
    expected = {"longer": more > 0.2, "shorter": -more > 0.1}
    assert beyond == {k for key in fails for k in np.flatnonzero(expected[key]).tolist()}
    assert plan.outcome == ("fail" if fails else "pass")
    far = replace(plan, plan=plan.plan.model_copy(update={"investigation_far": 0.01}))
    assert far.outcome == ("fail" if fails else "incomplete")


def test_without_points_toes_have_the_level_of_the_section(tmp_path: Path) -> None:
    plan = made(tmp_path)
    sheet = plan.sheets[0].sheet

    assert len({one.toe for one in plan.columns}) == 1
    assert plan.levels.length == approx(plan.levels.design)
    assert float(sheet.scopes[TOE]["L_c"].array) == approx(plan.columns[0].length)
    assert not points_tables(plan.sheets)
    assert SHORTEST not in sheet.scopes


def test_quantities_are_sums_over_the_columns(tmp_path: Path) -> None:
    plan = made(tmp_path, FAR, plan=PLAN + POINTS, more=ALLOWANCES)
    found, columns = plan.sheets[0].sheet.scopes[QUANTITIES], plan.columns
    metres = sum(one.length for one in columns)

    assert float(found["N_p"].array) == len(columns)
    assert float(found["l_p"].array) == approx(metres)
    assert float(found["l_slp"].array) == approx(metres + 0.8 * len(columns))
    assert float(found["V_dp"].array) == approx(1.15 * np.pi * 0.16 * metres)
    # Rows beyond half a distance: more columns than by the area between the outermost axes.
    assert float(found["N_A"].array) < len(columns) < 1.2 * float(found["N_A"].array)


def test_a_plug_takes_no_fill_and_allowances_may_be_missing(tmp_path: Path) -> None:
    plan = made(tmp_path)
    assert any("not counted" in limit.text for limit in plan.sheets[0].sheet.limitations)
    assert "V_dp" not in plan.sheets[0].sheet.scopes[QUANTITIES]


def test_lines_are_those_of_the_sheets_with_a_column_for_every_grid(tmp_path: Path) -> None:
    plan = made(tmp_path, *ZONED, FAR, plan=BEND + POINTS, more=ALLOWANCES)
    found = {block.title: block for block in blocks(plan.sheets)}
    ratios = found["Area ratio where it differs most from the design"]

    assert [head.split(":")[0] for head in ratios.heads] == ["A, slope", "A, grid of the section"]
    lines = [line for block in found.values() for line in block.lines]
    assert [line.number for line in lines] == [f"P.{k}" for k in range(1, len(lines) + 1)]
    assert all(line.source for line in lines)
    assert [len(table) for table in points_tables(plan.sheets)] == [4]
    assert {one.state for one in answers(plan.sheets)} == {"pass", "not applicable", "not verified"}
    assert all(letters == "A" for letters, _ in limits(plan.sheets))
    scope = plan.sheets[0].sheet.scopes[GRIDS]
    # Two ways to the same area ratio: by the formula of parallel curves and by the cell measured in the plan.
    assert scope["a_Eo"].array == approx(scope["a_Eu"].array, rel=0.2)


def test_a_cell_out_of_tolerance_fails(tmp_path: Path) -> None:
    plan = made(tmp_path, ("ratio_tolerance = 0.2", "ratio_tolerance = 0.005"), plan=BEND)

    assert plan.passes is False
    assert {verdict.key for verdict in plan.sheets[0].sheet.verdicts if verdict.state == "fail"} == {"cells"}


def test_every_column_stands_on_one_sheet_with_room_for_its_id(tmp_path: Path) -> None:
    plan = made(tmp_path, plan=BEND)
    scale, every = scale_of(plan.layout.areas, "A-001-001")
    cuts = cut_into_sheets(plan.plan, plan.layout.areas, plan.elements, scale)
    shown = np.sum([cut.shows(plan.layout.columns) for cut in cuts], axis=0)

    assert (shown == 1).all()
    assert every == 1
    assert len(cuts) > 1
    for cut in cuts:
        own = cut.shows(plan.layout.columns)
        x, y = cut.on_paper(plan.layout.columns.easting[own], plan.layout.columns.northing[own])
        assert x.min() > 12
        assert x.max() < 408
        assert y.min() > 12
        assert y.max() < 225
    assert scale_of(plan.layout.areas, "A-" * 90)[0] == SCALES[-1]
    assert scale_of(plan.layout.areas, "A-" * 90)[1] > 1


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with everything in its plan, and what the command writes for it."""
    folder = tmp_path_factory.mktemp("written")
    plan = BEND + EXCLUSION + POINTS + SLEEVES
    text = planned_text(FAR, WIDE, plan=plan, more=ALLOWANCES)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    done = CliRunner().invoke(main, ["plan", str(folder), "--labels", "--seconds", "5"])
    assert done.exit_code == 6, done.output
    (folder / "told.txt").write_text(done.output, encoding="utf-8")
    return folder


@pytest.mark.slow
def test_the_drawings_show_every_column_and_the_checksum(written: Path) -> None:
    pages = pypdfium2.PdfDocument(written / "out" / "plan" / "column-plan.pdf")
    texts = [page.get_textpage().get_text_range() for page in pages]
    drawings = "\n".join(text for text in texts if "1:" in text and "Scale" not in text and "sheet" in text)
    record = json.loads((written / "out" / "plan" / "columns.geojson").read_text(encoding="utf-8"))
    ids = [one["properties"]["id"] for one in record["features"]]

    assert pages[0].get_size() == approx((420 / 25.4 * 72, 297 / 25.4 * 72), abs=0.5)
    assert all(record["plan"]["checksum"] in text for text in texts)
    assert all(one in drawings for one in ids)
    assert "Drain" in drawings
    assert "Questions and answers" in "\n".join(texts)
    pages.close()


@pytest.mark.slow
def test_the_command_writes_all_files_and_says_what_they_hold(written: Path) -> None:
    told = (written / "told.txt").read_text(encoding="utf-8")
    names = {path.name for path in (written / "out" / "plan").iterdir()}

    assert names >= {
        "columns.csv", "columns.xml", "columns.geojson", "columns.dxf", "column-plan.pdf", "sleeves.csv",
        "sleeve-rolls.csv", "sleeves.pdf", "labels-01.pdf",
    }  # fmt: skip
    assert re.search(r"Outcome: incomplete, with \d+ columns left out by statement\.", told)
    assert "left out at “Drain”" in told
    assert " lengths, " in told


@pytest.mark.slow
def test_a_plan_before_keeps_the_ids_and_its_changes_are_listed(written: Path) -> None:
    before = written / "out" / "plan" / "columns.geojson"
    text = (written / "project.toml").read_text(encoding="utf-8")
    other = written / "other"
    other.mkdir()
    a, b = (text.index(part, text.index("\n[plan]\n")) for part in ("[[plan.exclusion]]", "[[plan.investigation]]"))
    cut = text[text.index("\n[plan.sleeves]\n") : text.index("\n[field]\n")]
    text = (text[:a] + text[b:]).replace(cut, "", 1).replace('\nrevision = "P1"', '\nrevision = "P2"', 1)
    text = text.replace('\nrevision = "P2"', '\nrevision = "P2"\nbefore = "P1.geojson"', 1)
    (other / "project.toml").write_text(text, encoding="utf-8")
    (other / "P1.geojson").write_bytes(before.read_bytes())

    done = CliRunner().invoke(main, ["plan", str(other), "--json"])

    assert done.exit_code == 6, done.output
    record = json.loads(done.output)
    assert record["removed"] == []
    assert record["new"]
    assert record["sleeves"] == []
    changed = (other / "out" / "plan" / "columns-changed.csv").read_text(encoding="utf-8").splitlines()
    rows = [line for line in changed if not line.startswith("#")]
    assert rows == ["point,change", *(f"{one},new" for one in record["new"])]
    assert f"# checksum: {record['checksum']}" in changed


def test_the_command_refuses_what_it_cannot_do(tmp_path: Path) -> None:
    run = CliRunner()
    (tmp_path / "project.toml").write_text(planned_text(SHORT, plan=PLAN), encoding="utf-8")
    (tmp_path / "x.geojson").write_text("{}", encoding="utf-8")

    named = planned_text(SHORT, plan=PLAN.replace("\nrevision =", '\nbefore = "x.geojson"\nrevision =', 1))
    (tmp_path / "project.toml").write_text(named, encoding="utf-8")
    before = run.invoke(main, ["plan", str(tmp_path)])
    (tmp_path / "project.toml").write_text(named.replace("x.geojson", "../x.geojson", 1), encoding="utf-8")
    beside = run.invoke(main, ["plan", str(tmp_path)])
    (tmp_path / "project.toml").write_text(planned_text(SHORT, plan=PLAN), encoding="utf-8")
    labels = run.invoke(main, ["plan", str(tmp_path), "--labels"])
    short = planned_text(SHORT, ('["60 m"]', '["5 m"]'), plan=PLAN + SLEEVES, more=ALLOWANCES)
    (tmp_path / "project.toml").write_text(short, encoding="utf-8")
    rolls = run.invoke(main, ["plan", str(tmp_path)])
    (tmp_path / "project.toml").write_text(planned_text(plan="\n"), encoding="utf-8")
    none = run.invoke(main, ["plan", str(tmp_path)])

    (tmp_path / "project.toml").write_text(planned_text(SHORT, plan=PLAN), encoding="utf-8")
    (tmp_path / "blocked" / "columns.csv").mkdir(parents=True)
    blocked = run.invoke(main, ["plan", str(tmp_path), "--out", str(tmp_path / "blocked")])

    assert blocked.exit_code == 2
    assert "which is as it was" in " ".join(blocked.output.split())
    assert (before.exit_code, labels.exit_code, rolls.exit_code, none.exit_code) == (3, 2, 3, 3)
    assert "plan.before: must be an earlier plan" in before.output
    assert "no column plan in GeoJSON" in before.output
    assert "plan.before: must be the name of a file beside project.toml" in beside.output
    assert "is longer than every roll" in rolls.output
    assert "plan: must be given" in none.output
    assert not (tmp_path / "out").exists()


def test_of_many_points_those_of_the_largest_weights_are_printed(tmp_path: Path) -> None:
    many = "".join(
        f'\n[[plan.investigation]]\nname = "T{k}"\neasting = "{1000 + k} m"\n'
        'northing = "2000 m"\nbearing_level = "-6 m"\n'
        for k in range(MOST_POINTS + 5)
    )
    plan: MadePlan = made(tmp_path, FAR, plan=PLAN + many)

    assert [len(table) for table in points_tables(plan.sheets)] == [MOST_POINTS + 1]


def test_every_printed_line_recomputes_from_its_printed_numbers(tmp_path: Path) -> None:
    """The reader of printed lines, which knows nothing of the program, comes to the printed result."""
    plan = made(tmp_path, *ZONED, FAR, plan=BEND + POINTS, more=ALLOWANCES)
    lines = []
    for step in plan.sheets[0].sheet.steps:
        if step.formula is None or step.formula.summed_axes or "reading" in step.value.axis_names:
            continue
        for label in plan.sheets[0].sheet.axes["grid"] if "grid" in step.value.axis_names else ("",):
            case = {"grid": label} if label else {}
            lines.append((step.symbol, printed_numbers(step, case), printed_result(step, case)))

    assert len(lines) >= 25
    assert [line for line in lines if not recomputes(*line[1:])] == []
