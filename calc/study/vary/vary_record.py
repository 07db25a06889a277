"""The study as plain data, unrounded, in kN, m, kPa, rad, day; its pages are made of it."""

import math
from typing import Any

import numpy as np

from calc.inputs.tables.vary import Vary
from calc.study.study_record import sealed_record
from calc.study.vary.depth_fields import DepthField
from calc.study.vary.factors_of_one import KEY
from calc.study.vary.indices import LEVELS, RESAMPLES, SHARED, TRAJECTORIES
from calc.study.vary.sampling import CONFIDENCE, Probability
from calc.study.vary.study import ENOUGH, Answer, Studied
from calc.study.vary.vary_run import Varied

Json = dict[str, Any]


def record(of: Varied) -> Json:
    """Everything that was asked and found; what has no number, or an infinite one, is null."""
    return sealed_record("vary", of.design.sha256, dict(of.files), {
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
        "correlations": [{"between": list(correlation.between), "rank": correlation.rank, "source": correlation.source}
                         for correlation in vary.correlations],
    }  # fmt: skip


def number(value: float) -> float | None:
    """A finite number, or null."""
    return float(value) if math.isfinite(value) else None


def _section(vary: Vary, section: Studied) -> Json:
    moments = {
        distribution.path: (*distribution.moments(), distribution.reduction) for distribution in section.joint.marginals
    }
    ends = {end.path: end for end in section.ends}
    return {
        "key": section.section,
        "title": section.title,
        "inputs": [
            {
                "path": varied.path, "project": section.base[varied.path], "low": ends[varied.path].low,
                "high": ends[varied.path].high, "ends_are_fractiles": ends[varied.path].fractiles,
                "distribution": varied.distribution, "mean": moments.get(varied.path, (None,))[0],
                "standard_deviation": moments[varied.path][1] if varied.path in moments else None,
                "reduction": moments[varied.path][2] if varied.path in moments else None, "source": varied.source,
                "by_sublayer": _field(section.joint.fields.get(varied.path)),
            }
            for varied in vary.inputs
        ],
        "random_variables": section.joint.size,
        "outside": list(section.outside),
        "limit_states": [answer_record(answer, section) for answer in section.answers],
    }  # fmt: skip


def _field(field: DepthField | None) -> Json | None:
    return None if field is None else {
        "paths": list(field.parts), "top": field.top, "thickness": list(field.thickness),
        "correlation_length": field.scale,
        "averaging_length": field.average or None,
    }  # fmt: skip


def _probability(probability: Probability | None) -> Json | None:
    return None if probability is None else {
        "value": probability.value, "low": probability.low, "high": probability.high, "failures": probability.failures,
        "points": probability.points,
    }  # fmt: skip


def answer_record(answer: Answer, section: Studied) -> Json:
    """What was found for one limit state of a section."""
    state, partial, sampled = answer.asked.state, answer.asked.partial, answer.sampled
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
        "monte_carlo": None if sampled is None else {
            **(_probability(sampled.probability) or {}), "mean": number(sampled.mean),
            "standard_deviation": number(sampled.deviation), "without_solution": sampled.unsolved,
            "course": sampled.course.tolist(), "first_points": len(sampled.scatter),
            "scatter": _scatter(answer, section),
        },
        "form": None if answer.form is None else {
            "index": answer.form.index, "design_values": answer.at_point.values,
            "sensitivity": answer.at_point.alphas,
            "by_sublayer": {path: {"design_values": list(profile.values), "sensitivity": list(profile.alphas)}
                            for path, profile in answer.at_point.profiles.items()},
            "points": answer.form.calls,
        },
        "importance_sampling": _probability(answer.importance),
        "design_points": answer.design_points,
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
    """The first points over the input with a distribution that the verdict hangs on most, as the figure has them.

    Of a field over the sublayer that is farthest from its median at the design point.
    """
    sampled = answer.sampled
    if sampled is None or not np.isfinite(sampled.scatter).any():
        return None
    joint, alphas = section.joint, answer.at_point.alphas
    ranked = sorted(alphas, key=lambda path: -abs(alphas[path])) or [share.path for share in answer.shares]
    known = {distribution.path: distribution for distribution in joint.marginals}
    path = next(iter([*ranked, *known]))
    profile, parts = answer.at_point.profiles.get(path), joint.fields.get(path)
    place = profile.place if profile else 0
    values = known[path].at(section.scores[:, joint.places[path].start + place])
    values += parts.shifts[place] if parts else 0.0
    return {
        "path": path,
        "sublayer": parts.labels[place] if parts else None,
        "values": values.tolist(),
        "utilisations": [number(value) for value in sampled.scatter],
    }
