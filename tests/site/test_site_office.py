"""The page for the site office: what it holds of plan, records and readings."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.site.observed.observed_run import Observation
from calc.site.office import record_data
from calc.site.office.reading_data import reading_data
from calc.site.office.record_data import STATES
from calc.site.office.site_page import site_data, site_page
from calc.site.office.site_run import Site, run_site
from calc.site.plan.write_plan import make_plan
from tests.site.planned import PLAN, planned
from tests.site.recorded import COLUMNS, LIMITS, Row, faultless, readings, readings_file, records_file, written
from tests.site.test_installed_command import SHORT
from tests.site.test_observe_command import observation

HOSTILE = "</script><img src=x onerror=alert(1)> {{ 7 * 7 }} &amp; '\""
ZONE = """
[[plan.exclusion]]
name = "main & drain </script>"
reason = "test"
distance = "0.2 m"
corner = [
    { easting = "1004 m", northing = "2006 m" },
    { easting = "1006 m", northing = "2006 m" },
    { easting = "1006 m", northing = "2008 m" },
]
"""
Change = Callable[[list[Row]], list[Row]]


def site(folder: Path, change: Change = lambda rows: rows, more: str = COLUMNS + LIMITS, plan: str = PLAN) -> Site:
    """A short plan with records for all its columns, changed by the test."""
    design = planned(folder, SHORT, plan=plan, more=more)
    assert design.plan is not None
    columns = make_plan(design, design.plan).listed.columns
    rows = change(faultless(columns))
    files = [written(folder, "records.csv", records_file(rows)),
             written(folder, "depth.csv", readings_file(readings(columns, rows)))]  # fmt: skip
    return run_site(design, files, (), lambda _: None, again=False, slip=False)


def data_of(page: str) -> dict[str, Any]:
    """What a page holds for its script."""
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.DOTALL)
    assert found
    return dict(json.loads(found[1]))


def field_of(data: dict[str, Any], key: str) -> dict[str, Any]:
    return next(one for one in data["records"]["recorded"]["fields"] if one["key"] == key)


def faulty(rows: list[Row]) -> list[Row]:
    """One displaced, one without a length to be seen, one with another id, one left out where the work is done."""
    rows[5] = replace(rows[5], easting=rows[5].easting + 0.3)
    rows[9] = replace(rows[9], id="Z-999-001")
    return rows


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Site:
    return site(tmp_path_factory.mktemp("office"), faulty, plan=PLAN + ZONE)


@pytest.fixture(scope="module")
def data(found: Site) -> dict[str, Any]:
    return data_of(site_page(found))


def test_columns_of_the_page_are_those_of_the_plan(found: Site, data: dict[str, Any]) -> None:
    """Places to the millimetre, levels and lengths to the centimetre, as every file of the plan has them."""
    plan, columns = data["plan"], found.made.listed.columns

    assert plan["ids"] == [one.id for one in columns]
    for k, one in enumerate(columns):
        area, section, zone, sleeve, diameter, working_level, _ = plan["kinds"][plan["kind"][k]]
        assert plan["origin"][0] + plan["e"][k] / 1000 == pytest.approx(one.easting, abs=1e-9)
        assert plan["origin"][1] + plan["n"][k] / 1000 == pytest.approx(one.northing, abs=1e-9)
        assert [value / 100 for value in (plan["head"][k], plan["toe"][k], plan["length"][k])] == [
            one.head, one.toe, one.length]  # fmt: skip
        assert (section, zone, sleeve, diameter) == (one.section, one.zone, one.sleeve, one.diameter)
        assert (area, working_level) == ("A", one.working_level)
    assert [zone["name"] for zone in plan["zones"]] == ["main & drain </script>"]
    assert [text for _, _, text in plan["chainages"]] == ["0+000", "0+010", "0+020", "0+030"]


def test_every_column_has_the_state_that_the_records_give_it(found: Site, data: dict[str, Any]) -> None:
    states = {name: STATES[int(digit)] for name, digit in
              zip(data["plan"]["ids"] + data["records"]["strays"], data["state"], strict=True)}  # fmt: skip
    one = found.records
    assert one is not None
    failing = {finding.id for finding in one.findings}
    missing = {name for name, flag in zip(one.compared.ids, one.compared.missing, strict=True) if flag}

    assert {name for name, state in states.items() if state == "missing"} == missing != set()
    assert {name for name, state in states.items() if state == "fails"} == failing - missing - {"Z-999-001"} != set()
    assert states["Z-999-001"] == "unknown"
    assert {state for name, state in states.items() if name not in failing} == {"conforms"}


def test_non_conformities_are_those_of_the_list_with_their_columns(found: Site, data: dict[str, Any]) -> None:
    assert found.records is not None
    ids = data["plan"]["ids"] + data["records"]["strays"]
    rows = data["records"]["findings"]
    position = next(row for row in rows if row[2] == "position")

    assert [(row[1], row[2]) for row in rows] == [(one.id, one.item) for one in found.records.findings]
    assert all(ids[row[0]] == row[1] for row in rows)
    assert float(position[3]) == pytest.approx(0.3, abs=0.06)
    assert position[4:7] + position[9:] == ["0.100", "m", "above", "the designer"]
    assert position[7] == "records.csv"


def test_recorded_values_are_those_of_the_files(found: Site, data: dict[str, Any]) -> None:
    assert found.records is not None
    ids, recorded = data["plan"]["ids"] + data["records"]["strays"], data["records"]["recorded"]
    counted = found.records.compared.records.counted

    assert sorted(ids[k] for k in recorded["of"]) == sorted(counted)
    for key, places in (("easting", 3), ("toe_level", 2), ("volume", 3), ("diameter", 3)):
        for k, value in zip(recorded["of"], field_of(data, key)["values"], strict=True):
            assert value == round(counted[ids[k]].values[key] * 10**places), key
    starts = dict(zip(recorded["of"], field_of(data, "start")["minutes"], strict=True))
    assert all(starts[k] == round(counted[ids[k]].values["start"] * 1440) for k in recorded["of"])
    serial = field_of(data, "serial")
    assert [serial["words"][k] for k in serial["texts"]] == [counted[ids[k]].values["serial"] for k in recorded["of"]]
    assert {field_of(data, "criterion")["words"][k] for k in field_of(data, "criterion")["texts"]} == {"yes"}


def test_distance_and_fill_are_those_that_were_judged(found: Site, data: dict[str, Any]) -> None:
    assert found.records is not None
    of = data["records"]["recorded"]["of"]
    by_id = {row[1]: row for row in data["records"]["findings"] if row[2] == "position"}
    distance = dict(zip(of, field_of(data, "distance")["values"], strict=True))

    for row in by_id.values():
        assert distance[row[0]] == round(1000 * float(row[3]))
    judged = [value for value in distance.values() if value is not None]
    assert sum(value > 100 for value in judged) == len(by_id) == 1
    assert distance[len(data["plan"]["ids"])] is None, "a record without a column has no distance from the plan"


def test_all_readings_in_depth_are_there_where_they_find_room(found: Site, data: dict[str, Any]) -> None:
    assert found.records is not None
    depth, all_readings = data["records"]["depth"], found.records.compared.records.readings

    assert sum(depth["count"]) == len(depth["z"]) == len(depth["v"]) == depth["whole"] == len(all_readings.of)
    assert depth["left_out"] == 0
    np.testing.assert_allclose(np.array(depth["z"]) / 100, all_readings.depth, atol=0.0051)
    np.testing.assert_allclose(np.array(depth["v"]) / 1000, all_readings.volume, atol=0.00051)


def test_of_too_many_readings_those_of_columns_that_fail_stay(found: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    assert found.records is not None
    failing = {one.id for one in found.records.findings}
    monkeypatch.setattr(record_data, "MOST_READINGS", 60)
    data = site_data(found)
    depth, ids = data["records"]["depth"], data["plan"]["ids"] + data["records"]["strays"]

    assert {ids[k] for k in depth["of"]} <= failing
    assert 0 < sum(depth["count"]) == len(depth["z"]) <= 60
    assert depth["left_out"] > 0
    assert "too many for one page" in depth["says"]


def test_fill_that_fails_by_depth_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of two columns that do not conform the one whose fill necks keeps its readings."""
    design = planned(tmp_path, SHORT, more=COLUMNS + LIMITS)
    assert design.plan is not None
    columns = make_plan(design, design.plan).listed.columns
    rows = faultless(columns)
    rows[3] = replace(rows[3], easting=rows[3].easting + 0.3)
    necked = rows[20].id
    deep = [(name, depth, 0.6 * volume if name == necked and depth > 2 else volume)
            for name, depth, volume in readings(columns, rows)]  # fmt: skip
    files = [written(tmp_path, "records.csv", records_file(rows)),
             written(tmp_path, "depth.csv", readings_file(iter(deep)))]  # fmt: skip
    found = run_site(design, files, (), lambda _: None, again=False, slip=False)
    monkeypatch.setattr(record_data, "MOST_READINGS", 25)
    data = site_data(found)

    assert [data["plan"]["ids"][k] for k in data["records"]["depth"]["of"]] == [necked]


