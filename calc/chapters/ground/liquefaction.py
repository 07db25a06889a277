"""Screening of the bearing layer for liquefaction by blow counts and cone resistances, in the free field."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from calc.chapters.shared.earthquake import coefficient, shaken_stages
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.heads import has_heads
from calc.engine.formula import Formula
from calc.engine.sheet import Origin, Procedure, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import liquefaction as li
from calc.inputs import Section
from calc.procedures.liquefaction import METHOD, TOLERANCE, Floats, clean_sand

say = words_of(__name__)

KEY = "liquefaction_screening"
ATMOSPHERE = 101.325  # kPa


class Kind(NamedTuple):
    """What a kind of sounding has of its own: field, symbols and formulas."""

    field: str
    measured: str
    unknown: str
    gap: str
    first: tuple[Formula, ...]  # fines of blow counts, which do not rest on what is found
    recomputed: tuple[Formula, ...]  # from what is found; the last one gives it again
    after: tuple[Formula, ...]
    residual: Formula


BLOWS = Kind(
    "N_60", "N_60", "N_cs", "N_gap", (li.increase_of_blows_for_fines,),
    (li.overburden_factor_of_blows, li.clean_sand_blows),
    (li.cyclic_resistance_of_blows, li.largest_scaling_of_blows, li.overburden_coefficient_of_blows), li.gap_of_blows,
)  # fmt: skip
CONE = Kind(
    "q_c", "q_cj", "q_cs", "q_gap", (),
    (li.overburden_exponent_of_cone, li.overburden_factor_of_cone, li.normalised_cone_resistance,
     li.increase_of_cone_for_fines, li.clean_sand_cone),
    (li.cyclic_resistance_of_cone, li.largest_scaling_of_cone, li.overburden_coefficient_of_cone), li.gap_of_cone,
)  # fmt: skip


def liquefaction(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Every reading of each kind; nothing without a screening."""
    screening = section.earthquake and section.earthquake.screening
    if not screening:
        return
    if has_heads(sheet):
        sheet.not_verified(KEY, say("title"), say("heads-why"))
        return
    for kind, words in ((BLOWS, say("blows")), (CONE, say("cone"))):
        places = [k for k, sounding in enumerate(screening.soundings) if getattr(sounding, kind.field) is not None]
        if places:
            _screen(sheet, section, done, kind, places, words)
    sheet.limitation(KEY, say("limitation-screening"), "Boulanger & Idriss (2014) ◦",
                     turns=lambda verdict: verdict.key.startswith(KEY))  # fmt: skip


def _screen(
    sheet: Sheet, section: Section, done: dict[str, Sheet], kind: Kind, places: Sequence[int], words: str
) -> None:  # fmt: skip
    screening = section.earthquake and section.earthquake.screening
    assert screening  # noqa: S101 - asked before
    key, title = f"{KEY}_{kind.field}", f"{say('title')}, {words}"
    soundings = [screening.soundings[k] for k in places]
    sheet.axis(
        "reading", [f"{k + 1} {sounding.location}, {sounding.depth:g} m" for k, sounding in enumerate(soundings)]
    )
    scope = sheet.scope(key, title)
    for name, field in (("z_j", "depth"), (kind.measured, kind.field), ("FC_j", "fines")):
        origins = [origin_of(section, f"earthquake.screening.sounding.{k}.{field}") for k in places]
        scope.given(
            name,
            [getattr(sounding, field) for sounding in soundings],
            ["reading"],
            origin=origins,
            origin_axis="reading",
        )
    given_of_section(scope, "M_eq", section, "earthquake.screening.magnitude", screening.magnitude)
    scope.given("F_lrq", [screening.factor] * len(sheet.axes["stage"]), ["stage"],
                origin=origin_of(section, "earthquake.screening.factor"))  # fmt: skip
    scope.given("p_atm", ATMOSPHERE, origin=Origin("project rule", text=say("rule-atmosphere")))
    scope.given("l_1", 1.0, origin=Origin("project rule", text=say("rule-length")))
    _stresses(scope, section, done)
    _resistance(scope, kind)
    shaken = shaken_stages(section, sheet.axes["stage"])
    calm = np.array([label not in shaken for label in sheet.axes["stage"]])
    required = scope["F_lrq"].without(calm, say("not-shaken"))
    verdict = sheet.verdict(key, title, effect=required, resistance=scope["F_liq"])
    sheet.leads[key] = dict(verdict.case)


def _stresses(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Cyclic stress ratio at the water level of every stage, as if the earthquake met it."""
    sheet = scope.sheet
    for name in ("a_gE", "S_gr"):
        scope.take(name, coefficient(done, name))
    given_of_section(scope, "gamma_br", section, "bearing_layer.gamma_sat", section.bearing_layer.gamma_sat)
    thickness = sum(layer.thickness for layer in section.layers)
    scope.reading("t_soft", thickness, title=say("reading-t-soft-title"),
                  origins=[origin_of(section, f"layer.{layer.key}.thickness") for layer in section.layers])  # fmt: skip
    scope.take("d_w", sheet["d_w"])
    scope(li.free_field_stress, w=sheet["w"])
    for step in (li.effective_stress_at_reading, li.total_stress_at_reading, li.stress_reduction,
                 li.cyclic_stress_ratio_with_reduction, li.cyclic_stress_ratio_without_reduction,
                 li.cyclic_stress_ratio):  # fmt: skip
        scope(step)


def _resistance(scope: Scope, kind: Kind) -> None:
    """The resistance for clean sand by repeated substitution, confirmed through its formulas, and what follows."""
    for step in kind.first:
        scope(step)
    inputs = sorted({name for step in kind.recomputed for name in step.arguments} & scope.values.keys())
    read = scope[kind.measured].array / (scope["p_atm"].array if kind is CONE else 1.0)
    start = np.broadcast_to(read, scope["sigma_ej"].array.shape)
    once, rounds = _once(scope, kind, inputs), say("rounds")
    procedure = Procedure(rounds, METHOD, f"{TOLERANCE:.0e}", start.size, start.size, kind.gap)
    scope.solved(kind.unknown, clean_sand(once, start), ["stage", "reading"], title=say("solved-title"),
                 source=li.BOULANGER, inputs=inputs, procedure=procedure)  # fmt: skip
    for step in (*kind.recomputed, kind.residual):
        scope(step)
    scope.confirm(kind.unknown, tolerance=1e-6)
    for step in (*kind.after, li.magnitude_scaling, li.overburden_correction, li.safety_against_liquefaction):
        scope(step)


def _once(scope: Scope, kind: Kind, inputs: Sequence[str]) -> Callable[[Floats], Floats]:
    """One round: the formulas from the resistance tried to the one that they give."""
    known = {name: np.asarray(scope[name].array) for name in inputs}

    def once(tried: Floats) -> Floats:
        values: dict[str, Any] = known | {kind.unknown: tried}
        for step in kind.recomputed:
            values[step.symbol] = step(**{name: values[name] for name in step.arguments})
        return np.asarray(values[kind.recomputed[-1].symbol])

    return once
