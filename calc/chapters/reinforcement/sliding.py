"""Sliding of the side slope below the reinforcement: what the ground does not hold against the strength left."""

from calc.chapters.reinforcement.layer_resistance import Member
from calc.chapters.shared.edges import low_edges, stages_with_fill
from calc.chapters.shared.geometry import EDGE
from calc.chapters.shared.soft_ground import Side, sides
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.mat import layer_tension, strength_left
from calc.inputs import Section

say = words_of(__name__)


def sliding_below(sheet: Sheet, section: Section, done: dict[str, Sheet], member: Member) -> None:
    """Verify one layer for each side."""
    for side in sides(section):
        _sliding_of_side(sheet, section, done, member, side)


def _sliding_of_side(sheet: Sheet, section: Section, done: dict[str, Sheet], member: Member, side: Side) -> None:
    key = f"sliding_below{member.ending}{side.ending}"
    title = say("of-side-title", side_words=side.words, name=member.layer.name)
    scope = sheet.scope(key, title)
    unheld = done["thrust"].scopes[f"sliding_below{side.ending}"]["T_hs"]
    scope.take("T_hs", unheld)
    strength = sheet.scopes[member.scope]
    for name in ("J_rk", "J_r", member.resistance):
        scope.take(name, strength[name])
    tension = scope(layer_tension, T_rd="T_rh", T_across="T_hs")
    scope.take("T_md", sheet.scopes["across"]["T_md"])
    scope.take("T_sqd", done["thrust"].scopes[f"slope{side.ending}"]["T_sqd"])
    left = scope(strength_left, R_rd=member.resistance)
    thrust = done["thrust"]
    height, stages = (
        thrust.scopes.get(f"{EDGE}{side.ending}", thrust)["H_R"],
        sheet.axes["stage"][1:],
    )  # as its tension, from the first vertical load
    # A low edge asks no more of the layer than the tension across does, which has the whole thrust in every stage.
    low = low_edges(section, height)
    bank = [label for label in stages_with_fill(height) if label in stages and label not in low]
    tension, left = tension.at(stage=bank), left.at(stage=bank)
    if not (left.array > 0).all():
        sheet.not_verified(key, title, say("of-side-why"))
        return
    note = say("of-side-note")
    if not (tension.array > 0).any():
        note = say("of-side-note-2") + note
    verdict = sheet.verdict(key, title, effect=tension, resistance=left, note=note)
    sheet.leads[key] = dict(verdict.case)