def test_without_limits_nothing_conforms(tmp_path: Path) -> None:
    """Nothing that a record says was compared: the page must not say that it conforms."""
    fields = ("sleeve", "serial", "start", "end")
    mapping = "\n".join(line for line in COLUMNS.splitlines() if not any(f'"{name}' in line for name in fields))
    found = site(tmp_path, more=mapping)
    page = site_page(found)

    assert {STATES[int(digit)] for digit in data_of(page)["state"]} == {"unjudged"}
    assert "Not judged: Position, Inclination, Length" in page


def test_without_records_every_column_is_of_the_plan(tmp_path: Path) -> None:
    design = planned(tmp_path, SHORT)
    page = site_page(run_site(design, (), (), lambda _: None, again=False, slip=False))
    data = data_of(page)

    assert {STATES[int(digit)] for digit in data["state"]} == {"planned"}
    assert data["records"] is data["readings"] is None
    assert "None given" in page
    assert 'id="nonconformities"' not in page


def test_texts_of_users_are_data(tmp_path: Path) -> None:
    """A sign of markup in a record, an id or the project reaches the page as a text or as data."""

    def change(rows: list[Row]) -> list[Row]:
        rows[1] = replace(rows[1], rig=HOSTILE[:60].replace(";", ","), serial="<b>&</b>")
        rows[2] = replace(rows[2], id="</script><script>")
        return rows

    found = site(tmp_path, change, plan=PLAN + ZONE)
    page = site_page(found)

    assert page.count("<script") == page.count("</script>") == 2
    assert "<img src=x" not in page
    assert "<b>&" not in page
    assert "</script><script>" in data_of(page)["records"]["strays"]


