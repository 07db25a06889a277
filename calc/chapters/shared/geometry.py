"""Places of the cross-section at the end of a stage."""

from dataclasses import dataclass

from calc.inputs import Section
from calc.inputs.tables.stages import Stage

BESIDE = 3.0  # width of the ground beside the toe of the slope over the height from the crest to the column toes


@dataclass(frozen=True, slots=True)
class Profile:
    """Places of a cross-section in m: x is 0 on the axis of the crest, y is an elevation."""

    crest: float
    base: float
    ground: float
    left_toe: float
    left_shoulder: float
    right_shoulder: float
    right_toe: float
    left_column: float
    right_column: float
    toes: float
    firm: float

    @property
    def beside(self) -> float:
        """Width of the ground that is looked at beside the toes of the slopes."""
        return BESIDE * (self.crest - self.toes)

    @property
    def sides(self) -> tuple[float, float]:
        """The sides of the model, beyond the columns too."""
        left = min(self.left_toe - self.beside, self.left_column - self.beside / BESIDE)
        return left, max(self.right_toe + self.beside, self.right_column + self.beside / BESIDE)


def profile(section: Section, stage: Stage) -> Profile:
    """The section at the end of a stage; the toes of the slopes stay where the final slopes have them."""
    fill, field = section.embankment, section.column_field
    platform = section.platform.thickness if section.platform else 0.0
    ground, half = section.ground_level, fill.crest_width / 2
    whole, now = fill.height + platform, stage.fill_height + platform
    soft = sum(layer.thickness for layer in section.layers)
    left_toe, right_toe = -half - fill.slope_left * whole, half + fill.slope_right * whole
    left_field = field.beyond_left if field and field.beyond_left is not None else 0.0
    right_field = field.beyond_right if field and field.beyond_right is not None else 0.0
    return Profile(
        ground + now, ground + platform, ground, left_toe, left_toe + fill.slope_left * now,
        right_toe - fill.slope_right * now, right_toe, -half - left_field, half + right_field,
        ground - soft - section.columns.embedment, ground - soft,
    )  # fmt: skip
