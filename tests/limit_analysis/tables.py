"""Rows of the tables in ``docs/limit-analysis.md``; ``python -m tests.limit_analysis.tables`` prints them."""

import sys
from math import radians
from types import SimpleNamespace

from tests.formulas.extruded_ground import failure_pressure
from tests.limit_analysis.bank import Bank
from tests.limit_analysis.cases import bank_of, ground_of
from tests.limit_analysis.extrusion import Ground
from tests.limit_analysis.grids import extruded_at_crest_edge, extruded_over_grids
from tests.references.reader import rows


def extruded_at(ground: Ground) -> float:
    """Pressure (kPa) at the crest edge at which the extruding wedge of the program gives way, all of it permanent."""
    return failure_pressure(
        t_soft=ground.t, L_S=ground.L, b_g=ground.x_e, c_u0=ground.c_u0, rho_u=ground.rho, a_E=ground.a,
        d_c=ground.d, phi_c=radians(ground.phi_c), gamma_ceff=ground.gamma_c, n_st=ground.n, alpha_t=ground.alpha_t,
    )  # fmt: skip


def extrusion_line(row: SimpleNamespace) -> str:
    """A ground with bounds and wedge."""
    ground = ground_of(row)
    p = extruded_at(ground)
    cells = [
        row.name, f"{ground.t:g}", f"{ground.L:g}", _strength(ground), f"{ground.a:g}", f"{ground.x_e / ground.L:.2f}",
        f"{row.lower:.1f}–{row.upper:.1f}", f"{p:.1f}", f"{p / row.upper:.2f}", f"{p / row.lower:.2f}",
    ]  # fmt: skip
    return f"| {' | '.join(cells)} |"


def grids_line(row: SimpleNamespace) -> str:
    """A ground with two grids, with bounds, wedge, and wedge with its inner plane at the crest edge alone."""
    ground = ground_of(row)
    p, edge = extruded_over_grids(ground), extruded_at_crest_edge(ground)
    cells = [
        row.name, f"{ground.t:g}", f"{ground.L:g}", _strength(ground), f"{ground.a_in:g}", f"{ground.a:g}",
        f"{ground.border:.2f}", f"{ground.x_e:g}", f"{ground.n:g}", *_behind(ground),
        f"{row.lower:.1f}–{row.upper:.1f}", f"{p:.1f}", f"{p / row.upper:.2f}", f"{p / row.lower:.2f}",
        f"{edge / row.upper:.2f}",
    ]  # fmt: skip
    return f"| {' | '.join(cells)} |"


def _behind(ground: Ground) -> tuple[str, str]:
    """Widths of the crest and of the other slope."""
    return (f"{ground.crest:g}", f"{ground.back:g}") if ground.back else ("–", "–")


def circle_line(row: SimpleNamespace) -> str:
    """A bank with the safety by circles and its bounds."""
    bank: Bank = bank_of(row)
    ground = bank.ground
    lower = f"{row.lower:.2f}" if hasattr(row, "lower") else ""
    cells = [
        row.name, f"{ground.t:g}", f"{ground.L:.1f}", f"{bank.H:.1f}", _strength(ground), f"{ground.a:g}",
        f"{ground.x_e / ground.L:.2f}", f"{bank.T:g}", f"{lower}–{row.upper:.2f}", f"{row.circle:.2f}",
        f"{row.circle / row.upper:.2f}",
    ]  # fmt: skip
    return f"| {' | '.join(cells)} |"


def _strength(ground: Ground) -> str:
    return f"{ground.c_u0:g} + {ground.rho:g} z" if ground.rho else f"{ground.c_u0:g}"


if __name__ == "__main__":
    lines = [*map(extrusion_line, rows("limit_extrusion")), "", *map(grids_line, rows("limit_grids"))]
    lines += ["", *map(circle_line, rows("limit_circles"))]
    sys.stdout.write("\n".join(lines) + "\n")