def test_same_runs_give_the_same_bytes_that_name_nothing_outside(found: Site) -> None:
    page = site_page(found)

    assert page == site_page(found)
    assert "default-src &#39;none&#39;" in page
    assert re.findall(r"(?:src|href)=\"(?!#)", page) == []
    assert not [address for address in re.findall(r"https?://[^\"'\s]+", page) if "www.w3.org/2000/svg" not in address]
    assert found.made.listed.checksum in page


def test_page_names_date_and_files(found: Site) -> None:
    page = site_page(found)

    assert "Up to 2026-03-0" in page
    assert "records.csv" in page
    assert "revision" in page
    assert "it supports the decision of the designer and does not replace it" in page


@pytest.fixture(scope="module")
def read() -> Observation:
    return observation("A", "C")


@pytest.mark.slow
def test_readings_of_the_page_are_those_of_the_record(read: Observation) -> None:
    """Every series with its values in the unit shown, the range expected at its days, and its outliers."""
    sections = reading_data(read)["sections"]

    for part, section in zip(read.sections, sections, strict=True):
        series = {one.name: one for one in part.series if one.days.size}
        assert [one["name"] for one in section["series"]] == list(series)
        for shown in section["series"]:
            one = series[shown["name"]]
            factor = {"mm": 1000, "%": 100, "°": 180 / np.pi}.get(shown["unit"], 1.0)
            np.testing.assert_allclose(shown["values"], factor * one.values, atol=0.051)
            expected = part.expected_at(one, np.maximum(one.days, 0))
            assert (shown["expected"] is None) == (expected is None)
            if expected is not None:
                np.testing.assert_allclose(shown["expected"], factor * expected, atol=0.051)
                assert len(shown["course"]["rows"]) == len(expected)
                assert shown["course"]["days"][-1] == pytest.approx(section["until"])
            assert shown["outliers"] == np.flatnonzero(one.outliers).tolist()


