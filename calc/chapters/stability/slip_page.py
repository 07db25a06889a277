"""What the package shows of a slip search: the critical circle to scale, its slices, every stage and method."""

from collections.abc import Mapping, Sequence
from math import degrees

from calc.chapters.shared.earthquake import shaken_stages
from calc.chapters.stability.slip_cases import Searched, WithinFill
from calc.chapters.stability.slip_sketch_page import contour_sketch, slip_sketch
from calc.engine.levels import above
from calc.engine.sheet import Page, Scope, Sheet, Table, TableColumn, label_words, number_text
from calc.engine.typeset import set_amount
from calc.engine.words import words_of
from calc.inputs import Section
from calc.procedures.slip import Circle, Result
from calc.procedures.stage_search import FORM, Found

say = words_of(__name__)

METHODS = (
    ("F_Bi", "Bishop"),
    ("F_Sp", "Spencer"),
    ("F_MP", "Morgenstern–Price"),
    ("F_OM", say("ordinary")),
    ("F_B0", say("bishop-without-reinforcement")),
    ("F_av", say("averaged-strength")),
)
FORMS = {
    "A": say("forms"),
    "B": say("forms-2"),
}
SLICE_COLUMNS = (
    ("x", "m", 2), ("b", "m", 3), (say("y-top"), "m", 2), (say("y-base"), "m", 2), ("α", "°", 2), ("W", "kN/m", 2),
    ("u", "kN/m²", 2), ("c", "kN/m²", 2), ("φ", "°", 2), ("mα", "", 4), ("N", "kN/m", 2), ("S", "kN/m", 2),
    ("κ", "", 3),
)  # fmt: skip
INERTIA = ("H", "kN/m", 2)


def critical_surface(of: Page, columns: Sheet, section: Section, states: Sequence[Searched]) -> None:
    """Surface and slices of the state that is utilised most, at its governing case; the others have tables."""
    worst = max(states, key=lambda state: state.utilisation)
    scope, case = worst.scope, of.case(worst.scope.name)
    place = _place_of(of, case)
    result, words = _surface_at(of, worst.answers, case)
    of.figures.append(slip_sketch(columns, section, case, scope, result, (scope.title, words)))
    if result.contours is not None:
        of.figures.append(contour_sketch(scope, result, result.contours, words))
    shaken = case["stage"] in shaken_stages(section, of.sheet.axes["stage"])
    of.tables.append(_slices(scope, result, worst.kappa(*place), words, section.ground_level, shaken=shaken))


def other_circles(
    of: Page, columns: Sheet, section: Section, states: Sequence[Searched], within: WithinFill | None
) -> None:
    """The worst circle drained where the worst of all is undrained, or the other way, and the one within the fill."""
    worst = max(states, key=lambda state: state.utilisation)
    others = [state for state in states if ("_drained" in state.scope.name) != ("_drained" in worst.scope.name)]
    other = max(others, key=lambda state: state.utilisation, default=None)
    shown: list[tuple[str, Scope, Found, Mapping[str, str]]] = []
    if other is not None:
        shown.append((other.scope.title, other.scope, other.answers, of.case(other.scope.name)))
    if within is not None:
        shown.append((within.title, within.scope, within.answers, within.case))
    for title, scope, answers, case in shown:
        result, words = _surface_at(of, answers, case)
        of.figures.append(slip_sketch(columns, section, case, scope, result, (title, words)))


def _place_of(of: Page, case: Mapping[str, str]) -> tuple[int, int]:
    """Where a case stands over (factor set, stage)."""
    return of.sheet.axes["factor_set"].index(case["factor_set"]), of.sheet.axes["stage"].index(case["stage"])


def _surface_at(of: Page, answers: Found, case: Mapping[str, str]) -> tuple[Result, str]:
    """The surface of a case, and the case in words."""
    factor_set, stage = _place_of(of, case)
    result = answers.results[factor_set][stage]
    assert result is not None  # noqa: S101 - the governing case has a surface
    return result, f"{case['factor_set']}, {label_words('stage', case['stage'])}"


