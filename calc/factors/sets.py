"""Sets of partial factors by design situation, built in or given in the project file."""

from dataclasses import dataclass, fields, replace
from typing import Any, Literal

Kind = Literal["effect", "material"]
Evidence = Literal["inspected", "confirmed", "not inspected", "given"]

NATIONAL_ANNEX = "Recommended values; the national annex of the country prevails."


@dataclass(frozen=True, slots=True)
class Factors:
    """Partial factors of one design situation, all dimensionless.

    gamma_G, gamma_G_fav: permanent actions or their effects, unfavourable and favourable; gamma_Q: variable ones,
    unfavourable (favourable ones are left out); gamma_phi on tan φ′; gamma_c; gamma_cu; gamma_gamma on unit weights;
    gamma_R_e: resistance of slopes and overall stability; gamma_R_v: bearing; gamma_R_h: sliding.
    `not_inspected` names the entries that were not seen in the source, `confirmed` those seen in another of its tables.
    """

    gamma_G: float
    gamma_Q: float
    gamma_G_fav: float
    gamma_phi: float
    gamma_c: float
    gamma_cu: float
    gamma_gamma: float
    gamma_R_e: float
    gamma_R_v: float
    gamma_R_h: float
    not_inspected: frozenset[str] = frozenset()
    confirmed: frozenset[str] = frozenset()


FACTOR_NAMES = tuple(field.name for field in fields(Factors) if field.name.startswith("gamma"))


@dataclass(frozen=True, slots=True)
class FactorSet:
    """A set of partial factors: `kind` says whether it factors effects of actions or strengths of materials."""

    key: str
    title: str
    kind: Kind
    persistent: Factors
    transient: Factors
    accidental: Factors
    source: str
    evidence: Evidence
    note: str
    seismic: Factors | None = None  # those that a section gives for its earthquake

    def at(self, situation: str) -> Factors:
        """Give the factors of "persistent", "transient", "accidental" or, where they are given, "seismic"."""
        known = {"persistent": self.persistent, "transient": self.transient, "accidental": self.accidental}
        return known[situation] if self.seismic is None else (known | {"seismic": self.seismic})[situation]

    def evidence_for(self, situation: str, name: str) -> Evidence:
        """How one factor is known: as its set, unless this entry was not inspected or confirmed elsewhere only."""
        if situation == "seismic":
            return "given"
        factors = self.at(situation)
        if name in factors.not_inspected:
            return "not inspected"
        return "confirmed" if name in factors.confirmed else self.evidence


EN_SOURCE = "EN 1997-1:2004 + A1:2013, Annex A, Tables A.3, A.4 and A.14"
DIN_SOURCE = "DIN 1054:2010, partial factors for the design situations P, T and A"
_ALL = frozenset(FACTOR_NAMES)
_ONE = Factors(1, 1, 1, 1, 1, 1, 1, 1, 1, 1, _ALL)

# Rows of the tables. A.3 (actions): A1, A2; A.4 (soil): M1, M2; A.14 (slopes): R1, R2, R3.
_A1 = {"gamma_G": 1.35, "gamma_G_fav": 1.0, "gamma_Q": 1.5}
_A2 = {"gamma_G": 1.0, "gamma_G_fav": 1.0, "gamma_Q": 1.3}
_M1 = {"gamma_phi": 1.0, "gamma_c": 1.0, "gamma_cu": 1.0, "gamma_gamma": 1.0}
_M2 = {"gamma_phi": 1.25, "gamma_c": 1.25, "gamma_cu": 1.4, "gamma_gamma": 1.0}
# Bearing and sliding: Table A.5, which was not inspected; Table A.13 (retaining structures) has the same values.
_R1 = {"gamma_R_e": 1.0, "gamma_R_v": 1.0, "gamma_R_h": 1.0}
_R2 = {"gamma_R_e": 1.1, "gamma_R_v": 1.4, "gamma_R_h": 1.1}
_R3 = {"gamma_R_e": 1.0, "gamma_R_v": 1.0, "gamma_R_h": 1.0}


def _en(approach: str, kind: Kind, rows: tuple[dict[str, float], ...], note: str) -> FactorSet:
    entries: dict[str, Any] = {name: value for row in rows for name, value in row.items()}
    factors = Factors(**entries, confirmed=frozenset({"gamma_R_v", "gamma_R_h"}))
    return FactorSet(
        key=f"EN 1997-1 {approach}",
        title=f"EN 1997-1, {note}",
        kind=kind,
        persistent=factors,
        transient=factors,
        accidental=_ONE,
        source=f"{EN_SOURCE}; bearing and sliding: Table A.5, values as in A.13; accidental situations: 2.4.7.1(3)",
        evidence="inspected",
        note=f"{NATIONAL_ANNEX} Accidental situations: 1.0 for actions as 2.4.7.1(3) says (not inspected); 1.0 for "
        "strengths and resistances is this project's reading and must be confirmed.",
    )


_GEO2 = Factors(
    gamma_G=1.35,
    gamma_Q=1.5,
    gamma_G_fav=1.0,
    gamma_phi=1.0,
    gamma_c=1.0,
    gamma_cu=1.0,
    gamma_gamma=1.0,
    gamma_R_e=1.0,
    gamma_R_v=1.4,
    gamma_R_h=1.1,
    not_inspected=_ALL,
)
_GEO3 = replace(
    _GEO2, gamma_G=1.0, gamma_Q=1.3, gamma_phi=1.25, gamma_c=1.25, gamma_cu=1.25, gamma_R_v=1.0, gamma_R_h=1.0
)


def _din(state: str, kind: Kind, situations: tuple[Factors, Factors, Factors], note: str) -> FactorSet:
    persistent, transient, accidental = situations
    return FactorSet(
        key=f"DIN 1054:2010 {state}",
        title=f"DIN 1054:2010, {state}",
        kind=kind,
        persistent=persistent,
        transient=transient,
        accidental=accidental,
        source=DIN_SOURCE,
        evidence="not inspected",
        note=f"Values not inspected, to be compared with the standard before use. {note}",
    )


_SETS = (
    _en("DA1-1", "effect", (_A1, _M1, _R1), "design approach 1, combination 1 (A1 + M1 + R1)"),
    _en("DA1-2", "material", (_A2, _M2, _R1), "design approach 1, combination 2 (A2 + M2 + R1)"),
    _en("DA2", "effect", (_A1, _M1, _R2), "design approach 2 (A1 + M1 + R2)"),
    _en("DA3", "material", (_A2, _M2, _R3), "design approach 3, geotechnical actions (A2 + M2 + R3)"),
    _din(
        "GEO-2",
        "effect",
        (
            _GEO2,
            replace(_GEO2, gamma_G=1.2, gamma_Q=1.3, gamma_R_v=1.3),
            replace(_GEO2, gamma_G=1.1, gamma_Q=1.1, gamma_R_v=1.2),
        ),
        "Overall stability is verified with GEO-3.",
    ),
    _din(
        "GEO-3",
        "material",
        (
            _GEO3,
            replace(_GEO3, gamma_Q=1.2, gamma_phi=1.15, gamma_c=1.15, gamma_cu=1.15),
            replace(_GEO3, gamma_Q=1.0, gamma_phi=1.1, gamma_c=1.1, gamma_cu=1.1),
        ),
        "For overall stability; STR and bearing are verified with GEO-2.",
    ),
)
BUILT_IN = {factor_set.key: factor_set for factor_set in _SETS}
"""The sets that the project file may name, by key."""
