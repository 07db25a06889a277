"""Strips of load on the crest: recorded once, in the chapter on the unit cell, and read by every chapter after it."""

from collections.abc import Sequence

from calc.chapters.shared.frame import given_of_section
from calc.engine.levels import same
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import traffic as tr
from calc.inputs import Section
from calc.inputs.tables.traffic import Strip

say = words_of(__name__)

STRIPS = "strips"  # scope of the chapter on the unit cell
RIGHT, LEFT = 1.0, -1.0
PUSHING = ("q_0", "x_ld", "b_ld", "d_ld", "Phi_0", "p_ld")


def laid_strips(section: Section) -> tuple[tuple[Strip, tuple[int, ...]], ...]:
    """The strips from left to right with their places in the file; those that adjoin and press alike are one.

    Halves of a strip spread like the whole.
    """
    given = [*enumerate(section.traffic.strip if section.traffic else ())]
    endless, others = ([(k, strip) for k, strip in given if (strip.length is None) is kind] for kind in (True, False))
    return tuple(sorted((*_adjoining_as_one(endless), *_adjoining_as_one(others)), key=lambda laid: laid[0].position))


def _adjoining_as_one(given: Sequence[tuple[int, Strip]]) -> list[tuple[Strip, tuple[int, ...]]]:
    strips: list[tuple[Strip, tuple[int, ...]]] = []
    for k, strip in given:
        if strips and _adjoin(strips[-1][0], strip):
            before, places = strips[-1]
            left, right = before.position - before.width / 2, strip.position + strip.width / 2
            whole = {"position": (left + right) / 2, "width": before.width + strip.width}
            load, name = before.line_load + strip.line_load, f"{before.name} + {strip.name}"
            strips[-1] = before.model_copy(update={**whole, "line_load": load, "name": name}), (*places, k)
        else:
            strips.append((strip, (k,)))
    return strips


def _adjoin(strip: Strip, other: Strip) -> bool:
    pressures = [strip_of_load.line_load / strip_of_load.width for strip_of_load in (strip, other)]
    return (
        same(strip.position + strip.width / 2, other.position - other.width / 2)
        and _kind_of(strip) == _kind_of(other)
        and abs(pressures[0] - pressures[1]) <= 1e-9 * pressures[0]
    )


def _kind_of(strip: Strip) -> tuple[float | None, ...]:
    return strip.depth, strip.class_factor, strip.length, strip.plane_length


def symmetrical(section: Section) -> bool:
    """Whether the strips load both sides alike."""
    strips = [strip for strip, _ in laid_strips(section)]
    kinds = ([strip for strip in strips if (strip.length is None) is kind] for kind in (True, False))
    return all(
        same(strip.position, -other.position) and same(strip.width, other.width)
        and (strip.line_load, *_kind_of(strip)) == (other.line_load, *_kind_of(other))
        for kind in kinds for strip, other in zip(kind, reversed(kind), strict=True)
    )  # fmt: skip


def strips_of(done: dict[str, Sheet]) -> Scope | None:
    """The recorded strips, None without any."""
    return done["unit_cell"].scopes.get(STRIPS)


def take_strips(scope: Scope, strips: Scope, names: Sequence[str]) -> None:
    """Take what is recorded of the strips."""
    scope.sheet.axis("strip", strips["p_ld"].labels("strip"))
    for name in names:
        if name == "p_ld" and "p_lp" in strips:
            scope.take(name, strips["p_lp"], note=say("shared-out"))
        else:
            scope.take(name, strips[name])


def pushing_load(
    scope: Scope, section: Section, strips: Scope, side: float, height: str, *, K_a: str, phi: str  # noqa: N803
) -> str:  # fmt: skip
    """Symbol of the uniform load that pushes as much as strips and uniform load do at a crest edge, RIGHT or LEFT.

    With the inertia of the strips where the scope has that of the fill.
    """
    take_strips(scope, strips, PUSHING)
    given_of_section(scope, "b_K", section, "embankment.crest_width", section.embankment.crest_width)
    scope.given("i_sd", side, origin=Origin("project rule", text=say("side")))
    scope(tr.distance_from_crest_edge)
    if "theta_d" in scope.values:
        _push_under_shaking(scope, height, phi)
    else:
        scope(tr.wedge_of_strip, H=height, phi=phi)
        scope(tr.thrust_of_strip, H=height, phi=phi)
    scope(tr.traffic_that_pushes, K_a=K_a, H=height)
    return "q_a"


def _push_under_shaking(scope: Scope, height: str, phi: str) -> None:
    """The thrust of each strip with its inertia, the larger of both vertical directions."""
    scope(tr.wedge_of_strip_under_shaking, H=height, phi=phi)
    scope(tr.thrust_of_strip_under_shaking, H=height, phi=phi)
    scope(tr.wedge_of_strip_under_shaking, c_lu="c_lw", H=height, phi=phi, theta_u="theta_d")
    scope(tr.thrust_of_strip_under_shaking, E_lu="E_lw", c_lu="c_lw", H=height, phi=phi, f_vu="f_vd")
    scope(tr.worse_thrust_of_strip)
