"""Every kind of figure as one kind of picture."""

from calc.engine.figure import Chart, Figure, Profile, Scene, TimeChart
from calc.package.canvas import Canvas
from calc.package.depth_profiles import draw_chart, draw_profile
from calc.package.equations import Picture
from calc.package.scenes import draw_scene
from calc.package.time_charts import draw_time_chart

PIXELS_PER_MM = 96.0 / 25.4


def figure_picture(figure: Figure) -> Picture:
    """The figure as a picture for an `img` element."""
    canvas = _draw(figure)
    return Picture(canvas.uri(), canvas.width * PIXELS_PER_MM, canvas.height * PIXELS_PER_MM, 0.0, figure.alt)


def _draw(figure: Figure) -> Canvas:
    match figure:
        case Scene():
            return draw_scene(figure)
        case Profile():
            return draw_profile(figure)
        case Chart():
            return draw_chart(figure)
        case TimeChart():
            return draw_time_chart(figure)
