"""The plan as built: columns at their places with symbols that need no colour, and the progress of the days."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.engine.words import words_of
from calc.package.axes import GRID, Scale, round_range, tick_text
from calc.package.canvas import INK, QUIET, Canvas, Pen, Place
from calc.package.shown import status_of
from calc.site.installed.as_built import Extra
from calc.site.installed.installed_run import Installation
from calc.site.installed.progress_forecast import ProgressOfWork
from calc.site.plan.column_layout import Array
from calc.site.plan.plan_drawing import Drawn
from calc.site.plan.plan_pens import BOLD, SMALL, TEXT, THIN
from calc.site.plan.sheet_cuts import FIELD, ID_SIZE, Cut
from calc.site.plan.write_plan import sheets_of

say = words_of(__name__)

CONFORMS, FAILS, MISSING, OPEN = "open", "full", "gone", "quiet"
SHADES = (INK, "#8f8f8a", "#d4d2cb", "#ffffff")
CHART = (380.0, 92.0)  # mm
MOST_DAYS = 60


@dataclass(frozen=True)
class DrawnAsBuilt(Drawn):
    """The sheets with the state of every column instead of its zone."""

    states: Sequence[str] = ()
    letters: Sequence[str] = ()
    """Of the items that a column does not conform in; nothing where it conforms."""
    shown: Sequence[Cut] = ()
    """The sheets of the plan that have something to show."""
    easting: Array | None = None
    northing: Array | None = None
    extras: Sequence[Extra] = ()

    @property
    def title(self) -> str:
        """What the sheets are."""
        return say("title")

    @property
    def caution(self) -> str:
        """What the drawing does not decide."""
        return say("caution")

    @property
    def places(self) -> tuple[Array, Array]:
        """Places as built; of the plan where there is none, or one too far away to be shown."""
        laid = self.layout.columns
        return (laid.easting if self.easting is None else self.easting,
                laid.northing if self.northing is None else self.northing)  # fmt: skip

    def symbol(self, k: int) -> str:
        """The symbol of the state."""
        return self.states[k]

    def label(self, k: int) -> str:
        """The id of some columns, and of every one that is missing or does not conform."""
        return self.columns[k].id if self.states[k] in {FAILS, MISSING} else super().label(k)

    def key(self, shown: Sequence[int]) -> list[tuple[str, str]]:
        """The states."""
        own = {self.states[k] for k in shown}
        return [(state, say(f"state-{state}")) for state in (CONFORMS, FAILS, MISSING, OPEN) if state in own]

    def more(self, cut: Cut, canvas: Canvas, drawn: Sequence[tuple[int, Place]]) -> None:
        """Letters of the items below the ids; places where another column could stand: a dashed square with a cross."""
        for column, at in drawn:
            if letters := self.letters[column]:
                low = at[1] + 500 * self.columns[column].diameter / cut.scale + ID_SIZE + SMALL
                canvas.text((at[0], low), letters, size=SMALL, anchor="middle", bold=True)
        if not self.extras:
            return
        x, y = cut.on_paper(
            np.array([extra.easting for extra in self.extras]), np.array([extra.northing for extra in self.extras])
        )
        inside = (x > FIELD[0] + 4) & (x < FIELD[2] - 4) & (y > FIELD[1] + 4) & (y < FIELD[3] - 4)
        size = 500 * self.columns[0].diameter / cut.scale
        for k in np.flatnonzero(inside):
            a, b = float(x[k]), float(y[k])
            box = [
                (a - size, b - size),
                (a + size, b - size),
                (a + size, b + size),
                (a - size, b + size),
                (a - size, b - size),
            ]
            canvas.line(box, Pen(0.3, INK, "1 0.7"))
            canvas.line([(a - size, b), (a + size, b)], THIN)
            canvas.line([(a, b - size), (a, b + size)], THIN)
            canvas.text((a, b - size - 0.6), say("extra", number=int(k) + 1), size=SMALL, anchor="middle", bold=True)


def drawn_as_built(installation: Installation) -> DrawnAsBuilt:
    """What the sheets are drawn from."""
    compared, made = installation.compared, installation.compared.made
    letters: dict[str, dict[str, None]] = {}
    for finding in installation.findings:
        letters.setdefault(finding.id, {})[say(f"letter-{finding.item}")] = None
    states, items = [], []
    for k, name in enumerate(compared.ids):
        fails = name in letters and bool(compared.has[k])
        states.append(FAILS if fails else CONFORMS if compared.has[k] else MISSING if compared.missing[k] else OPEN)
        items.append("".join(letters[name]) if fails else "")
    laid, astray = made.layout.columns, set(installation.built.astray)
    e, n = compared.number("easting"), compared.number("northing")
    away = np.hypot(e - laid.easting, n - laid.northing)
    there = np.nan_to_num(away, nan=np.inf) <= laid.spacing / 2
    there &= np.array([name not in astray for name in compared.ids], dtype=bool)
    cuts, every = sheets_of(made)
    shown = [cut for cut in cuts if (cut.shows(laid) & (compared.has | compared.missing)).any()]
    extras = [extra for grid in installation.built.grids for extra in grid.extras]
    return DrawnAsBuilt(
        made.plan, made.layout, made.elements, made.columns, made.listed, cuts, every, states, items, shown or cuts,
        np.where(there, e, laid.easting), np.where(there, n, laid.northing), extras, outcome=made.outcome,
        status=status_of(installation.design.project),
    )  # fmt: skip


def progress_chart(work: ProgressOfWork) -> Canvas:
    """Columns of every day, of the last days where there are many, each rig in its shade."""
    canvas = Canvas(*CHART)
    days = list(work.counts)[-MOST_DAYS:]
    left, bottom, top = 14.0, CHART[1] - 12.0, 12.0
    most = max((sum(work.counts[day].values()) for day in days), default=1)
    step = min((CHART[0] - left - 4) / max(len(days), 1), 14.0)
    up = Scale(*round_range([0.0, float(most)], 4), bottom, top)
    right = left + max(len(days), 1) * step
    for value in up.ticks(5):
        canvas.line([(left, up(value)), (right, up(value))], GRID)
        canvas.text((left - 1.2, up(value) + 0.7), tick_text(value), size=SMALL, anchor="end")
    canvas.text((4.0, (top + bottom) / 2), say("columns-a-day"), size=SMALL, anchor="middle", turned=True)
    for k, day in enumerate(days):
        x, y = left + k * step, bottom
        for number, rig in enumerate(work.rigs):
            height = bottom - up(float(work.counts[day].get(rig, 0)))
            box = [(x + 0.6, y), (x + step - 0.6, y), (x + step - 0.6, y - height), (x + 0.6, y - height)]
            canvas.area(box, SHADES[number % len(SHADES)])
            canvas.line([*box, box[0]], THIN)
            y -= height
        canvas.text(
            (x + step / 2, y - 0.8), str(sum(work.counts[day].values())), size=SMALL, anchor="middle", backed=True
        )
        if step >= 10 or k % 2 == 0:
            canvas.text((x + step / 2, bottom + 3.2), f"{day:%m-%d}", size=SMALL, anchor="middle", colour=QUIET)
    canvas.line([(left, bottom), (right, bottom)], BOLD)
    x = left
    for number, rig in enumerate(work.rigs):
        box = [(x, 3.0), (x + 4, 3.0), (x + 4, 6.0), (x, 6.0)]
        canvas.area(box, SHADES[number % len(SHADES)])
        canvas.line([*box, box[0]], THIN)
        canvas.text((x + 5.5, 5.6), rig[:24], size=TEXT)
        x += 40
    return canvas
