"""The design basis: where factors enter, which are marked, what is answered."""

import copy
from collections.abc import Callable
from typing import Any

import pytest
import tomlkit

from calc.chain import Run
from calc.engine.sheet import Sheet
from tests.chapters.rig_case import on_platform
from tests.chapters.settled import firm, keys, state

Chapters = Callable[..., dict[str, Sheet]]
SETS = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]


def test_unanswered_matter_makes_the_run_incomplete(run_project: Callable[..., Run], chapters: Chapters) -> None:
    def unanswered(document: Any) -> None:
        del document["outside"]["seismic"]

    def both(document: Any) -> None:
        unanswered(document)
        firm(document)

    basis = chapters(unanswered)["basis"]

    assert state(basis, "outside") == "not verified"
    assert "Seismic" in basis.verdicts[0].note
    assert state(chapters()["basis"], "outside") == "pass"
    assert run_project(both).outcome == "incomplete"


def test_a_platform_with_its_rig_is_no_matter_outside(chapters: Chapters) -> None:
    """In every section: with one of two without a rig the question stays."""

    def silent(document: Any) -> None:
        del document["outside"]["platform_rig"]

    def rigged(document: Any) -> None:
        silent(document)
        on_platform()(document)

    def one_without(document: Any) -> None:
        rigged(document)
        rig = document["platform"].pop("rig")
        other = tomlkit.parse(tomlkit.dumps({"section": [document["section"][0]]})).unwrap()["section"][0]
        document["section"].append({**other, "key": "B"})
        document["section"][0]["platform"] = {**document["platform"], "rig": rig}
        document["section"][1]["platform"] = document.pop("platform")

    assert state(chapters(silent)["basis"], "outside") == "not verified"
    assert state(chapters(rigged)["basis"], "outside") == "pass"
    assert state(chapters(one_without)["basis"], "outside") == "not verified"


def test_factors_enter_where_the_kind_of_the_set_says(chapters: Chapters) -> None:
    def many(document: Any) -> None:
        document["basis"]["factor_sets"] = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2", "DIN 1054:2010 GEO-2"]

    basis = chapters(many)["basis"]
    final = {"stage": "2 Final"}

    assert basis["gamma_G"].at(**final).array == pytest.approx([1.35, 1.0, 1.35])
    assert basis["gamma_Q"].at(**final).array == pytest.approx([1.5, 1.0, 1.5])
    assert basis["gamma_QS"].at(**final).array == pytest.approx([1.0, 1.3, 1.0])
    assert basis["gamma_phi"].at(**final).array == pytest.approx([1.0, 1.25, 1.0])
    assert basis["gamma_G"].at(stage="1 First lift", factor_set="DIN 1054:2010 GEO-2").array == pytest.approx(1.2)
    assert "factors-DIN 1054:2010 GEO-2" in keys(basis)


def test_a_section_is_verified_by_the_factor_sets_that_it_names(run_project: Callable[..., Run]) -> None:
    """The other section has all of them, and its results are those of a project in which none names any."""

    def second(document: Any) -> None:
        other = copy.deepcopy(document["section"][0])
        other["key"] = "Z"
        document["section"].append(other)

    def named(document: Any) -> None:
        second(document)
        document["section"][1]["factor_sets"] = SETS[1:]

    plain, run = run_project(second), run_project(named)
    first, other = ({sheet.key: sheet for sheet in part.sheets} for part in run.sections)

    assert first["basis"].axes["factor_set"] == tuple(SETS)
    assert {sheet.axes["factor_set"][0] for sheet in other.values() if "factor_set" in sheet.axes} == {SETS[1]}
    assert [rest for rest in first["basis"].rests if "do not apply" in rest.title] == []
    assert [rest.text for rest in other["basis"].rests if "do not apply" in rest.title] == SETS[:1]
    assert "design-approach-1" in keys(other["basis"])
    assert utilisations(run, 0) == utilisations(plain, 0)
    of_second = {key: value for (key, factor_set), value in utilisations(run, 1).items()}
    both = utilisations(plain, 1)
    assert of_second
    assert all(value <= max(one for (name, _), one in both.items() if name == key) for key, value in of_second.items())
    table = next(table for table in other["basis"].page.tables if table.key == "factors")
    assert {row[0] for row in table.rows} == {SETS[1]}


def utilisations(run: Run, place: int) -> dict[tuple[str, str], float]:
    return {
        (verdict.key, verdict.factor_set): verdict.utilisation
        for sheet in run.sections[place].sheets
        for verdict in sheet.verdicts
        if verdict.utilisation is not None
    }


def test_a_factor_has_one_meaning_in_the_table_and_on_the_lines(chapters: Chapters) -> None:
    """γ_Q of combination 2 is applied to the loads: 1 on effects, 1.3 as γ_Q,src, in the table as everywhere."""
    basis = chapters()["basis"]
    table = next(table for table in basis.page.tables if table.key == "factors")
    column = {one.symbol: k for k, one in enumerate(table.head)}
    stage = basis.axes["stage"][-1]
    rows = {row[0]: row for row in table.rows if row[1] == "persistent"}

    assert rows["EN 1997-1 DA1-2"][column["gamma_Q"]] == "1.00"
    assert rows["EN 1997-1 DA1-2"][column["gamma_QS"]] == "1.30"
    for factor_set, row in rows.items():
        for name in ("gamma_G", "f_G", "gamma_Q", "gamma_QS", "gamma_phi"):
            assert float(row[column[name]].split()[0]) == basis[name].at(factor_set=factor_set, stage=stage).array


def test_factors_from_memory_are_marked_in_situations_that_use_them(chapters: Chapters) -> None:
    def accidental(document: Any) -> None:
        document["stage"][0]["situation"] = "accidental"

    basis = chapters(accidental)["basis"]
    table = next(table for table in basis.page.tables if table.key == "factors")

    assert "factors-EN 1997-1 DA1-1" in keys(basis)
    assert any("◦" in cell for row in table.rows for cell in row)
    assert "factors-EN 1997-1 DA1-1" not in keys(chapters()["basis"])
    step = next(step for step in basis.steps if step.symbol == "gamma_phi")
    assert step.origins[0].evidence == "not inspected"


@pytest.mark.parametrize(("category", "stated"), [(None, True), (2, True), (3, False)])
def test_highest_consequence_class_is_to_be_checked_by_another_organisation(
    chapters: Chapters, category: int | None, stated: bool
) -> None:
    """EN 1990:2002, Annex B, Table B.4, from memory: third party checking (DSL 3) for the highest class."""

    def highest(document: Any) -> None:
        document["basis"]["consequence_class"] = "CC3"
        document["basis"].pop("check_category", None)
        if category is not None:
            document["basis"]["check_category"] = category
            for role in ("originator", "checker"):
                document["people"][role]["organisation"] = f"Office of the {role}"

    assert ("supervision" in keys(chapters(highest)["basis"])) == stated
    assert "supervision" not in keys(chapters()["basis"])
