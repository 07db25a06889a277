"""Known surfaces against whole searches at the points that decide, until no search finds a lower one."""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from calc.run_progress import Progress, Tell
from calc.study.chunks import Keeping, KeptChunks
from calc.study.engines import Engine
from calc.study.vary.design_points import NoDesignPointError, design_point
from calc.study.vary.in_chunks import NoNumberError, model_numbers, utilisations
from calc.study.vary.marginals import Floats, Joint
from calc.study.vary.sampling import first_points
from calc.study.vary.slip_models import BySurfaces, largest

CLOSE = 0.002
"""By how much a whole search may have more utilisation than the known surfaces without these being added."""
ROUNDS = 5
WORST, PLAIN = 4, 4
"""Of the first points of the sampling the worst, and the first ones as they come; all are project rules."""


@dataclass(frozen=True)
class SettledSurfaces:
    """Known surfaces and what whole searches say of them at the points looked at last.

    ``lower`` is by how much a search has more utilisation there, as a share of that of the known surfaces, ``higher``
    by how much less; 0 where it never has. ``points`` are those looked at last, ``searches`` all points searched.
    """

    model: BySurfaces
    points: int
    searches: int
    lower: float
    higher: float


def settled_surfaces(
    model: BySurfaces,
    joint: Joint,
    points: int,
    seed: int,
    engine: Engine,
    tell: Tell | None,
    kept: Callable[[str], KeptChunks] | None = None,
) -> SettledSurfaces:
    """The model with all surfaces that whole searches find where it decides, and how far these differ at the end.

    The points of each round are kept, by the surfaces that are known in it; answers of searches are so elsewhere.
    """
    key, searched = model.recipe.verdict, 1 + len(model.recipe.ends)
    turn = 0
    while True:
        turn += 1
        if tell:
            tell(Progress(f"section {model.recipe.section}, {key}: whole searches, round {turn}", 0.0, opens=True))
        question = f"{model.recipe.section}, {key}: points by {model.slip.known} in {model.slip.stages}"
        by = Keeping(engine, kept(question) if kept else None, None, "")
        values = joint.values(_deciding(model, joint, points, seed, by))
        count = len(next(iter(values.values())))
        decisive = model.search(
            [{path: float(array[k]) for path, array in values.items()} for k in range(count)], engine
        )
        searched += count
        known, whole = model_numbers(model, values)[key], np.array([largest(rows) for rows in decisive])
        gaps = _gaps(known, whole)
        new = (gaps > CLOSE) | (np.isinf(known) & np.isfinite(whole))
        if not new.any() or turn == ROUNDS:
            return SettledSurfaces(model, count, searched, max(float(gaps.max()), 0.0), max(float(-gaps.min()), 0.0))
        model = model.with_rows([rows for rows, lower in zip(decisive, new, strict=True) if lower])


def _gaps(known: Floats, whole: Floats) -> Floats:
    """Utilisation of the search over that of the known surfaces less 1; 0 where these have no solution."""
    return np.where(np.isinf(known), 0.0, whole / known - 1)


def _deciding(model: BySurfaces, joint: Joint, points: int, seed: int, engine: Engine) -> Floats:
    """The medians, the design point where one is found, the worst, the nearest failing and some points as they come."""
    key = model.recipe.verdict

    def state(u: Floats) -> Floats:
        return 1.0 - utilisations(model, joint.values(u), engine)[key]

    first = first_points(joint.size, points, seed)
    margins = state(first)
    order = np.argsort(margins, kind="stable")
    places = [*order[:WORST], *range(PLAIN)]
    failing = margins < 0
    if failing.any():
        places.append(int(np.where(failing, np.linalg.norm(first, axis=1), np.inf).argmin()))
    chosen = [np.zeros(joint.size), *(first[place] for place in dict.fromkeys(int(place) for place in places))]
    with suppress(NoDesignPointError, NoNumberError):
        chosen.append(design_point(state, joint.size, [chosen[0], first[order[0]]]).u)
    return np.array(chosen)