@pytest.mark.slow
def test_levels_and_crossings_stand_with_what_is_read(read: Observation) -> None:
    series = {one["name"]: one for one in reading_data(read)["sections"][0]["series"]}

    assert [(one["kind"], one["value"]) for one in series["SP-A-1"]["levels"]] == [("amber", 280.0), ("red", 360.0)]
    assert [one["text"] for one in series["SP-A-1"]["levels"]] == ["amber 280.0 mm", "red 360.0 mm"]
    assert [one["text"] for one in series["IN-A-1"]["crossed"]] == [
        "amber: lateral rate 4.5 mm/d beyond 3.0 mm/d on 2025-10-27"]  # fmt: skip
    assert {name for name, one in series.items() if one["crossed"]} == {"IN-A-1", "SP-A-3"}
    # A level of one layer stands with the sensor in that layer alone.
    assert {one["value"] for one in series["PP-A-2"]["levels"]} != {one["value"] for one in series["PP-A-1"]["levels"]}
    assert series["FILL-A"]["levels"] == []


@pytest.mark.slow
def test_a_section_that_is_open_shows_its_readings_without_a_range(read: Observation, found: Site) -> None:
    part = read.sections[0]
    bare = replace(read, sections=(replace(part, course=None, analyses=(), crossed=(), lift=None, open="not settled"),))
    [section] = reading_data(bare)["sections"]
    page = site_page(replace(found, readings=bare))

    assert section["stages"] == []
    assert {(one["expected"] is None, len(one["levels"])) for one in section["series"]} == {(True, 0)}
    assert "not settled" in page


@pytest.mark.slow
def test_a_section_whose_fill_lies_has_its_own_levels_and_no_next_lift(read: Observation, found: Site) -> None:
    """Section C: the levels are those of its own triggers, each in the stages for which it is given."""
    part, page = read.sections[1], site_page(replace(found, readings=read))
    [shown] = reading_data(read)["sections"][1:]
    series = {one["name"]: one for one in shown["series"]}
    assert part.course is not None
    assert part.section.monitoring is not None
    calendar, asked = part.course.calendar, part.section.monitoring.triggers
    names = [stage.name for stage in part.section.stages]

    assert (part.section.key, list(series)) == ("C", ["FILL-C", "SP-C-1", "PP-C-1"])
    for name, quantity, factor in (("SP-C-1", "settlement", 1000.0), ("PP-C-1", "pore pressure", 1.0)):
        own = [one for one in asked if one.quantity == quantity]
        kinds = {"attention": "amber", "stop": "red"}
        assert own
        assert [(one["kind"], one["value"]) for one in series[name]["levels"]] == [
            (kinds[one.kind], pytest.approx(factor * (one.level.value or np.nan))) for one in own]  # fmt: skip
        for level, trigger in zip(series[name]["levels"], own, strict=True):
            of = [names.index(trigger.stage)] if trigger.stage else range(len(names))
            assert [begin for begin, _ in level["spans"]] == pytest.approx([calendar.starts[k] for k in of])
    assert {name for name, one in series.items() if one["crossed"]} == set()
    for text in ("Section C, last reading 2025-12-19 (day 200)", "Settlement 117 mm, expected",
                 "No trigger is crossed.", "All fill lies.", "Section C: All fill lies"):  # fmt: skip
        assert text in page, text


@pytest.mark.slow
def test_page_prints_triggers_with_what_is_to_be_done(read: Observation, found: Site) -> None:
    page = site_page(replace(found, readings=read))

    assert "Readings twice as often; cause looked for; the designer is told within a day" in page
    assert "Next lift, Stage 3: not verified" in page
    assert "Up to 2025-12-19 (readings.csv)" in page
    assert "red triggers of section B" not in page
    assert "red triggers of section B" in site_page(replace(found, readings=replace(read, unmapped=("B",))))
