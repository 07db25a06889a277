"""Changed copies of a project file: only what is changed differs, comments stay."""

import tomllib

import pytest

from calc.study.changed_file import ChangeError, Changes, changed_text, without_tables

ONE = """# head
[columns] # common
spacing = "2.0 m" # why
[sleeve.factors]
A1 = 1.5

[[section]]
key = "A"
"""
TWO = f"""{ONE}
[[section]]
key = "B"
[section.columns]
diameter = "0.6 m"

[[reinforcement]]
name = "r"
strength = "3 kN/m" # kept
"""


def test_only_the_value_changes_and_its_comment_stays() -> None:
    made = changed_text(ONE, 0, {("columns", "spacing"): "1.8 m"})

    assert made == ONE.replace('"2.0 m"', '"1.8 m"')


def test_what_is_written_is_marked_and_the_old_comment_speaks_of_the_old_value() -> None:
    text = ONE.replace("A1 = 1.5", 'A1 = 1.5\n[[sleeve.stiffness]] # old\nJ = "1 kN/m"')
    changes: Changes = {
        ("columns", "spacing"): "1.8 m", ("columns", "K_star"): 1.2, ("sleeve", "stiffness"): [{"J": "2 kN/m"}],
        ("sleeve", "iso20432"): {"R1": 1.1}, ("sleeve", "factors", "A1"): 1.5,
    }  # fmt: skip

    made = changed_text(text, 0, changes, "written")

    assert 'spacing = "1.8 m" # written; was: "2.0 m" # why\n' in made
    assert "K_star = 1.2 # written\n" in made
    assert "[sleeve.iso20432] # written\n" in made
    assert "[[sleeve.stiffness]] # written\n" in made
    assert "A1 = 1.5\n" in made  # the same as before
    assert tomllib.loads(made)["sleeve"]["stiffness"] == [{"J": "2 kN/m"}]
    again = changed_text(made, 0, {("sleeve", "iso20432"): {"R1": 1.2}}, "rewritten")
    assert "[sleeve.iso20432] # rewritten\n" in again


def test_new_and_removed_values_of_the_one_section_stand_in_its_common_tables() -> None:
    made = changed_text(ONE, 0, {("columns", "K_star"): 1.2, ("sleeve", "factors"): None,
                                 ("sleeve", "iso20432"): {"RF_CR": {"value": 2.0, "source": "x"}}})  # fmt: skip
    document = tomllib.loads(made)

    assert document["columns"] == {"spacing": "2.0 m", "K_star": 1.2}
    assert document["sleeve"] == {"iso20432": {"RF_CR": {"value": 2.0, "source": "x"}}}
    assert 'RF_CR = {value = 2.0, source = "x"}' in made
    assert document["section"] == [{"key": "A"}]


def test_what_one_section_states_beside_a_common_table_goes_from_both() -> None:
    both = ONE + "[section.columns]\nspacing = '1 m'\n"
    document = tomllib.loads(changed_text(both, 0, {("columns", "spacing"): None}))

    assert document["columns"] == document["section"][0]["columns"] == {}


def test_one_of_several_sections_takes_tables_and_lists_of_its_own() -> None:
    made = changed_text(TWO, 1, {("columns", "spacing"): "1.8 m", ("reinforcement", 0, "strength"): "5 kN/m"})
    document = tomllib.loads(made)

    assert document["columns"] == {"spacing": "2.0 m"}
    assert document["section"][1]["columns"] == {"diameter": "0.6 m", "spacing": "1.8 m"}
    assert document["section"][1]["reinforcement"] == [{"name": "r", "strength": "5 kN/m"}]
    assert document["reinforcement"] == [{"name": "r", "strength": "3 kN/m"}]
    assert changed_text(TWO, 0, {("neighbours", "x"): 1}).count("[section.neighbours]") == 1


def test_own_values_are_removed_and_common_ones_only_where_no_other_section_has_them() -> None:
    own = changed_text(TWO, 1, {("columns", "diameter"): None, ("sleeve", "factors", "A9"): None,
                                ("sleeve", 0): None})  # fmt: skip

    assert tomllib.loads(own)["section"][1]["columns"] == {}
    with pytest.raises(ChangeError, match=r"sleeve\.factors stands in a table that all sections have"):
        changed_text(TWO, 1, {("sleeve", "factors"): None})


def test_a_list_within_a_common_table_becomes_one_of_the_section() -> None:
    text = """
[columns]
spacing = "2 m"
[[columns.zone]]
key = "slope"
spacing = "1.5 m"
[[section]]
key = "A"
[[section]]
key = "B"
"""
    made = tomllib.loads(changed_text(text, 0, {("columns", "zone", 0, "spacing"): "1.7 m"}))

    assert made["section"][0]["columns"] == {"zone": [{"key": "slope", "spacing": "1.7 m"}]}
    assert "columns" not in made["section"][1]
    assert made["columns"]["zone"][0]["spacing"] == "1.5 m"


def test_tables_are_left_out_where_the_lines_tell_them_apart() -> None:
    """Not where one stands on one line, nor where a text has lines like headers."""
    rest, size = '[project]\ntitle = "A"\n', "[size]\na = 1\n[[size.b]]\nc = 2\n[size.b.d]\ne = 3\n"
    inline, inside = f"size = {{ a = 1 }}\n{rest}", '[project]\ntitle = """\n[size]\n"""\n'

    assert without_tables(f"{size}{rest}{size.replace('size', 'catalogue')}", ("size", "catalogue")) == rest
    assert without_tables(inline, ("size",)) == inline
    assert without_tables(inside, ("size",)) == inside
