"""The study as plain data, unrounded, in kN, m, kPa, rad, day."""

import math
from typing import Any

from calc import __version__
from calc.resources import program_fingerprint
from calc.study.vary.factors_of_one import KEY
from calc.study.vary.indices import LEVELS, RESAMPLES, SHARED, TRAJECTORIES
from calc.study.vary.sampling import CONFIDENCE, Probability
from calc.study.vary.study import ENOUGH, Answer, Studied
from calc.study.vary.vary_run import Varied

Json = dict[str, Any]


def record(of: Varied) -> Json:
    """Everything that was asked and found; what has no number, or an infinite one, is null."""
    vary = of.vary
    return {
        "software": {"name": "sandsleeve", "version": __version__, "fingerprint": program_fingerprint()},
        "inputs_sha256": of.design.sha256,
        "outcome": of.outcome,
        "factor_set": KEY,
        "settings": {
            "seed": vary.seed, "points": vary.points, "replicates": vary.replicates, "confidence": CONFIDENCE,
            "trajectories": TRAJECTORIES, "levels": LEVELS, "resamples": RESAMPLES, "base_points": SHARED,
            "enough_failures": ENOUGH,
        },
        "correlations": [{"between": list(one.between), "rank": one.rank, "source": one.source}
                         for one in vary.correlations],
        "sections": [_section(of, section) for section in of.sections],
    }  # fmt: skip


def number(value: float) -> float | None:
    """A finite number, or null."""
    return float(value) if math.isfinite(value) else None


def _section(of: Varied, section: Studied) -> Json:
    moments = {one.path: (*one.moments(), one.reduction) for one in section.joint.marginals}
    ends = {one.path: one for one in section.ends}
    return {
        "key": section.section,
        "inputs": [
            {
                "path": one.path, "project": section.base[one.path], "low": ends[one.path].low,
                "high": ends[one.path].high, "ends_are_fractiles": ends[one.path].fractiles,
                "distribution": one.distribution, "mean": moments.get(one.path, (None,))[0],
                "standard_deviation": moments[one.path][1] if one.path in moments else None,
                "reduction": moments[one.path][2] if one.path in moments else None, "source": one.source,
            }
            for one in of.vary.inputs
        ],
        "outside": list(section.outside),
        "limit_states": [_answer(answer) for answer in section.answers],
    }  # fmt: skip


def _probability(one: Probability | None) -> Json | None:
    return None if one is None else {
        "value": one.value, "low": one.low, "high": one.high, "failures": one.failures, "points": one.points,
    }  # fmt: skip


def _answer(answer: Answer) -> Json:
    state, partial, one = answer.asked.state, answer.asked.partial, answer.sampled
    indices, surfaces = answer.indices, answer.asked.surfaces
    return {
        "verdict": state.verdict, "title": partial.title, "state": partial.stamp, "factor_set": partial.factor_set,
        "utilisation": (partial.utilisation or 0.0) / partial.limit, "case": dict(partial.case),
        "utilisation_factors_of_one": number(answer.base),
        "swings": [{"path": s.path, "at_low": number(s.at_low), "at_high": number(s.at_high)} for s in answer.swings],
        "effects": [{"path": e.path, "mean_size": e.size, "bound": e.bound, "scatter": e.scatter}
                    for e in answer.effects],
        "shares": [{"path": s.path, "first": s.first, "first_bound": s.first_bound, "total": s.total,
                    "total_bound": s.total_bound} for s in answer.shares],
        "monte_carlo": None if one is None else {
            **(_probability(one.probability) or {}), "mean": number(one.mean),
            "standard_deviation": number(one.deviation), "without_solution": one.unsolved,
            "course": one.course.tolist(),
        },
        "form": None if answer.form is None else {
            "index": answer.form.index, "design_values": answer.design_values, "sensitivity": answer.alphas,
            "points": answer.form.calls,
        },
        "importance_sampling": _probability(answer.importance),
        "subset_simulation": None if answer.subset is None else {
            "value": answer.subset.value, "variation": number(answer.subset.variation), "points": answer.subset.calls,
        },
        "known_surfaces": None if surfaces is None else {
            "surfaces": len(surfaces.model.slip.known), "stages": list(surfaces.model.slip.stages),
            "searches": surfaces.searches, "points": surfaces.points,
            "search_has_more": number(surfaces.lower), "search_has_less": number(surfaces.higher),
        },
        "counts": answer.method or None,
        "probability": _probability(answer.probability),
        "index": None if indices is None else dict(zip(("value", "low", "high"), map(number, indices), strict=True)),
        "target": None if state.target is None else {
            "index": state.target, "class": state.reliability_class, "source": state.source,
            "judgement": answer.judgement, "unless": [limit.key for limit in answer.asked.turned],
        },
        "limitations": [{"key": limit.key, "text": limit.text, "source": limit.source}
                        for limit in answer.asked.turned],
        "open": [{"what": what, "why": why} for what, why in answer.open],
    }  # fmt: skip
