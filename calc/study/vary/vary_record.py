"""The study as plain data, unrounded, in kN, m, kPa, rad, day; its pages are made of it."""

import math
from typing import Any

import numpy as np

from calc.inputs.tables.vary import Vary
from calc.study.study_record import sealed
from calc.study.vary.factors_of_one import KEY
from calc.study.vary.indices import LEVELS, RESAMPLES, SHARED, TRAJECTORIES
from calc.study.vary.sampling import CONFIDENCE, Probability
from calc.study.vary.study import ENOUGH, Answer, Studied
from calc.study.vary.vary_run import Varied

Json = dict[str, Any]


def record(of: Varied) -> Json:
    """Everything that was asked and found; what has no number, or an infinite one, is null."""
    return sealed("vary", of.design.sha256, dict(of.files), {
        "outcome": of.outcome,
        "factor_set": KEY,
        **asked_of(of.vary),
        "sections": [_section(of.vary, section) for section in of.sections],
    })  # fmt: skip


def asked_of(vary: Vary) -> Json:
    """What a record repeats of the table [vary] and of the rules of the program."""
    return {
        "settings": {
            "seed": vary.seed, "points": vary.points, "replicates": vary.replicates, "confidence": CONFIDENCE,
            "trajectories": TRAJECTORIES, "levels": LEVELS, "resamples": RESAMPLES, "base_points": SHARED,
            "enough_failures": ENOUGH,
        },
        "correlations": [{"between": list(one.between), "rank": one.rank, "source": one.source}
                         for one in vary.correlations],
    }  # fmt: skip


def number(value: float) -> float | None:
    """A finite number, or null."""
    return float(value) if math.isfinite(value) else None


def _section(vary: Vary, section: Studied) -> Json:
    moments = {one.path: (*one.moments(), one.reduction) for one in section.joint.marginals}
    ends = {one.path: one for one in section.ends}
    return {
        "key": section.section,
        "title": section.title,
        "inputs": [
            {
                "path": one.path, "project": section.base[one.path], "low": ends[one.path].low,
                "high": ends[one.path].high, "ends_are_fractiles": ends[one.path].fractiles,
                "distribution": one.distribution, "mean": moments.get(one.path, (None,))[0],
                "standard_deviation": moments[one.path][1] if one.path in moments else None,
                "reduction": moments[one.path][2] if one.path in moments else None, "source": one.source,
            }
            for one in vary.inputs
        ],
        "outside": list(section.outside),
        "limit_states": [answer_record(answer, section) for answer in section.answers],
    }  # fmt: skip


def _probability(one: Probability | None) -> Json | None:
    return None if one is None else {
        "value": one.value, "low": one.low, "high": one.high, "failures": one.failures, "points": one.points,
    }  # fmt: skip


def answer_record(answer: Answer, section: Studied) -> Json:
    """What was found for one limit state of a section."""
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
            "course": one.course.tolist(), "first_points": len(one.scatter), "scatter": _scatter(answer, section),
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
        "chained": answer.asked.chained, "apart": list(answer.asked.apart), "chain_run_at": answer.chain_at,
        "confirmed": bool(answer.confirmed), "rows_of_data": answer.rows,
        "counts": answer.method or None,
        "probability": _probability(answer.probability),
        "index": None if indices is None else dict(zip(("value", "low", "high"), map(number, indices), strict=True)),
        "target": None if state.target is None else {
            "index": state.target, "class": state.reliability_class, "source": state.source,
            "judgement": answer.judgement, "supported": not answer.unsupported,
            "unless": [limit.key for limit in answer.asked.turned],
        },
        "limitations": [{"key": limit.key, "text": limit.text, "source": limit.source}
                        for limit in answer.asked.turned],
        "open": [{"what": what, "why": why} for what, why in answer.open],
    }  # fmt: skip


def _scatter(answer: Answer, section: Studied) -> Json | None:
    """The first points over the input with a distribution that the verdict hangs on most, as the figure has them."""
    found = answer.sampled
    if found is None or not np.isfinite(found.scatter).any():
        return None
    ranked = sorted(answer.alphas, key=lambda path: -abs(answer.alphas[path])) or [one.path for one in answer.shares]
    names = [one.path for one in section.joint.marginals]
    path = next(iter([*ranked, *names]))
    k = names.index(path)
    values = section.joint.marginals[k].at(section.scores[:, k])
    return {"path": path, "values": values.tolist(), "utilisations": [number(value) for value in found.scatter]}
