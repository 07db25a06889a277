"""Texts of the readings: each that is looked up is there with its values, each that is there is looked up."""

import tomllib

from tests.architecture.checkout import ROOT
from tests.architecture.test_words import asked_by, looked_up

ROOM = ROOT / "calc" / "site" / "observed"


def test_texts_and_look_ups_fit() -> None:
    book = tomllib.loads((ROOM / "words.toml").read_text(encoding="utf-8"))
    known = {(module, key) for module, table in book.items() for key in table}
    used = list(looked_up(ROOM))

    assert sorted({(module, key) for module, key, _ in used} ^ known) == []
    assert [(module, key) for module, key, given in used if asked_by(book[module][key]) != given] == []
