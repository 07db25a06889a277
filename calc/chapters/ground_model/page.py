"""The page on characteristic values: what each rests on, estimates beside values used, plots over depth."""

from collections.abc import Iterator, Sequence
from math import log10

from calc.chapters.ground_model.chosen_value import READING, Chosen
from calc.chapters.shared.layer_tables import boundaries
from calc.engine.figure import Panel, Profile, Series, symbol_text
from calc.engine.sheet import Page, Scope, Sheet, Table, TableColumn, Value, number_text, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.ground_file.result_rows import IGNITION, joined_ranges
from calc.inputs.ground_file.selection import Reading
from calc.inputs.tables.ground_model import OEDOMETER

say = words_of(__name__)

PANELS = {"c_u": "c_u", "sigma_p": "sigma_pc", "E_oed_ref": "E_ref"}
MEASURED = (
    "c_fv",
    "I_P",
    "w_L",
    "mu_v",
    "q_cc",
    "u_2",
    "q_t",
    "sigma_vi",
    "u_0i",
    "q_net",
    "B_q",
    "c_uDu",
    "m_fit",
    "x_r",
    "x_low",
    "x_up",
    "x_use",
)
INCREMENT = ("sigma_pi", "sigma_1", "sigma_2", "m_v", "e_t0", "e_1", "e_2", "eps_1", "eps_2", "E_Di", "p_Di")
ABSENT = "–"
SECONDS = 86400.0
MOST_PANELS = 3


