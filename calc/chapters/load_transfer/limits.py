"""Where the arching models leave their limits of use."""

import numpy as np

from calc.chapters.shared.mats import reinforced_directions
from calc.engine.sheet import Scope, Sheet, number_text, stage_names
from calc.engine.words import words_of
from calc.formulas.arching_shells import CLEAR_DISTANCE_UNDER_HEAVY_LOAD, USE_LIMITS, UseLimit
from calc.inputs import Section

say = words_of(__name__)

SINGULAR = (
    ("domes", 1.5, "model of Hewlett & Randolph (1988)"),
    ("concentric", 1.5, "hemispheres"),
    ("concentric", 2.0, "arches"),
)
NEAR = 1e-6
HEAVY = 20.0  # kN/m² of traffic where it acts, project rule: what counts as heavy live load for the clear distance
LIMIT_WORDS = {
    "r_ds": say("limit-words"),
    "r_hs": say("limit-words-2"),
    "L_m": say("limit-words-3"),
    "r_k": say("limit-words-4"),
}


def limits_of_use(sheet: Sheet, section: Section) -> None:
    """State each limit that a model leaves in some stage with fill enough for arching."""
    shells, traffic = sheet.scopes["shells"], section.traffic
    strips = [strip.class_factor * strip.line_load / strip.width for strip in traffic.strip] if traffic else []
    live = (traffic.q if traffic else 0.0) + max(strips, default=0.0)
    for limit in USE_LIMITS:
        heavy = limit.symbol == "L_m" and live >= HEAVY
        _check(sheet, CLEAR_DISTANCE_UNDER_HEAVY_LOAD if heavy else limit, shells)
    for key, words in (("domes", say("arches")), ("concentric", say("arches-2"))):
        _height(sheet, sheet.scopes[key], words)
    _singular(sheet)
    _too_low(sheet)
    sheet.limitation("arching-encased", say("limitation-arching-encased"), "project rule ◇")
    _above_full(sheet, section)
    sheet.limitation(
        "arching-coefficient",
        say("limitation-arching-coefficient"),
        "Van Eekelen et al. (2011), Geotext. Geomembr. 29 (abstract read); BS 8006-1:2010 ◦",
    )


def _check(sheet: Sheet, limit: UseLimit, shells: Scope) -> None:
    value = shells[limit.symbol]
    numbers = value.array[value.valid]
    if not numbers.size:
        return
    worst = float(numbers.min() if limit.at_least else numbers.max())
    if worst >= limit.bound if limit.at_least else worst <= limit.bound:
        return
    side = say("at-least") if limit.at_least else say("at-most")
    text = number_text(worst, 2)
    if len({number_text(float(number), 2) for number in numbers}) > 1:
        text = say("down-to", worst=text) if limit.at_least else say("up-to", worst=text)
    sheet.limitation(
        f"shells-{limit.symbol}",
        say(
            "limitation-shells",
            limit_words=LIMIT_WORDS[limit.symbol],
            worst=text,
            side=side,
            bound=limit.bound,
        ),
        f"{limit.source.citation} ◦",
    )


def _height(sheet: Sheet, scope: Scope, words: str) -> None:
    """The arches must stand within the fill."""
    low, height = float(scope["H_1L"].array), sheet["H_ar"]
    if (height.array[height.valid] < low).any():
        sheet.limitation(
            f"{scope.name}-height",
            say("limitation-height", words=words, low=number_text(low, 2)),
            "geometry of the model ◇",
        )


def _singular(sheet: Sheet) -> None:
    K_p = sheet["K_p"].array  # noqa: N806 - printed symbol
    for key, at, words in SINGULAR:
        if (np.abs(K_p - at) < NEAR).any():
            sheet.limitation(f"{key}-singular-{at:g}", say("limitation-singular", at=at, words=words), "derived here ◇")


def _too_low(sheet: Sheet) -> None:
    height = sheet["H_ar"]
    lacking = ~height.valid & (sheet["H_A"].array > 0)
    low = [label for label, row in zip(height.labels("stage"), lacking, strict=True) if row.any()]
    if low:
        sheet.limitation(
            "too-low",
            say("limitation-too-low", array=number_text(float(sheet["H_part"].array), 2), low=stage_names(low)),
            "BS 8006-1:2010, 8.3.3 ◦",
        )


def _above_full(sheet: Sheet, section: Section) -> None:
    """Where arching is not complete, or one direction is stiffer, compatible settlement gives the larger tension."""
    for words, tag in reinforced_directions(section):
        used, full = sheet[f"T_m{tag}D"], sheet[f"T_m{tag}F"]
        share = np.divide(used.array, full.array, out=np.zeros_like(used.array), where=used.valid & (full.array > 0))
        over = share > 1 + NEAR
        if not over.any():
            continue
        place = used.axis_names.index("stage")
        by_stage = np.atleast_1d(over.any(axis=tuple(k for k in range(over.ndim) if k != place)))
        k = int(np.argmax(share))
        sheet.limitation(
            f"above-full-{words}",
            say(
                "limitation-above-full",
                words=words,
                stages=stage_names(
                    label for label, is_above in zip(used.labels("stage"), by_stage, strict=True) if is_above
                ),
                used=number_text(float(used.array.flat[k]), 2),
                full=number_text(float(full.array.flat[k]), 2),
            ),
            "project rule ◇",
        )
