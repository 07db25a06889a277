"""Rules of strips of traffic load, each broken by itself in the starter's neighbour: an example that is right."""

from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design

TEXT = (Path(__file__).parents[2] / "tests" / "chapters" / "project.toml").read_text(encoding="utf-8")
STRIP = """
[[traffic.strip]]
name = "{name}"
position = "{position} m"
width = "3 m"
line_load = "156.25 kN/m"
class_factor = 1.0
depth = "{depth} m"
source = "test"
"""
SPREAD = '\n[traffic.spread]\nslope = 0.5\nsource = "test"\n'


def strips(*positions: float, depth: float = 0.7, names: str = "AB") -> str:
    made = (STRIP.format(name=name, position=at, depth=depth) for name, at in zip(names, positions, strict=False))
    return "".join(made)


def problems(tmp_path: Path, added: str) -> list[str]:
    text = TEXT.replace('[traffic]\nq = "20 kPa"\n', f'[traffic]\nq = "0 kPa"\n{added}')
    assert text != TEXT
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)
    return [str(error) for error in caught.value.errors]


@pytest.mark.parametrize(
    ("added", "message"),
    [
        (strips(0.0), "traffic.spread: must be given where traffic has strips, got nothing"),
        (SPREAD, "traffic.spread: must be left out where traffic has no strip, got a table spread"),
        (
            strips(5.0) + SPREAD,
            'traffic.strip[1].position: must leave the strip of 3 m on the crest of 12 m, got "5.0 m"',
        ),
        (
            strips(-2.0, 0.5) + SPREAD,
            "traffic.strip[2].position: must lie to the right of strip 'A', which ends at -0.5 m, got \"0.5 m\"",
        ),
        (
            strips(-2.0, 0.5).replace("depth", 'length = "2.2 m"\ndepth') + SPREAD,
            "traffic.strip[2].position: must lie to the right of strip 'A', which ends at -0.5 m, got \"0.5 m\"",
        ),
        (
            strips(0.0).replace("depth", 'plane_length = "9 m"\nplane_length_source = "owner"\ndepth') + SPREAD,
            'traffic.strip[1].plane_length: must be left out without a length, got "9 m"',
        ),
        (
            strips(0.0).replace("depth", 'length = "9.5 m"\nplane_length = "9 m"\nplane_length_source = "a"\ndepth')
            + SPREAD,
            'traffic.strip[1].plane_length: must not be less than length (9.5 m), got "9 m"',
        ),
        (
            strips(0.0).replace("depth", 'length = "2 m"\nplane_length = "9 m"\ndepth') + SPREAD,
            "traffic.strip[1].plane_length_source: must be given with a plane_length, got nothing",
        ),
        (
            strips(0.0).replace("depth", 'length = "2 m"\nplane_length_source = "owner"\ndepth') + SPREAD,
            'traffic.strip[1].plane_length_source: must be left out without a plane_length, got "owner"',
        ),
        (strips(-2.0, 2.0, names="AA") + SPREAD, 'traffic.strip[2].name: must be used once only, got "A"'),
        (
            strips(0.0, depth=7.0) + SPREAD,
            "stage[2].traffic: must be false while strip 'A', 7 m below the crest, acts not above the heads, got true",
        ),
        (
            strips(0.0).replace("1.0\n", "0.1\n") + SPREAD,
            "traffic.strip[1].class_factor: must be at least 0.5 and at most 2, got 0.1",
        ),
    ],
)  # fmt: skip
def test_strips_that_cannot_be_are_refused(tmp_path: Path, added: str, message: str) -> None:
    found = problems(tmp_path, added)

    assert len(found) == 1
    assert found[0].endswith(message)


def test_no_strip_stands_on_a_surcharge(tmp_path: Path) -> None:
    final = TEXT[TEXT.index('[[stage]]\nname = "Final"') :].split("\n\n", 1)[0]
    higher = final.replace("Final", "Surcharge").replace('"6 m"', '"7 m"').replace('"130 d"', '"60 d"')
    assert higher.count("7 m") == 1
    text = TEXT.replace('[traffic]\nq = "20 kPa"\n', f'[traffic]\nq = "0 kPa"\n{strips(0.0)}{SPREAD}')
    (tmp_path / "project.toml").write_text(text.replace(final, f"{higher}\n\n{final}"), encoding="utf-8")

    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    (found,) = caught.value.errors
    assert str(found).endswith(
        "stage[2].traffic: must be false while a surcharge stands above the crest (6 m), which has the strips, got true"
    )