def methods_table(sheet: Sheet, scope: Scope) -> Table:
    """Over-design factor of every stage and factor set by every method."""
    head = [
        TableColumn(words=say("stage")), TableColumn(words=say("factor-set")), TableColumn(symbol="gamma_Re"),
        *(TableColumn(words=words) for _, words in METHODS), TableColumn(symbol="T_av"),
    ]  # fmt: skip
    rows = []
    for stage in sheet.axes["stage"]:
        for factor_set in sheet.axes["factor_set"]:
            case = {"stage": stage, "factor_set": factor_set}
            numbers = [scope[name].number(case) for name, _ in METHODS]
            if numbers[0] is None:
                continue
            required = sheet["gamma_Re"].number(case) or 0.0
            cells = ["–" if number is None else number_text(number, 3) for number in numbers]
            tension = number_text(scope["T_av"].number(case) or 0.0, 1)
            rows.append([stage, factor_set, number_text(required, 2), *cells, tension])
    note = say("methods-table-note", forms=FORMS[FORM])
    return Table(f"{scope.name}-methods", say("table-methods-title", scope_title=scope.title), head, rows, note)


def _slices(
    scope: Scope, result: Result, kappa: Mapping[int, float], words: str, ground: float, *, shaken: bool
) -> Table:  # fmt: skip
    """The slices of the critical circle; a slice among the columns has a part of soil and a part of column.

    A base above the ground lies in fill.
    """
    t, columns = result.table, (*SLICE_COLUMNS, *([INERTIA] if shaken else []))
    head = [TableColumn(words=say("slice")), TableColumn(words=say("part"))]
    head += [TableColumn(words=name, unit=unit) for name, unit, _ in columns]
    rows = []
    for k in range(len(t.index)):
        values = (
            t.x[k], t.b[k], t.y_top[k], t.y_base[k], degrees(t.alpha[k]), t.W[k], t.u[k], t.c[k], degrees(t.phi[k]),
            t.m_alpha[k], t.N[k], t.S[k], kappa.get(k), *([t.H[k]] if shaken else []),
        )  # fmt: skip
        cells = [
            "–" if value is None else number_text(float(value), places)
            for value, (_, _, places) in zip(values, columns, strict=True)
        ]
        part = say("fill") if above(float(t.y_base[k]), ground) else t.part[k]
        rows.append([str(int(t.index[k]) + 1), part, *cells])
    forces = "; ".join(
        say(
            "slices-forces",
            one_name=force.name,
            force=number_text(force.force, 1),
            level=number_text(force.level, 2),
            governs=force.governs,
        )
        for force in result.forces
    )
    note = say("slices-note", words=words, line_words=_line_words(result), factor=number_text(result.factor, 4)) + (
        say("reinforcement", form=FORMS[FORM], forces=forces) if forces else ""
    )
    note += say("slices-sleeve") if any(value > 1 for value in kappa.values()) else ""
    note += say("slices-inertia", k_v=number_text(result.k_v, 4)) if shaken else ""
    kind = say("circle") if isinstance(result.surface, Circle) else say("translational-mechanism")
    return Table(
        f"{scope.name}-slices", say("table-slices-title", kind=kind, scope_title=scope.title), head, rows, note
    )


def _coordinate(coordinate: float) -> str:
    return set_amount(number_text(coordinate, 2))


def _line_words(result: Result) -> str:
    """Where the slip line lies, and what a block is in equilibrium with."""
    if isinstance(result.surface, Circle):
        x, y = result.centre
        return say("line-words-2", x=_coordinate(x), y=_coordinate(y), r=_coordinate(result.surface.r))
    # A block that is a point or a line has corners which coincide.
    places = dict.fromkeys(f"({_coordinate(x)}, {_coordinate(y)})" for x, y in result.surface.points)
    corners = ", ".join(places)
    return say(
        "line-words",
        corners=corners,
        resisting=number_text(result.resisting, 1),
        driving=number_text(result.driving, 1),
        ratio=number_text(result.factor / result.f_0, 4),
        f_0=number_text(result.f_0, 4),
    )
