"""The page for the site office in a real browser: plan, filter, record, tables, charts, keys, paper."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from calc.site.office.site_page import site_page
from tests.benchmarks.site_page import large_page
from tests.browser.chromium import Page
from tests.packages.reading import page_texts
from tests.site.planned import PLAN
from tests.site.recorded import Row
from tests.site.test_observe_command import observation
from tests.site.test_site_office import HOSTILE, ZONE, site

CANVAS = "document.getElementById('map').getBoundingClientRect()"


def change(rows: list[Row]) -> list[Row]:
    """Faults of several kinds, and texts that would be markup."""
    rows[5] = replace(rows[5], easting=rows[5].easting + 0.3)
    rows[6] = replace(rows[6], sleeve=HOSTILE[:60].replace(";", ","))
    rows[9] = replace(rows[9], id="Z-999-001")
    return [row for k, row in enumerate(rows) if k != 80 and k < 150]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    found = site(folder, change, plan=PLAN + ZONE)
    path = folder / "site.html"
    path.write_text(site_page(replace(found, readings=observation("A", "C"))), encoding="utf-8")
    return path


def text(page: Page, selector: str) -> str:
    return str(page.run(f"document.querySelector({json.dumps(selector)}).textContent"))


def rows_of(page: Page, table: str) -> list[str]:
    return list(page.run(f"[...document.querySelectorAll('#{table} tbody tr')].map((one) => one.innerText)"))


def settled(page: Page) -> None:
    """Wait until what was asked for is drawn."""
    page.run("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")


def click_column(page: Page, name: str) -> None:
    """Click a column on the canvas, where it is drawn."""
    page.run("scrollTo(0, 0)")
    settled(page)
    x, y = page.run(
        f"(() => {{ const k = ids.indexOf({json.dumps(name)}); const box = {CANVAS};"
        " return [box.x + onX(east[k]), box.y + onY(north[k])]; })()"
    )
    for kind in ("mousePressed", "mouseReleased"):
        page.send("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)
    settled(page)


def test_page_loads_nothing_and_complains_about_nothing(page: Page, written: Path) -> None:
    page.open(written)

    assert page.requests() == [written.as_uri()]
    assert page.complaints() == []
    assert page.run("document.images.length") == 0


def test_policy_refuses_every_fetch_and_every_other_script(page: Page, written: Path) -> None:
    page.open(written)
    page.run(
        "const add = (tag, set) => document.body.append(Object.assign(document.createElement(tag), set));"
        " add('script', {textContent: \"document.title = 'taken'\"}); add('img', {src: 'http://127.0.0.1:9/x.png'});"
        " new Promise((done) => fetch('http://127.0.0.1:9/').then(done, done))"
    )

    assert page.run("document.title") != "taken"
    refused = "\n".join(one for one in page.complaints() if "Content Security Policy" in one)
    assert [words for words in ("inline script", "Loading the image", "onnecting to") if words not in refused] == []


def test_a_click_on_a_column_shows_its_record_beside_the_plan(page: Page, written: Path) -> None:
    page.open(written)
    name = page.run("ids[RECORDS.findings.find((one) => one[2] === 'position')[0]]")
    click_column(page, name)
    card = text(page, "#card")

    assert card.startswith(name)
    assert "does not conform" in card
    assert "Position: 0." in card
    assert "limit 0.100 m, above. Waits for the designer." in card
    assert text(page, "#said") == f"{name}: does not conform"
    assert page.run("document.querySelectorAll('#card svg circle').length") > 5
    page.press("Escape")
    assert "its record stands here" in text(page, "#card")


def test_the_record_has_plan_and_as_recorded_side_by_side(page: Page, written: Path) -> None:
    page.open(written)
    name = page.run("ids[RECORDS.recorded.of[20]]")
    click_column(page, name)
    cells = page.run(
        "[...document.querySelectorAll('#card tr')].map((one) => [...one.cells].map((cell) => cell.innerText))"
    )
    by_title = {row[0]: row[1:] for row in cells}
    place = page.run(f"ids.indexOf({json.dumps(name)})")

    easting, recorded = (float(one.removesuffix(" m")) for one in by_title["Easting"])
    assert easting == pytest.approx(page.run(f"PLAN.origin[0] + PLAN.e[{place}] / 1000"))
    assert recorded == pytest.approx(easting, abs=0.031)
    assert by_title["Rig"] == ["R1"]
    assert by_title["Start"] == ["2026-03-02 11:12"]  # the twenty-first of the day, which begins at seven


def test_the_legend_is_the_filter_and_counts(page: Page, written: Path) -> None:
    page.open(written)
    labels = page.run("[...document.querySelectorAll('#states label')].map((one) => one.textContent)")
    counts = {words: int(number) for words, _, number in (one.rpartition(": ") for one in labels)}
    page.click("#states label:nth-of-type(1) input")
    shown = page.run("shownNow.reduce((sum, one) => sum + one, 0)")

    assert counts["missing where the work is done"] >= 1
    assert counts["does not conform"] == 2
    assert counts["record with an id that is not of the plan"] == 1
    assert sum(counts.values()) == page.run("count")
    assert shown == page.run("count") - counts["not installed yet"]
    assert text(page, "#shown") == f"{shown} of {page.run('count')} columns shown"
    page.click("#all")
    assert page.run("shownNow.every(Boolean)") is True


def test_item_area_and_search_choose_columns_and_rows(page: Page, written: Path) -> None:
    page.open(written)
    page.choose("#item", "sleeve")
    assert len(rows_of(page, "findings")) == len(rows_of(page, "columns")) == 1
    page.click("#all")
    page.choose("#area", "A")
    assert page.run("count") - page.run("shownNow.reduce((sum, one) => sum + one, 0)") == 1  # the id of no area
    page.click("#all")
    page.click("#search")
    page.type("z-999")
    assert [one.split("\t")[0].strip() for one in rows_of(page, "columns")] == ["Z-999-001"]
    assert "not of the plan" in rows_of(page, "findings")[0]
    page.press("Enter")
    assert text(page, "#card h2 span") == "Z-999-001"


def test_a_table_of_many_columns_has_pages(page: Page, written: Path) -> None:
    page.open(written)
    first = rows_of(page, "columns")[0]
    page.click("#columns-pages button:nth-of-type(2)")

    count = page.run("count")
    assert len(rows_of(page, "columns")) == count - 100
    assert rows_of(page, "columns")[0] != first
    assert text(page, "#columns-pages span") == f"101 to {count} of {count}"


def test_an_id_in_a_table_brings_its_column_into_the_plan(page: Page, written: Path) -> None:
    page.open(written)
    page.click("#findings tbody tr:nth-child(2) button")
    name = text(page, "#findings tbody tr:nth-child(2) button")
    settled(page)

    assert text(page, "#card h2 span") == name
    assert page.run("Math.hypot(east[taken] - view.e, north[taken] - view.n)") == 0
    assert page.run("document.querySelector('#findings tr:nth-child(2)').className") == "taken"


def test_plan_is_driven_by_keys_alone(page: Page, written: Path) -> None:
    page.open(written)
    page.run("canvas.focus({preventScroll: true})")
    before = page.run("[view.e, view.n, view.scale]")
    page.press("+", "ArrowRight", "ArrowUp")
    after = page.run("[view.e, view.n, view.scale]")
    assert after[0] > before[0]
    assert after[1] > before[1]
    assert after[2] == pytest.approx(1.5 * before[2])
    page.press("0")
    assert page.run("[view.e, view.n, view.scale]") == pytest.approx(before)
    page.press("n", "n")
    assert text(page, "#card h2 span") == page.run("ids[order[1]]")
    page.press("p")
    assert text(page, "#card h2 span") == page.run("ids[order[0]]")
    page.press("Escape", "Enter")
    assert page.run("Math.hypot(east[taken] - view.e, north[taken] - view.n)") < 2
    page.press("/")
    assert page.run("document.activeElement.id") == "search"


def test_next_column_goes_on_from_one_that_the_filter_leaves_out(page: Page, written: Path) -> None:
    page.open(written)
    page.run("take(order[3]); for (const k of [0, 1, 2, 3, 4]) shownNow[order[k]] = 0;"
             " listed.columns = order.filter((k) => shownNow[k]); step(1)")  # fmt: skip
    assert page.run("rank[taken]") == 5
    page.run("take(order[3]); step(-1)")
    assert page.run("rank[taken]") == 3


def test_drag_and_wheel_move_the_plan_and_take_no_column(page: Page, written: Path) -> None:
    page.open(written)
    left, top, before = page.run(f"[{CANVAS}.x, {CANVAS}.y, view.e]")
    scale = page.run("view.scale")
    for kind, x in (("mousePressed", 300), ("mouseMoved", 250), ("mouseMoved", 200), ("mouseReleased", 200)):
        page.send(
            "Input.dispatchMouseEvent", type=kind, x=left + x, y=top + 200, button="left", buttons=1, clickCount=1
        )
    assert page.run("view.e") == pytest.approx(before + 100 / scale)
    assert page.run("taken") == -1
    here = page.run(f"view.e + (200 - {CANVAS}.width / 2) / view.scale")
    page.send("Input.dispatchMouseEvent", type="mouseWheel", x=left + 200, y=top + 200, deltaX=0, deltaY=-200)
    page.wait(f"view.scale > 1.2 * {scale}")
    assert page.run(f"view.e + (200 - {CANVAS}.width / 2) / view.scale") == pytest.approx(here)


def test_columns_are_drawn_in_their_states(page: Page, written: Path) -> None:
    """The middle of a column that does not conform is dark, of one that conforms of a middle tone, of a missing not."""
    page.open(written)
    script = (
        "(() => { const k = state.indexOf(%d); view.e = east[k]; view.n = north[k]; view.scale = 25; draw();"
        " const fine = canvas.width / view.wide; const [r, g, b] = pen.getImageData(fine * (view.wide / 2 + %d),"
        " fine * view.high / 2, 1, 1).data; return 0.3 * r + 0.59 * g + 0.11 * b; })()"
    )
    dark, middle, light = (page.run(script % place) for place in ((3, 4), (1, 4), (0, 4)))

    assert dark < 80
    assert 130 < middle < 190
    assert light > 240


def test_curves_have_range_levels_crossings_and_their_table(page: Page, written: Path) -> None:
    page.open(written)
    names = page.run("[...document.querySelectorAll('.chart figcaption b')].map((one) => one.textContent)")
    place = names.index("IN-A-1: lateral displacement, mm") + 1
    assert len(names) == page.run("DATA.readings.sections.reduce((sum, one) => sum + one.series.length, 0)")
    assert page.run("document.querySelectorAll('.chart .band').length") == page.run(
        "DATA.readings.sections.flatMap((one) => one.series).filter((one) => one.course).length"
    )
    assert page.run(f"document.querySelectorAll('.chart')[{place - 1}].querySelectorAll('.flag').length") == 1
    page.choose("#charts", "crossed")
    assert page.run("[...document.querySelectorAll('.chart')].filter((one) => one.checkVisibility()).length") == 2
    page.click(f".charts .chart:nth-child({place}) summary")
    page.wait(f"document.querySelectorAll('.charts .chart:nth-child({place}) tr').length > 90")
    last = text(page, f".charts .chart:nth-child({place}) tr:last-child")
    assert last.startswith("2025-12-19200.020.0")


def test_texts_of_users_stay_texts(page: Page, written: Path) -> None:
    page.open(written)
    page.run("take(RECORDS.findings.find((one) => one[2] === 'sleeve')[0])")

    assert "</script><img src=x" in text(page, "#card")
    assert page.run("document.images.length") == 0
    assert page.complaints() == []


def test_paper_has_all_non_conformities_and_no_list_of_every_column(page: Page, written: Path) -> None:
    page.open(written)
    before = page.run("[view.e, view.n, view.scale, view.wide, canvas.width]")
    printed = "\n".join(page_texts(page.printed()))

    for words in ("Site sheet", "Non-conformities", "Position", "Waits for", "Progress", "Section A", "IN-A-1"):
        assert words.lower() in printed.lower(), words
    assert "Keys and symbols" not in printed
    assert "A-001-001" not in printed
    settled(page)
    assert page.run("[view.e, view.n, view.scale, view.wide, canvas.width]") == before


def test_plan_on_paper_keeps_its_proportions(page: Page, written: Path) -> None:
    """Circles stay round: the canvas has as many points for a metre in both directions, and is not stretched."""
    page.open(written)
    page.send("Emulation.setEmulatedMedia", media="print")
    page.run("dispatchEvent(new Event('beforeprint'))")
    wide, high, fit = page.run(
        "[canvas.width / canvas.height, view.wide / view.high, getComputedStyle(canvas).objectFit]"
    )
    middle = page.run("[onX(east[0]) >= 0, onX(east[0]) <= view.wide, onY(north[0]) >= 0, onY(north[0]) <= view.high]")

    assert wide == pytest.approx(high)
    assert fit == "contain"
    assert middle == [True] * 4


def test_page_without_records_shows_the_plan(page: Page, tmp_path: Path) -> None:
    found = site(tmp_path)
    path = tmp_path / "site.html"
    path.write_text(site_page(replace(found, records=None)), encoding="utf-8")
    page.open(path)
    click_column(page, page.run("ids[7]"))

    assert page.complaints() == []
    assert "No records are given." in text(page, "#card")
    assert text(page, "#states label").startswith("of the plan; no records given: ")


@pytest.mark.slow
def test_fifty_thousand_columns_load_filter_and_pan(page: Page, tmp_path: Path) -> None:
    """The times themselves stand in docs/benchmarks.md."""
    made, _ = large_page(tmp_path, 50_400, 10)
    path = tmp_path / "site.html"
    path.write_text(made, encoding="utf-8")
    page.open(path)

    assert page.run("count") >= 50_000
    assert path.stat().st_size < 10e6
    assert page.complaints() == []
    before = page.run("view.e")
    page.run("pan(50, 0)")
    settled(page)
    assert page.run("view.e") < before
    page.choose("#item", "position")
    shown = page.run("listed.columns.length")
    assert shown == page.run("RECORDS.items.find((one) => one.key === 'position').failed") > 300
    assert page.run("listed.columns.every((k) => findingsOf.has(k))") is True
    page.click("#columns tbody tr:nth-child(5) button")
    settled(page)
    assert "limit 0.100 m, above" in text(page, "#card")
    assert page.run("inView().flat().length") < 20_000
