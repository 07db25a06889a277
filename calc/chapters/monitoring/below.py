"""How much of the ground below the toes has settled at a date, where it settles in time by its own coefficients."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.engine.sheet import Sheet
from calc.procedures.consolidation_response import vertical_degree
from calc.procedures.staged_course import Programme

Floats = NDArray[np.float64]
SPREADS = (("below_spread", "s_bS"), ("below_half_space", "s_bH"))


@dataclass(frozen=True)
class BelowInTime:
    """Settlements of the sublayers (m), rates c_v/H² (1/day, infinite where a layer drains), load by step (kPa).

    ``weight`` is what floating columns bring besides (kPa), counted with the first step.
    """

    parts: Floats
    rates: Floats
    load: Floats
    programme: Programme
    weight: float = 0.0

    def share_at(self, days: Floats, placed: Floats) -> Floats:
        """Share of the final settlement that has come; ``placed`` is the load by these days (kPa)."""
        load, placed = self.load + self.weight, np.where(placed > 0, placed + self.weight, 0.0)
        whole, last = self.parts.sum(), load[-1]
        slow = np.isfinite(self.rates)
        drained = self.parts[~slow].sum() / whole * placed / last
        age = np.maximum(np.asarray(days)[:, None] - np.array(self.programme.end), 0.0)
        added = np.diff(load, prepend=0.0) / last
        settled = [
            self.parts[self.rates == rate].sum() / whole * (vertical_degree(rate * age) * added).sum(axis=-1)
            for rate in np.unique(self.rates[slow])
        ]
        return np.asarray(drained + np.sum(settled, axis=0))


def below_in_time(done: dict[str, Sheet], load: Floats, programme: Programme) -> BelowInTime | None:
    """The ground below the toes of a section whose chapter on bearing follows it in time, by the larger spread."""
    scopes = done["bearing"].scopes
    time = scopes.get("below_time")
    if time is None:
        return None
    spread = max(SPREADS, key=lambda place: float(scopes[place[0]][place[1]].array.max()))[0]
    parts = scopes[spread]["s_bi"].array
    path, coefficient = time["H_db"], time["c_vb"]
    rates = np.where(path.valid, coefficient.array / np.where(path.valid, path.array, 1.0) ** 2, np.inf)
    below = scopes["below"]
    weight = float(below["Dsigma_wt"].array.flat[-1]) if "Dsigma_wt" in below else 0.0
    return BelowInTime(parts.reshape(-1, parts.shape[-1])[-1], rates, load, programme, weight)
