"""The extruding wedge over two grids of columns against bounds of plane-strain limit analysis."""

from types import SimpleNamespace

import pytest

from tests.limit_analysis.cases import ground_of
from tests.limit_analysis.extrusion import Fineness, body
from tests.limit_analysis.grids import extruded_at_crest_edge, extruded_outward, extruded_over_grids
from tests.limit_analysis.lower import lower_bound
from tests.limit_analysis.tables import extruded_at
from tests.limit_analysis.upper import upper_bound
from tests.references.reader import rows

ROWS = rows("limit_grids")
AGAIN = "dense to the toe and 1 m inside"
STEEP = "wide below a steep other slope"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_wedge_over_two_grids_lies_below_the_upper_bound_and_hardly_above_the_lower(row: SimpleNamespace) -> None:
    """As over one grid: never above the one, at most 4.1 % above the other."""
    p = extruded_over_grids(ground_of(row))

    assert row.lower < row.upper
    assert p <= row.upper
    assert p <= 1.042 * row.lower
    assert p >= 0.55 * row.upper


def test_an_inner_plane_at_the_crest_edge_alone_exceeds_what_a_mechanism_needs() -> None:
    """Where a dense grid ends just inward of the crest edge: the wide grid behind it pushes more."""
    ratios = [extruded_at_crest_edge(ground_of(row)) / row.upper for row in ROWS]

    assert max(ratios) > 1.15


def test_with_two_slopes_one_side_alone_is_no_proof() -> None:
    """A wedge with less fill over its inner plane is safe because the other side is verified as well."""
    row = next(row for row in ROWS if row.name == STEEP)

    assert extruded_outward(ground_of(row)) > 1.1 * row.upper


@pytest.mark.parametrize("ratio", [0.12, 0.2])
def test_two_grids_that_are_one_are_extruded_as_one(ratio: float) -> None:
    """The border of a grid with itself changes nothing: the plane at the crest edge governs."""
    row = next(row for row in ROWS if row.name == AGAIN)
    ground = ground_of(SimpleNamespace(**{**vars(row), "a": ratio, "a_in": ratio}))

    assert extruded_over_grids(ground) == pytest.approx(extruded_at(ground), rel=1e-6)


@pytest.mark.slow
def test_bounds_computed_again_on_a_coarser_mesh_lie_near_the_stored_ones() -> None:
    """Five rows for eight."""
    row = next(row for row in ROWS if row.name == AGAIN)
    made = body(ground_of(row), Fineness(rows=5))

    assert 0.95 * row.lower < lower_bound(made) < 1.005 * row.lower
    assert 0.995 * row.upper < upper_bound(made) < 1.03 * row.upper
