"""The study in about ten lines for the terminal."""

import math
from collections.abc import Iterator, Mapping
from textwrap import wrap

from calc.engine.sheet import number_text
from calc.engine.words import words_of
from calc.inputs.tables.vary import VariedInput
from calc.study.turning import brief, limitation_numbers, numbers_of
from calc.study.vary.study import Answer, Studied
from calc.study.vary.varied_amounts import amount_text
from calc.study.vary.vary_run import Varied

say = words_of(__name__)

MOST = 3  # inputs that are named


def vary_text(of: Varied, width: int) -> str:
    """The lines, wrapped to the columns of the terminal."""
    lines = [line for section in of.sections for line in _section(of, section)] + [say("caution")]
    return "\n".join(part for line in lines for part in _wrapped(line, width))


def _wrapped(line: str, width: int) -> list[str]:
    indent = line[: len(line) - len(line.lstrip())]
    return wrap(line.strip(), width, initial_indent=indent, subsequent_indent=indent + "    ",
                break_on_hyphens=False)  # fmt: skip


def _section(of: Varied, section: Studied) -> Iterator[str]:
    vary = of.vary
    yield say("head", section=section.section, title=section.title, inputs=len(vary.inputs),
              random=len(vary.with_distributions), seed=vary.seed, replicates=vary.replicates,
              points=vary.points)  # fmt: skip
    yield from (say("outside", text=text) for text in section.outside)
    shown = {varied.path: varied for varied in vary.inputs}
    for answer in section.answers:
        yield from _answer(answer, section, shown)


def _answer(answer: Answer, section: Studied, shown: Mapping[str, VariedInput]) -> Iterator[str]:
    partial = answer.asked.partial
    yield say("state", key=answer.asked.key, partial=ratio_text((partial.utilisation or 0.0) / partial.limit),
              factor_set=partial.factor_set or "–", stamp=partial.stamp, base=ratio_text(answer.base))  # fmt: skip
    numbers = limitation_numbers(answer.asked.turned)
    yield from (say("turning", number=numbers[limit.key], text=brief(limit)) for limit in answer.asked.turned)
    ends = {end.path: end for end in section.ends}
    swings = [
        say("swing", path=swing.path, low=ratio_text(swing.at_low), high=ratio_text(swing.at_high),
            at_low=amount_text(shown[swing.path], ends[swing.path].low),
            at_high=amount_text(shown[swing.path], ends[swing.path].high))
        for swing in answer.swings[:MOST]
    ]  # fmt: skip
    yield say("hangs", swings=", ".join(swings))
    if answer.shares:
        shares = [say("share", path=share.path, total=f"{share.total:.2f}") for share in answer.shares[:MOST]]
        yield say("shares", shares=", ".join(shares))
    if (surfaces := answer.asked.surfaces) is not None and surfaces.points:
        yield say("surfaces", known=len(surfaces.model.slip.known), points=surfaces.points,
                  lower=share_text(surfaces.lower))  # fmt: skip
    yield from _failure(answer, shown)
    names = {"chained": say("chained"), "apart": say("apart", paths=", ".join(answer.asked.apart)),
             "effects": say("effects"), "shares": say("index-shares"),
             "form": say("form-name"), "subset": say("subset-name")}  # fmt: skip
    for what, why in answer.open:
        yield say("open", what=names[what], why=why)


def _failure(answer: Answer, shown: Mapping[str, VariedInput]) -> Iterator[str]:
    estimate, indices = answer.probability, answer.indices
    if estimate is None or indices is None:
        return
    if estimate.failures == 0:
        yield say(
            "no-failure", points=estimate.points, high=probability_text(estimate.high), index_low=index_text(indices[1])
        )
    else:
        yield say("failure", probability=probability_text(estimate.value), low=probability_text(estimate.low),
                  high=probability_text(estimate.high), index=index_text(indices[0]), index_low=index_text(indices[1]),
                  index_high=index_text(indices[2]), method=answer.method, failures=estimate.failures,
                  points=estimate.points)  # fmt: skip
    if answer.form is not None:
        point = answer.at_point
        values = [say("value", path=path, value=amount_text(shown[path], value))
                  for path, value in point.values.items()]  # fmt: skip
        values += [say("profile", path=path, low=amount_text(shown[path], min(profile.values)),
                       high=amount_text(shown[path], max(profile.values)), label=profile.labels[profile.place],
                       value=amount_text(shown[path], profile.values[profile.place]))
                   for path, profile in point.profiles.items()]  # fmt: skip
        yield say("form", index=index_text(answer.form.index), values=", ".join(values))
    target = answer.asked.state.target
    if target is None:
        yield say("without")
    else:
        keys = numbers_of(answer.asked.turned)
        yield say(
            "judged",
            target=f"{target:g}",
            judgement=judgement_text(answer.judgement, keys, answer.rows if answer.unsupported else 0),
        )


def judgement_text(judgement: str, keys: str = "", rows: int = 0) -> str:
    """What is said of a target in a word.

    ``keys`` are limitations that can turn the verdict, ``rows`` those of data that do not support the target.
    """
    if rows and judgement == "open":
        return say("unsupported", rows=rows)
    reached = say("pass-unless", keys=keys) if keys else say("pass")
    words = {"pass": reached, "fail": say("fail"), "open": say("undecided")}
    return words[judgement]


def infinite(value: float | None) -> float:
    """A number of a record, which has none for what is infinite."""
    return math.inf if value is None else value


def ratio_text(ratio: float) -> str:
    """A utilisation, or that there is none."""
    return f"{ratio:.3f}" if math.isfinite(ratio) else say("none")


def share_text(share: float) -> str:
    """A share in per cent, rounded up to a tenth."""
    return f"{math.ceil(1000 * share - 1e-9) / 10:.1f} %" if math.isfinite(share) else "∞"


def probability_text(probability: float) -> str:
    """A probability with two digits."""
    return "0" if probability == 0 else number_text(probability, -2)


def signed_weight(weight: float) -> str:
    """A weight of an input at the design point, with its sign as the pages print one."""
    return f"{weight:+.3f}".replace("-", "−")


def index_text(index: float) -> str:
    """A reliability index with two decimals; ∞ for a probability of 0."""
    return f"{index:.2f}" if math.isfinite(index) else "∞" if index > 0 else "−∞"
