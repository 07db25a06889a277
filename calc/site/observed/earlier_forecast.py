"""What the readings before a day gave: the forecast and the degree of consolidation that were known then."""

from dataclasses import replace

from calc.procedures.observation import FEWEST
from calc.site.observed.course_grid import grid_of
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.series import Series
from calc.site.observed.settlement_analysis import BEFORE, Forecast, analyse
from calc.site.observed.works_dates import FRESH


def degree_before(course: DesignCourse, series: Series, day: float) -> float | None:
    """Lower end of the degree by settlement that the readings before a day gave of the load placed by then.

    None where they supported none, or the last of them was old by that day.
    """
    forecast = forecast_before(course, series, day)
    return None if forecast is None else float(forecast.scope["U_osl"].array)


def forecast_before(course: DesignCourse, series: Series, day: float) -> Forecast | None:
    """The forecast that the readings before a day gave, with the lines of the degree; None as above."""
    early = series.chosen(series.days < day - BEFORE)
    if early.used.days.size < FEWEST or early.used.days[-1] < day - FRESH:
        return None
    then = replace(course, last=float(early.used.days[-1]))
    made = analyse(then, grid_of(then, then.at(series.offset), early.used.days.tolist()), early)
    return None if made.reasons else made.forecast
