"""Columns by day and rig, and when the last one will be."""

import datetime as dt
from collections import Counter
from dataclasses import dataclass
from math import ceil

import numpy as np
from scipy.special import stdtrit

from calc.engine.words import words_of
from calc.formulas.column_records import days_left, rate_range
from calc.site.installed.recorded_columns import Compared
from calc.site.rows.cell_values import EPOCH

say = words_of(__name__)

LONGEST = 36_500.0  # days; no forecast reaches farther


@dataclass(frozen=True)
class Forecast:
    """Days until the last column from the last day of records: expected, early and late (None: no end in sight)."""

    days: int
    rate: float
    scatter: float
    expected: dt.date
    early: dt.date
    late: dt.date | None


@dataclass(frozen=True)
class ProgressOfWork:
    """What was installed: columns by day and rig, how many are left, and the forecast or why there is none."""

    counts: dict[dt.date, Counter[str]]
    rigs: tuple[str, ...]
    left: int
    undated: int
    forecast: Forecast | None = None
    why_not: str = ""


def progress_of(compared: Compared) -> ProgressOfWork:
    """Count columns of the plan by the day of their start, and forecast the end from the last days."""
    counts: dict[dt.date, Counter[str]] = {}
    begun, rigs = compared.begun, compared.texts("rig")
    dated = np.flatnonzero(compared.has & ~np.isnan(begun))
    for k in dated:
        day = (EPOCH + dt.timedelta(days=float(begun[k]))).date()
        counts.setdefault(day, Counter())[rigs[k] or say("no-rig")] += 1
    counts = dict(sorted(counts.items()))
    names = tuple(sorted({rig for of_day in counts.values() for rig in of_day}))
    left = int((~compared.has).sum())
    forecast, why = _forecast(compared, counts, left)
    return ProgressOfWork(counts, names, left, int(compared.has.sum()) - len(dated), forecast, why)


def _forecast(compared: Compared, counts: dict[dt.date, Counter[str]], left: int) -> tuple[Forecast | None, str]:
    asked = compared.installed.forecast_days
    if not left:
        return None, say("none-left")
    if asked is None:
        return None, say("not-asked")
    if not counts:
        return None, say("no-days")
    first, last = min(counts), max(counts)
    if (last - first).days + 1 < asked:
        return None, say("too-few", days=(last - first).days + 1, asked=asked)
    daily = np.array([sum(counts.get(last - dt.timedelta(days=k), Counter()).values()) for k in range(asked)], float)
    rate, scatter = float(daily.mean()), float(daily.std(ddof=1))
    expected = float(days_left(N_o=left, r_b=rate))
    if expected > LONGEST:
        return None, say("too-long")
    half = float(rate_range(t_dr=float(stdtrit(asked - 1, 0.95)), s_rb=scatter, n_b=asked, n_f=expected))
    early = float(days_left(N_o=left, r_b=rate + half))
    late = float(days_left(N_o=left, r_b=rate - half)) if rate > half else LONGEST + 1
    end = _after(last, late) if late <= LONGEST else None
    return Forecast(asked, rate, scatter, _after(last, expected), _after(last, early), end), ""


def _after(last: dt.date, days: float) -> dt.date:
    return last + dt.timedelta(days=ceil(round(days, 9)))
