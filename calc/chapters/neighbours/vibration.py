"""Vibration while columns are driven: peak particle velocity with three probabilities of being exceeded."""

from calc.chapters.neighbours.judge import Question, accepted_analyses, by_analysis, judge, missing_records, names_of
from calc.chapters.shared.frame import origin_of
from calc.chapters.shared.missing import not_given
from calc.engine.sheet import Origin, Sheet
from calc.engine.words import words_of
from calc.formulas.installation import TRL, distance_of_allowed_velocity, peak_particle_velocity
from calc.inputs import Section
from calc.inputs.tables.neighbours import CLOSEST, Neighbours

say = words_of(__name__)

ASKED = Question("neighbour_vibration", say("title"), "vibration_max", "v_Nm")
EXCEEDED = ("50 %", "33 %", "5 %")
FACTORS = {"vibratory driving": (60.0, 126.0, 266.0), "vibro replacement": (33.0, 44.0, 95.0)}  # mm/s
STEADY, ALL = "steady", "all operations"
EXPONENTS = {
    "vibratory driving": {"start and stop": 1.2, STEADY: 1.4, ALL: 1.3},
    "vibro replacement": {STEADY: 1.4},
}
DAY = 86.4  # m/day in a mm/s


def vibration(sheet: Sheet, section: Section, neighbours: Neighbours) -> None:
    """Velocity at every neighbour, and the distance at which it falls to the one allowed."""
    every = neighbours.neighbours
    if neighbours.plant is None:
        with_analysis = accepted_analyses(every)
        if with_analysis.all():
            sheet.accepted(ASKED.key, ASKED.title, by_analysis(every, with_analysis))
        else:
            why = " ".join(
                (
                    not_given(say("missing-plant", names=names_of(every, ~with_analysis))),
                    *missing_records(every, ~with_analysis),
                )
            )
            sheet.not_verified(ASKED.key, ASKED.title, why)
        return
    exponents = EXPONENTS[neighbours.plant]
    sheet.axis("exceeded", EXCEEDED)
    sheet.axis("operation", list(exponents))
    scope = sheet.scope("vibration", say("scope-title"))
    factors, plant = [DAY * factor for factor in FACTORS[neighbours.plant]], [origin_of(section, "neighbours.plant")]
    scope.reading(
        "k_vib", factors, ["exceeded"], title=say("factor-title", plant=neighbours.plant), source=TRL, origins=plant
    )
    scope.reading(
        "delta_v", list(exponents.values()), ["operation"], title=say("exponent-title"), source=TRL, origins=plant
    )
    scope.given("r_v1", CLOSEST, origin=Origin("project rule", text=say("reference")))
    velocity = scope(peak_particle_velocity)
    least = velocity.at(exceeded=EXCEEDED[0], operation=STEADY)
    if judge(scope, section, every, ASKED, least, velocity) is not None:
        scope(distance_of_allowed_velocity)
    sheet.limitation("neighbour-vibration", say("limitation"), f"{TRL.citation} ◦")
