"""Charts of the readings of a section: what is expected of, and every instrument by which a level was crossed."""

import numpy as np
import pytest

from calc.package.figures import figure_picture
from calc.site.observed.crossings import crossings
from calc.site.observed.observed_figures import time_charts
from calc.site.observed.observed_run import ObservedSection
from tests.site.invented_plates import analysed, plate
from tests.site.invented_readings import built, series

pytestmark = pytest.mark.slow


def test_every_instrument_by_which_a_level_was_crossed_has_a_chart() -> None:
    """Beside the leading plate another plate, and an inclinometer, of which nothing is expected in time."""
    days = np.arange(0.0, 200.0, 10.0)
    over = series("A", "SP-2", "settlement", days, np.linspace(0.0, 0.38, len(days)))
    leaning = series("A", "IN-1", "lateral displacement", days, -np.linspace(0.0, 0.06, len(days)), offset=14.5)
    calm = [series("A", f"{kind}-3", quantity, days, np.linspace(0.0, 0.01, len(days)))
            for kind, quantity in (("SP", "settlement"), ("IN", "lateral displacement"))]  # fmt: skip
    own, course = (plate("A", 200.0), over, leaning, *calm), built("A", 200)
    found = ObservedSection(course.section, own, course, tuple(crossings(course, own)[0]), (), (analysed(200),))
    first, *others = time_charts(found)
    tracks = {track.title: track for chart in others for track in chart.tracks}

    assert {"SP-2", "IN-1"} <= {one.series.partition("/")[0] for one in found.crossed}
    assert first.title == "Settlement of SP-1 and fill over time"
    assert set(tracks) == {"SP-2", "IN-1"}
    assert (tracks["IN-1"].curves, tracks["IN-1"].band) == ((), None)
    assert tracks["SP-2"].band is not None
    # To the side that the instrument calls negative the magnitude counts as well.
    levels = sorted(level.value for level in tracks["IN-1"].levels)
    assert {level.text for level in tracks["IN-1"].levels} == {"amber 40 mm"}
    assert levels
    assert levels == sorted(-level for level in levels)
    assert all(figure_picture(chart).source for chart in others)


def test_cells_that_crossed_a_ratio_together_have_their_charts() -> None:
    days = np.array([100.0, 150.0])
    cells = [series("A", name, quantity, days, np.full(2, value)) for name, quantity, value in
             (("PC", "pressure on columns", 600.0), ("PS", "pressure on soil", 1.0))]  # fmt: skip
    course = built("A", 200)
    found = ObservedSection(course.section, tuple(cells), course, tuple(crossings(course, cells)[0]))
    (chart,) = time_charts(found)

    assert [track.title for track in chart.tracks] == ["PC", "PS"]
