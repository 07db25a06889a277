"""Citations, stamps and numbers as pages show them."""

import pytest

from calc.package.shown import short_citation


@pytest.mark.parametrize(
    ("citation", "short"),
    [
        ("Terzaghi (1943), Theoretical Soil Mechanics", "Terzaghi (1943)"),
        ("Castro & Sagaseta (2009, 2011), elastic column", "Castro & Sagaseta (2009, 2011)"),
        ("BS 8006-1:2010, 8.3.3", "BS 8006-1:2010"),
        ("rule (of this project, for now), clause 4", "rule (of this project, for now)"),
        ("creep test: report 118/24", "creep test"),
    ],
)
def test_source_in_the_margin_is_cut_outside_brackets(citation: str, short: str) -> None:
    assert short_citation(citation) == short
