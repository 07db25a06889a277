"""What is refused of a study before its runs: verdicts that there are not, and ends of ranges that break a rule."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from itertools import combinations, product

from calc.chain import CHAPTERS, Run, run_checks
from calc.chapters.shared.soft_ground import sides
from calc.chapters.stability.known_surfaces import CHAPTER, searches_of, slip_verdicts
from calc.inputs import Design, InputErrors, Section
from calc.inputs.reading.problems import InputError
from calc.inputs.reading.read import broken_rules
from calc.inputs.tables.problem import Problem
from calc.inputs.tables.vary import Vary
from calc.run_progress import Tell
from calc.study.changed import with_numbers
from calc.study.replay_plan import UnfollowedError
from calc.study.vary.depth_fields import MOST_VARIABLES, DepthField
from calc.study.vary.one_at_a_time import Ends
from calc.study.vary.section_models import Followed, Recipe, known_verdicts
from calc.study.vary.varied_amounts import amount_text

NAMED = 3  # of the nearest names


def refuse_unknown(design: Design, vary: Vary, sections: Sequence[Section], runs: Sequence[Run]) -> None:
    """Refuse verdicts without numbers in these runs, with those nearest to them."""
    wrong = list[InputError]()
    for place, state in enumerate(vary.limit_states):
        for section in sections:
            for run in runs:
                known = known_verdicts(run, section.key)
                if state.verdict not in known:
                    wrong.append(_unknown(design, place, state.verdict, section.key, [*known]))
    if wrong:
        raise InputErrors(wrong)


def refuse_unknown_early(design: Design, vary: Vary, sections: Sequence[Section], tell: Tell | None) -> None:
    """The same before slip surfaces are searched, as far as the chapters say without them which verdicts there are."""
    searched = [section for section in sections if section.slip is not None]
    if not searched:
        return
    bare = run_checks(replace(design, sections=tuple(section.without_slip() for section in searched)), tell)
    searched_in = {chapter.key for chapter in CHAPTERS if chapter.searches} - {CHAPTER}
    wrong = list[InputError]()
    for section in (candidate for candidate in searched if candidate.position is None):
        known = [*known_verdicts(bare, section.key), *_of_slip_surfaces(design, section, bare)]
        for place, state in enumerate(vary.limit_states):
            room = state.verdict.partition("/")[0]
            if room not in searched_in and state.verdict not in known:
                wrong.append(_unknown(design, place, state.verdict, section.key, known))
    if wrong:
        raise InputErrors(wrong)


def _of_slip_surfaces(design: Design, section: Section, bare: Run) -> Iterator[str]:
    """Names of the verdicts that slip surfaces have where they are searched."""
    part = next(part for part in bare.sections if part.section.key == section.key)
    searches = searches_of(design, section, {sheet.key: sheet for sheet in part.sheets if sheet.key != CHAPTER})
    keys = [] if searches is None else [*slip_verdicts(searches)]
    keys += [f"face_of_slope{side.ending}" for side in sides(section, layers=True)]
    yield from (f"{CHAPTER}/{key}" for key in (*keys, *(f"{key}_one_strip" for key in keys)))


def _unknown(design: Design, place: int, name: str, section: str, known: Sequence[str]) -> InputError:
    nearest = get_close_matches(name, known, NAMED, 0.0)
    must = f"name a verdict that compares numbers in section {section}, such as {', '.join(nearest)} (docs/verdicts.md)"
    return _error(design, f"vary.limit_state.{place}.verdict", f"vary.limit_state[{place + 1}].verdict", must, name)


def refuse_broken_rules(design: Design, vary: Vary, section: Section, ends: Sequence[Ends]) -> None:
    """Refuse an end of a range with which a rule between inputs does not hold, by itself or with that of another.

    Fractiles are no ends that the project states: a distribution may reach beyond what goes with the mean of another.
    """
    sound = set(broken_rules(design, section))
    every = [[{end.path: end.low}, {end.path: end.high}] for end in ends if not end.fractiles]
    wrong = [_broken(design, vary, section, numbers, problem) for both in every for numbers in both
             for problem in _new_problems(design, section, numbers, sound)]  # fmt: skip
    if not wrong:
        pairs = ({**own, **other} for first, second in combinations(every, 2) for own, other in product(first, second))
        wrong = [_broken(design, vary, section, numbers, problem) for numbers in pairs
                 for problem in _new_problems(design, section, numbers, sound)]  # fmt: skip
    if wrong:
        raise InputErrors(wrong)


def _new_problems(design: Design, section: Section, numbers: Mapping[str, float], sound: set[Problem]) -> list[Problem]:
    return [problem for problem in broken_rules(*with_numbers(design, section, numbers)) if problem not in sound]


def _broken(
    design: Design, vary: Vary, section: Section, numbers: Mapping[str, float], problem: Problem
) -> InputError:  # fmt: skip
    """An error at the first of the inputs, that names the field which the rule is told of."""
    path = next(iter(numbers))
    place = [varied.path for varied in vary.inputs].index(path)
    varied = vary.inputs[place]
    end = "least" if varied.least is not None and numbers[path] == varied.least.value else "most"
    at = ".".join(str(part) for part in problem.path)
    must = f"keep the rules between the inputs of section {section.key}: {at} must {problem.must}"
    known = {varied.path: varied for varied in vary.inputs}
    got = ", ".join(f"{name} = {amount_text(known[name], number)}" for name, number in numbers.items())
    return _error(design, f"vary.input.{place}.{end}", f"vary.input[{place + 1}].{end}", must, got)


def refuse_undivided(_: Run, recipe: Recipe) -> Followed:
    """Refuse values by sublayer where the ground is another one across, or the columns stand in zones."""
    message = (f"{recipe.verdict} cannot be followed by sublayer: the section has layers that change across, or zones "
               "of the columns with ground of their own")  # fmt: skip
    raise UnfollowedError(message)


def too_many_sublayers(design: Design, vary: Vary, fields: Sequence[DepthField], count: int) -> InputError:
    """The error at the field with most sublayers."""
    most = max(fields, key=lambda field: len(field.parts))
    place = [varied.path for varied in vary.inputs].index(most.path)
    must = (
        f"leave at most {MOST_VARIABLES} random variables (project rule), where each sublayer is one: thicker "
        "sublayers (basis.sublayer_max) or fewer inputs by sublayer"
    )
    at, shown = f"vary.input.{place}.vertical", f"vary.input[{place + 1}].vertical"
    return _error(design, at, shown, must, f"{len(most.parts)} sublayers of layer {most.layer}, {count} variables")


def _error(design: Design, path: str, shown: str, must: str, got: str) -> InputError:
    origin = design.provenance[path]
    return InputError(str(design.source), origin.line or 1, origin.column or 1, shown, must, f'"{got}"')
