"""The least stress ratio of the cell in each stage, which bounds the one given for stability."""

from collections.abc import Callable
from typing import Any

from calc.engine.sheet import Sheet

Chapters = Callable[..., dict[str, Sheet]]


def test_least_stress_ratio_of_a_stage_is_that_of_every_run_of_the_cell(chapters: Chapters) -> None:
    cell = chapters()["unit_cell"]
    least = cell.scopes["least_ratio"]["n_min"]

    assert least.axis_names == ("stage",)
    assert least.lanes()[0] is None
    for stage in ("1 First lift", "2 Final"):
        runs = [cell.scopes[name]["n"].at(stage=stage) for name in ("tension", "settlement")]
        assert float(least.at(stage=stage).array) == min(run.array[run.valid].min() for run in runs)


def test_slack_lowers_the_least_stress_ratio_and_a_rigid_column_has_none(chapters: Chapters) -> None:
    """Before the sleeve is taut the soil carries more; a column below its active state carries everything."""

    def slack(document: Any) -> None:
        document["sleeve"]["oversize"] = "30 mm"

    def held(document: Any) -> None:
        document["columns"]["K_star"] = 10
        document["stage"][0]["fill_height"] = "0.1 m"

    def least(done: dict[str, Sheet]) -> Any:
        return done["unit_cell"].scopes["least_ratio"]["n_min"].lanes()

    taut = least(chapters())
    loose, rigid = least(chapters(slack)), least(chapters(held))
    assert loose[1] < taut[1]
    assert loose[2] < taut[2]
    assert rigid[:2] == [None, None]
