"""The partial and reduction factors that no set holds: of geosynthetics, uplift, plug, rig and dynamic load."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from calc.engine.sheet import Table, TableColumn
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.sleeve import Factor, ReinforcementLayer, Sleeve

say = words_of(__name__)

Given = tuple[str, float | None, str]  # what a factor is on, its value, where it comes from
STRENGTH = {
    "A1": say("creep"), "A2": say("damage"), "A3": say("joints"), "A4": say("environment"), "A5": say("dynamic"),
}  # fmt: skip
ISO = {
    "RF_CR": say("creep-rupture"), "RF_ID": say("installation"), "RF_W": say("weathering"), "RF_CH": say("chemical"),
    "R1": say("creep-extrapolated"), "R2": say("ageing-extrapolated"),
}  # fmt: skip
GAMMA = {
    "persistent": say("persistent"), "transient": say("transient"), "accidental": say("accidental"),
    "seismic": say("seismic"),
}  # fmt: skip
ENDS = {"f_po": say("pull-out"), "f_ms": say("friction"), "f_n": say("consequences")}
UPLIFT = {
    "gamma_dst": say("destabilising"), "gamma_stb": say("stabilising"), "gamma_Q_dst": say("rise"),
    "gamma_S_dst": say("seepage"), "gamma_S_stb": say("submerged"),
}  # fmt: skip
PLUG = {"gamma_dst": say("destabilising"), "gamma_stb": say("stabilising"), "gamma_shear": say("shear")}
RIG = {
    "standing": say("standing"), "extracting": say("extracting"), "standing_low": say("standing-low"),
    "extracting_low": say("extracting-low"),
}  # fmt: skip


def other_factors(section: Section) -> Table:
    """A row for each thing that they apply to; what has the same ones stands in one row."""
    alike: dict[str, list[str]] = {}
    for name, factors in _owners(section):
        alike.setdefault(_text([factor for factor in factors if factor[1] is not None]), []).append(name)
    rows = [["; ".join(dict.fromkeys(names)), text] for text, names in alike.items()]
    head = [TableColumn(words=say("of")), TableColumn(words=say("factors"))]
    return Table("other-factors", say("title"), head, rows)


def _text(factors: Sequence[Given]) -> str:
    """Factors in words, those of one source together before it."""
    return "; ".join(
        f"{', '.join(f'{words} {value:g}' for words, value, _ in group)} ({source.rstrip('.')})"
        for source, group in groupby(factors, key=lambda factor: factor[2])
    )


def _owners(section: Section) -> Iterator[tuple[str, list[Given]]]:
    members: tuple[Sleeve | ReinforcementLayer, ...] = (section.sleeve, *section.reinforcement)
    for member in members:
        yield member.name, [*_strength(member), *_ends(member)]
    if section.plug and section.plug.needed:
        plug = section.plug
        yield say("plug"), [(words, getattr(plug, name), plug.source or "") for name, words in PLUG.items()]
    if section.uplift:
        uplift, casing = section.uplift, section.uplift.casing
        yield say("uplift"), [(words, getattr(uplift, name), uplift.source) for name, words in UPLIFT.items()]
        if casing and casing.gamma_cu is not None:
            yield say("casing"), [(say("adhesion"), casing.gamma_cu, casing.source)]
    if section.platform and section.platform.rig:
        rig = section.platform.rig.factors
        yield say("rig"), [(words, getattr(rig, name), rig.source) for name, words in RIG.items()]
    if section.traffic and section.traffic.dynamic:
        yield say("strips"), [(say("at-level"), section.traffic.dynamic.factor, section.traffic.dynamic.source)]


def _strength(member: Sleeve | ReinforcementLayer) -> Iterator[Given]:
    yield from ((words, getattr(member.gamma_M, name), member.gamma_M.source) for name, words in GAMMA.items())
    for table, names in ((member.factors, STRENGTH), (member.iso20432, ISO)):
        yield from _factors_with_source(table, names) if table else ()


def _ends(member: Sleeve | ReinforcementLayer) -> Iterator[Given]:
    """Factors of the anchorage and of laps."""
    for table in () if isinstance(member, Sleeve) else (member.anchorage, member.overlap):
        yield from _factors_with_source(table, ENDS) if table else ()


def _factors_with_source(table: object, names: dict[str, str]) -> Iterator[Given]:
    for name, words in names.items():
        factor: Factor | None = getattr(table, name, None)
        if factor is not None:
            yield words, factor.value, factor.source