def page(of: Page, design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Summary, readings of every value, what was left out, plots."""
    file, model = design.results_file, section.ground_model
    if file is None or model is None:
        return
    chosen_values: list[Chosen] = of.sheet.kept["chosen"]
    of.notes.append(say("file-note", file=file.name, digest=file.sha256, report=model.source))
    if file.passed:
        of.notes.append(say("passed-note", file=file.name, told="; ".join(map(str, file.passed))))
    if chosen_values:
        of.tables.append(_summary(of, chosen_values))
        for chosen in chosen_values:
            of.tables.append(_readings(of, chosen))
            if chosen.value.test == OEDOMETER:
                of.tables.append(_increments(of, chosen))
        of.tables += _left_out_text(chosen_values)
        of.figures += _figures(of, chosen_values, section)
    plotted: dict[str, list[Reading]] = of.sheet.kept["plotted"]
    panels = list(_plots(plotted))
    if panels:
        note = say("plots-note")
        ignited = [str(reading.first.row) for reading in plotted["organic"] if IGNITION in reading.first.id]
        if ignited:
            note = say("ignition-note", note=note, rows=joined_ranges(ignited))
        of.figures.append(
            Profile("plots", say("plots-title"), say("plots-alt"), say("depth-label"), tuple(panels),
                    boundaries(section), note)
        )  # fmt: skip


def _summary(of: Page, chosen_values: Sequence[Chosen]) -> Table:
    names = ("n_x", "x_av", "s_x", "V_x", "k_n", "k_z", "z_j", "x_low", "x_Sch", "x_use", "d_est")
    head = [TableColumn(words=say("value-words")), TableColumn(words=say("method-words"))]
    head += [TableColumn(symbol=name) for name in names]
    rows = []
    for chosen in chosen_values:
        scope = of.sheet.scopes[chosen.key]
        case = of.case(chosen.key)
        cells = {name: _text(scope, name, case) for name in names}
        if chosen.estimate:
            cells["x_low"] = _text(scope, chosen.estimate, case)
        if "k_z" not in scope.values:
            cells["z_j"] = ABSENT
        rows.append([chosen.title, chosen.value.estimate, *cells.values()])
    return Table("values", say("summary-title"), head, rows, say("summary-note"))


def _text(scope: Scope, name: str, case: dict[str, str]) -> str:
    return value_text(scope[name], case, name) if name in scope.values else ABSENT


def _readings(of: Page, chosen: Chosen) -> Table:
    """A row for each reading with what it was corrected by."""
    scope = of.sheet.scopes[chosen.key]
    names = [
        name for name in MEASURED if name in scope.values and (scope[name].axes or name in {"x_low", "x_up", "x_use"})
    ]
    head = [TableColumn(words=say("id-words")), TableColumn(words=say("place-words")), TableColumn(symbol="z_j"),
            TableColumn(words=say("row-words")), *(TableColumn(symbol=name) for name in names)]  # fmt: skip
    rows = []
    for reading in chosen.readings:
        first = reading.first
        cells = [value_text(scope[name], {READING: first.id}, name) for name in names]
        rows.append([first.id, first.location, number_text(first.depth, 2), str(first.row), *cells])
    rest = " ".join([say("rest", source=chosen.value.source.rstrip(".")), *chosen.notes])
    note = say("readings-note", cites=chosen.cites, soil=chosen.value.soil, notes=rest)
    return Table(f"readings-{chosen.key}", say("readings-title", title=chosen.title), head, rows, note)


def _increments(of: Page, chosen: Chosen) -> Table:
    """The increments of every test of a value; the lines of the tests behind the first stand aside."""
    names = [f"{chosen.key}_{k}" for k in range(1, len(chosen.readings) + 1)]
    of.set_aside(*names[1:])
    shown = [what for what in INCREMENT if any(what in of.sheet.scopes[name].values for name in names)]
    head = [TableColumn(words=say("test-words")), TableColumn(words=say("row-words")),
            *(TableColumn(symbol=name) for name in shown)]  # fmt: skip
    rows = []
    for reading, name in zip(chosen.readings, names, strict=True):
        scope = of.sheet.scopes[name]
        for increment, label in zip(reading.increments, scope["sigma_1"].labels(READING), strict=True):
            cells = [_text(scope, what, {READING: label}) for what in shown]
            rows.append([reading.first.id, str(increment.row), *cells])
    return Table(
        f"increments-{chosen.key}", say("increments-title", title=chosen.title), head, rows, say("increments-note")
    )


def _left_out_text(chosen_values: Sequence[Chosen]) -> list[Table]:
    rows = [[chosen.title, gone.id, gone.reason] for chosen in chosen_values for gone in chosen.value.left_out]
    head = [TableColumn(words=words) for words in (say("value-words"), say("id-words"), say("reason-words"))]
    return [Table("left-out", say("left-title"), head, rows, say("left-note"))] if rows else []


def _figures(of: Page, chosen_values: Sequence[Chosen], section: Section) -> Iterator[Profile]:
    """Values side by side over the depth, a few in a figure."""
    for k in range(0, len(chosen_values), MOST_PANELS):
        panels = tuple(_panel(of.sheet.scopes[chosen.key], chosen) for chosen in chosen_values[k : k + MOST_PANELS])
        key, layers = f"estimates-{k // MOST_PANELS + 1}", boundaries(section)
        title, alt, depth, note = say("figure-title"), say("figure-alt"), say("depth-label"), say("figure-note")
        yield Profile(key, title, alt, depth, panels, layers, note)


def _panel(scope: Scope, chosen: Chosen) -> Panel:
    """Readings as crosses, estimate and value used as lines over the depths tested."""
    name = PANELS[chosen.value.parameter]
    depths = [reading.first.depth for reading in chosen.readings]
    lines = ((say("estimate-series"), chosen.estimate), (say("used-series"), "x_use"))
    series = [_line(words, scope[what], depths) for words, what in lines if what and what in scope.values]
    if "x_r" in scope.values:
        series.append(Series(say("reading-series"), tuple(scope["x_r"].array.tolist()), tuple(depths), points=True))
    label = f"{symbol_text(name)} {chosen.value.test}"
    return Panel(label, symbol(name).unit_text, tuple(series))


def _line(words: str, value: Value, depths: Sequence[float]) -> Series:
    """A line over the depths tested: of one number between the first and the last, of a number a depth along them."""
    if not value.axes:
        ends = (min(depths), max(depths))
        return Series(words, (float(value.array),) * len(ends), ends)
    points = sorted(zip(depths, value.array.tolist(), strict=True))
    return Series(words, tuple(x for _, x in points), tuple(z for z, _ in points))


def _plots(plotted: dict[str, list[Reading]]) -> Iterator[Panel]:
    """What the file has of permeability and organic content."""
    for test, label, unit in (("permeability", "log₁₀ k", say("k-unit")), ("organic", say("organic-panel"), "%")):
        points = [(reading.first.values, reading.first.depth) for reading in plotted[test]]
        numbers = [log10(v["k"] / SECONDS) if test == "permeability" else 100 * v["organic"] for v, _ in points]
        if points:
            yield Panel(label, unit, (Series("", tuple(numbers), tuple(z for _, z in points), points=True),),
                        from_zero=test != "permeability")  # fmt: skip
