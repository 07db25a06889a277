"""The key locator against documents that another library writes."""

import tomllib
from typing import Any

import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.inputs.reading.locate import Path, locate

KEYS = st.one_of(
    st.from_regex(r"[A-Za-z0-9_-]{1,6}", fullmatch=True),
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=5),
)
VALUES: st.SearchStrategy[Any] = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(-(2**40), 2**40),
        st.floats(allow_nan=False, allow_infinity=False),
        st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
        st.dates(),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(KEYS, inner, max_size=3)),
    max_leaves=12,
)


def paths(value: Any, path: Path = ()) -> set[Path]:
    if isinstance(value, dict):
        return {path}.union(*(paths(item, (*path, key)) for key, item in value.items()))
    if isinstance(value, list):
        return {path}.union(*(paths(item, (*path, index)) for index, item in enumerate(value)))
    return {path}


@given(st.dictionaries(KEYS, VALUES, max_size=5))
@settings(max_examples=300, deadline=None)
def test_every_key_of_a_document_of_another_writer_is_located(document: dict[str, Any]) -> None:
    text = tomlkit.dumps(document)
    read = tomllib.loads(text)
    places = locate(text)

    assert set(places) == paths(read) - {()}
    lines = text.split("\n")
    for path, place in places.items():
        line = lines[place.line - 1]
        assert 1 <= place.column <= len(line)
        if isinstance(path[-1], str) and path[-1].isalnum() and path[-1].isascii():
            assert path[-1] in line[place.column - 1 :]


@given(st.dictionaries(KEYS, VALUES, min_size=1, max_size=4))
@settings(max_examples=200, deadline=None)
def test_the_typed_text_of_a_value_reads_back_as_the_value(document: dict[str, Any]) -> None:
    text = tomlkit.dumps(document)
    read = tomllib.loads(text)

    for path, place in locate(text).items():
        if place.text:
            value: Any = read
            for key in path:
                value = value[key]
            assert tomllib.loads(f"x = {place.text}")["x"] == value


DOCUMENT = """\
# first line
title = "a # b"
site."north east".level = 1.50  # comment
text = '''
two [lines]
x = 1'''
list = [ # comment ]
  "a", { b = 2, c.d = [3] },
]

[[section]]
key = "A"

  [[section.layer]]
  name = "peat"
  [[section.layer]]
  name = "clay"
[section.columns]
spacing = "1.9 m"

[[section]]
key = "B"
"""


def test_places_in_a_document_written_by_hand() -> None:
    places = {path: (place.line, place.column) for path, place in locate(DOCUMENT).items()}

    assert places == {
        ("title",): (2, 1),
        ("site",): (3, 1),
        ("site", "north east"): (3, 1),
        ("site", "north east", "level"): (3, 1),
        ("text",): (4, 1),
        ("list",): (7, 1),
        ("list", 0): (8, 3),
        ("list", 1): (8, 8),
        ("list", 1, "b"): (8, 10),
        ("list", 1, "c"): (8, 17),
        ("list", 1, "c", "d"): (8, 17),
        ("list", 1, "c", "d", 0): (8, 24),
        ("section",): (11, 1),
        ("section", 0): (11, 1),
        ("section", 0, "key"): (12, 1),
        ("section", 0, "layer"): (14, 3),
        ("section", 0, "layer", 0): (14, 3),
        ("section", 0, "layer", 0, "name"): (15, 3),
        ("section", 0, "layer", 1): (16, 3),
        ("section", 0, "layer", 1, "name"): (17, 3),
        ("section", 0, "columns"): (18, 1),
        ("section", 0, "columns", "spacing"): (19, 1),
        ("section", 1): (21, 1),
        ("section", 1, "key"): (22, 1),
    }


def test_the_text_of_a_value_is_kept_as_typed() -> None:
    places = locate(DOCUMENT)

    assert places["site", "north east", "level"].text == "1.50"
    assert places["title",].text == '"a # b"'
    assert places["list", 1, "c", "d", 0].text == "3"


def test_lines_that_end_with_a_carriage_return_count_as_one() -> None:
    assert locate('a = 1\r\nb = "x"\r\n')["b",] == locate('a = 1\nb = "x"\n')["b",]


def test_a_quoted_key_is_known_by_what_it_means() -> None:
    places = locate("\"a\\tb\\u00e9\" = 1\n'c\\t' = 2\n")

    assert list(places) == [("a\tb\u00e9",), ("c\\t",)]
