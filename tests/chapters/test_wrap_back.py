"""The wrap-back of a layer where it lies on the layer, or nearly so, by hand calculations."""

from collections.abc import Callable
from math import radians, tan
from typing import Any

import pytest

from tests.chapters.mats import FINAL, SETS, Chapters, keys, whole

approx = pytest.approx


def folded(cover: str, **more: str) -> Callable[[Any], None]:
    """The whole mat with another cover of its wrap-back, and other lengths."""

    def change(document: Any) -> None:
        whole(document)
        document["reinforcement"][0]["anchorage"] |= {"fold_back_cover": cover, **more}

    return change


def test_fold_given_below_more_fill_than_the_slope_has_counts_what_is_there_and_turns_the_anchorage(
    chapters: Chapters,
) -> None:
    deep, plain = (chapters(change)["reinforcement"] for change in (folded("4 m"), whole))
    said = next(limitation for limitation in deep.limitations if limitation.key == "fold-back-anchorage")

    assert float(deep.scopes["anchorage"]["h_u"].at(stage=FINAL).array) == approx(3.0)
    assert "4.00 m" in said.text
    assert "3.00 m" in said.text
    assert said.turns == ("anchorage",)
    assert "fold-back-anchorage" not in keys(plain)


@pytest.mark.parametrize(("length", "clear"), [("9 m", 0.0), ("1.0 m", 0.5)])
def test_a_face_on_which_the_fold_lies_has_no_friction(chapters: Chapters, length: str, clear: float) -> None:
    """The layer of 1.5 m below 1.125 m of fill in the mean: its lower face, and the upper one where it is clear."""
    sheet = chapters(folded("4 m", fold_back=length))["reinforcement"]
    scope, at = sheet.scopes["anchorage"], {"factor_set": SETS[1], "stage": FINAL}
    above, below = 0.8 * tan(radians(32.5)) / 1.25 / 1.05, 0.7 * tan(radians(30)) / 1.25 / 1.05
    cover = {"9 m": 3.0, "1.0 m": 1.0}[length]

    assert float(scope["R_b"].at(**at).array) == approx(19 * 1.125 * (below * 1.5 + above * clear))
    assert float(scope["R_u"].at(**at).array) == approx(19 * cover * above * float(length[:-2]))
    tension = float(scope["T_anc"].at(**at).array)
    assert float(scope["L_breq"].at(**at).array) == approx(tension / (19 * 1.125 * below))


@pytest.mark.parametrize(("lift", "thin"), [("0.4 m", True), ("0.3 m", False), (None, True)])
def test_fill_below_the_fold_thinner_than_a_lift_is_tried_without_it(
    chapters: Chapters, lift: str | None, thin: bool
) -> None:
    """0.30 m of fill between: without it 3.0 m above one face, and the lower face of the straight part."""

    def change(document: Any) -> None:
        folded("2.7 m")(document)
        if lift is None:
            del document["first_lift"]
        else:
            document["first_lift"]["thickness"] = lift

    sheet = chapters(change)["reinforcement"]
    said = {limitation.key: limitation for limitation in sheet.limitations}
    assert ("thin-fold-anchorage" in said) is thin
    if thin:
        scope, at = sheet.scopes["anchorage"], {"factor_set": SETS[1], "stage": FINAL}
        above, below = 0.8 * tan(radians(32.5)) / 1.25 / 1.05, 0.7 * tan(radians(30)) / 1.25 / 1.05
        assert float(scope["R_anc0"].at(**at).array) == approx(19 * (1.125 * below * 1.5 + 3.0 * above * 9))
        ratio = float((scope["T_anc"].array / scope["R_anc0"].array)[:, 1:].max())
        assert ratio > 1
        assert said["thin-fold-anchorage"].text.endswith(f"would be {ratio:.2f}.")
        assert said["thin-fold-anchorage"].turns == ("anchorage",)


def test_thin_fill_below_the_fold_turns_nothing_where_the_anchorage_stands_without_it(chapters: Chapters) -> None:
    def long(document: Any) -> None:
        folded("4.9 m", fold_back="30 m")(document)
        document["stage"][0]["fill_height"] = "5 m"

    said = next(
        limitation
        for limitation in chapters(long)["reinforcement"].limitations
        if limitation.key == "thin-fold-anchorage"
    )

    assert said.turns == ()
