"""From measurements to characteristic values: readings corrected, a cautious estimate beside each value used."""

import re

import numpy as np

from calc.chapters.ground_model.chosen_value import Chosen
from calc.chapters.ground_model.corrected_readings import give_corrected
from calc.chapters.ground_model.estimate import estimate
from calc.chapters.ground_model.used import compare
from calc.engine.sheet import PROJECT_RULE, Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.ground_file.selection import readings_of, selected_readings
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.ground_model import CONE, OEDOMETER, VANE

say = words_of(__name__)

PLOTTED = ("permeability", "organic")


def ground_model(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Each value that the project names, beside the estimate that its tests allow."""
    sheet = Sheet(section=section.key, key="ground_model")
    model, file = section.ground_model, design.results_file
    if model is None or file is None:
        sheet.not_verified("characteristic_values", say("title"), say("none"), required=False)
        return sheet
    if not model.values:
        sheet.not_verified("characteristic_values", say("title"), say("no-value"), required=False)
    chosen_values = []
    for index, value in enumerate(model.values):
        layer = next(layer for layer in section.soft_layers if layer.key == value.layer)
        used = tuple(selected_readings(file, model, value, section.soft_layers))
        chosen = Chosen(sheet, design, section, layer, value, index, used, file.name, _stresses(layer, done))
        scope = sheet.scope(chosen.key, chosen.title)
        if give_corrected(chosen, scope) and estimate(chosen, scope):
            compare(chosen, scope)
        chosen_values.append(chosen)
    plotted = {test: readings_of(file, model, test, section.soft_layers) for test in PLOTTED}
    sheet.kept.update(chosen=chosen_values, plotted=plotted)
    _limits(sheet, chosen_values)
    return sheet


def _stresses(layer: Layer, done: dict[str, Sheet]) -> tuple[float, ...]:
    """The least and the largest mean stress with which the settlement of a layer takes its modulus."""
    if "unit_cell" not in done:
        return ()
    mean = done["unit_cell"].scopes["settlement"]["p_m"]
    labels = [label for label in mean.labels("layer") if re.split("[ /]", label)[0] == layer.key]
    stresses = mean.at(layer=labels).array
    known = stresses[np.isfinite(stresses)]  # none where nothing is mobilised
    return (float(known.min()), float(known.max())) if known.size else ()


def _limits(sheet: Sheet, chosen_values: list[Chosen]) -> None:
    """Where the methods end, for the tests that were used."""
    rule = PROJECT_RULE.citation
    tests = {chosen.value.test for chosen in chosen_values}
    if chosen_values:
        sheet.limitation("readings-depth", say("limitation-depth"), rule)
        sheet.limitation("readings-judgement", say("limitation-judgement"), "EN 1997-1:2004, 2.4.5.2")
    if VANE in tests:
        sheet.limitation("readings-vane", say("limitation-vane"), "EN 1997-2:2007, Annex I")
    if CONE in tests:
        sheet.limitation("readings-cone", say("limitation-cone"), rule)
    if OEDOMETER in tests:
        sheet.limitation("readings-oedometer", say("limitation-oedometer"), rule)
