"""The built-in partial factors against the tables that they come from."""

import math

import pytest

from calc.factors import BUILT_IN, FACTOR_NAMES

# EN 1997-1:2004 + A1:2013, Annex A, recommended values for the limit states STR and GEO, typed here apart from the
# program. Table A.3 (actions), Table A.4 (soil parameters), Table A.14 (resistance of slopes and overall stability).
TABLE_A_3 = {
    "A1": {"gamma_G": 1.35, "gamma_G_fav": 1.0, "gamma_Q": 1.5},
    "A2": {"gamma_G": 1.0, "gamma_G_fav": 1.0, "gamma_Q": 1.3},
}
TABLE_A_4 = {
    "M1": {"gamma_phi": 1.0, "gamma_c": 1.0, "gamma_cu": 1.0, "gamma_gamma": 1.0},
    "M2": {"gamma_phi": 1.25, "gamma_c": 1.25, "gamma_cu": 1.4, "gamma_gamma": 1.0},
}
TABLE_A_14 = {"R1": {"gamma_R_e": 1.0}, "R2": {"gamma_R_e": 1.1}, "R3": {"gamma_R_e": 1.0}}
# Table A.5 (spread foundations): typed from memory, as the program says of its own values.
TABLE_A_5 = {
    "R1": {"gamma_R_v": 1.0, "gamma_R_h": 1.0},
    "R2": {"gamma_R_v": 1.4, "gamma_R_h": 1.1},
    "R3": {"gamma_R_v": 1.0, "gamma_R_h": 1.0},
}
APPROACHES = [
    ("EN 1997-1 DA1-1", "effect", "A1", "M1", "R1"),
    ("EN 1997-1 DA1-2", "material", "A2", "M2", "R1"),
    ("EN 1997-1 DA2", "effect", "A1", "M1", "R2"),
    ("EN 1997-1 DA3", "material", "A2", "M2", "R3"),
]


@pytest.mark.parametrize(("key", "kind", "actions", "soil", "resistance"), APPROACHES)
@pytest.mark.parametrize("situation", ["persistent", "transient"])
def test_factors_matches_en_1997_1_annex_a(
    key: str, kind: str, actions: str, soil: str, resistance: str, situation: str
) -> None:
    """Printed digits are exact: no tolerance. DA3: set A2, the one for geotechnical actions."""
    table = TABLE_A_3[actions] | TABLE_A_4[soil] | TABLE_A_14[resistance] | TABLE_A_5[resistance]
    factors = BUILT_IN[key].at(situation)

    assert BUILT_IN[key].kind == kind
    assert {name: getattr(factors, name) for name in FACTOR_NAMES} == table


# DIN 1054:2010, design situations P, T, A: typed from memory, no source read.
DIN = [
    (
        "DIN 1054:2010 GEO-2",
        {"gamma_G": (1.35, 1.20, 1.10), "gamma_Q": (1.50, 1.30, 1.10), "gamma_phi": (1.0, 1.0, 1.0)},
    ),
    (
        "DIN 1054:2010 GEO-3",
        {
            "gamma_G": (1.0, 1.0, 1.0),
            "gamma_Q": (1.30, 1.20, 1.00),
            "gamma_phi": (1.25, 1.15, 1.10),
            "gamma_c": (1.25, 1.15, 1.10),
            "gamma_cu": (1.25, 1.15, 1.10),
        },
    ),
]


@pytest.mark.parametrize(("key", "table"), DIN)
def test_factors_reproduces_din_1054_from_memory(key: str, table: dict[str, tuple[float, float, float]]) -> None:
    factor_set = BUILT_IN[key]

    for name, values in table.items():
        situations = ("persistent", "transient", "accidental")
        assert tuple(getattr(factor_set.at(situation), name) for situation in situations) == values


@pytest.mark.parametrize("key", [row[0] for row in APPROACHES])
def test_accidental_situations_of_en_1997_1_have_factors_of_one_and_say_that_this_is_from_memory(key: str) -> None:
    """EN 1997-1, 2.4.7.1(3): from memory."""
    factor_set = BUILT_IN[key]

    assert {getattr(factor_set.accidental, name) for name in FACTOR_NAMES} == {1.0}
    assert {factor_set.evidence_for("accidental", name) for name in FACTOR_NAMES} == {"not inspected"}


@pytest.mark.parametrize("key", BUILT_IN)
def test_what_was_not_read_in_the_source_is_marked(key: str) -> None:
    factor_set = BUILT_IN[key]
    memory = {name for name in FACTOR_NAMES if factor_set.evidence_for("persistent", name) == "not inspected"}

    assert memory == (set(FACTOR_NAMES) if key.startswith("DIN") else set())
    if not key.startswith("DIN"):
        confirmed = {name for name in FACTOR_NAMES if factor_set.evidence_for("persistent", name) == "confirmed"}
        assert confirmed == {"gamma_R_v", "gamma_R_h"}
    assert factor_set.key == key
    assert factor_set.source


def test_sets_of_en_1997_1_say_that_the_national_annex_prevails() -> None:
    assert all("national annex of the country prevails" in BUILT_IN[row[0]].note for row in APPROACHES)


@pytest.mark.parametrize("key", BUILT_IN)
def test_no_factor_favours_the_unsafe_side_and_accidental_ones_are_no_stricter(key: str) -> None:
    factor_set = BUILT_IN[key]

    for name in FACTOR_NAMES:
        values = [getattr(factor_set.at(situation), name) for situation in ("persistent", "transient", "accidental")]
        assert all(math.isfinite(value) and value >= 1 for value in values)
        assert values == sorted(values, reverse=True)
