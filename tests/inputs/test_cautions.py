"""Values outside of what is usual are told and used; none is refused or altered."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calc.inputs import Design, read_design
from calc.inputs.reading.cautions import _inside, _outside
from calc.inputs.reading.document import Document
from calc.inputs.reading.field_list import scalar_of
from calc.inputs.reading.messages import keys_of, tables_in
from calc.inputs.reading.table import Table, band_of
from calc.package.typed import TypedFile

Read = Callable[..., Design]
ROOT = Path(__file__).resolve().parents[2]


def fields(model: type[Table]) -> dict[str, Any]:
    found = {f"{model.__name__}.{key}": info for key, info in keys_of(model).items()}
    for info in keys_of(model).values():
        for inner in tables_in(info.annotation):
            found |= fields(inner)
    return found


BANDS = {name: info for name, info in fields(Document).items() if band_of(info)}


@pytest.mark.parametrize("name", sorted(BANDS))
def test_a_band_is_typed_like_the_field_and_holds_its_example(name: str) -> None:
    info, band = BANDS[name], band_of(BANDS[name])
    kind = scalar_of(info)
    assert band
    assert kind

    assert _inside(band.low) < _inside(band.high)
    assert kind.read(band.high) == pytest.approx(_inside(band.high))  # of the same dimension, within the bounds
    assert not _outside(band, kind.read(info.examples[0]))


def test_in_the_starter_and_the_examples_one_value_alone_is_unusual(read: Read) -> None:
    """The dyke's clay keeps more of its strength than is common: its earthquake is weak."""
    projects = [path.parent for path in (ROOT / "projects").glob("*/project.toml")]

    assert projects
    told = [str(caution) for design in (read(), *map(read_design, projects)) for caution in design.cautions]
    assert [one.split(": ", 1)[1] for one in told] == [
        "earthquake.strength_left: caution: 0.95 is used; usual is 0.5 to 0.9 (common practice, no source)"
    ]


UNUSUAL = [
    ('E_oed_ref = "750 kPa"', 'E_oed_ref = "25 MPa"', "layer.0.E_oed_ref", 25000.0),
    ('gamma = "10.8 kN/m^3"', 'gamma = "1.08 kN/m^3"', "layer.0.gamma", 1.08),
    ('c_u = "15 kPa"', 'c_u = "500 kPa"', "layer.0.c_u", 500.0),
    ('c_u = "15 kPa"', 'k = "1e-9 m/d"', "layer.0.k", 1e-9),
    ('c_u = "15 kPa"', 'k = "1e-4 m/s"', "layer.0.k", 8.64),
]


@pytest.mark.parametrize(("old", "new", "path", "value"), UNUSUAL, ids=[row[1] for row in UNUSUAL])
def test_what_is_unusual_is_told_and_used_as_typed(read: Read, old: str, new: str, path: str, value: float) -> None:
    design = read((old, new))
    (caution,) = design.cautions

    assert caution.path == ("section", 0, "layer", 0, path.rpartition(".")[2])
    assert getattr(design.sections[0].layers[0], path.rpartition(".")[2]) == pytest.approx(value, rel=1e-12)


def test_a_caution_has_the_form_of_an_error(read: Read, tmp_path: Path) -> None:
    (caution,) = read(('E_oed_ref = "750 kPa"', 'E_oed_ref = "25 MPa"')).cautions

    assert str(caution).replace(f"{tmp_path}/", "") == (
        f'project.toml:{caution.line}:1: section[1].layer[1].E_oed_ref: caution: "25 MPa" is used; '
        "usual is 100 kPa to 20 MPa (common practice, no source)"
    )


def test_a_common_value_is_told_once(read: Read) -> None:
    (caution,) = read(('spacing = "1.90 m"', 'spacing = "6 m"'), ('c_u = "15 kPa"\n', "")).cautions

    assert caution.path == ("columns", "spacing")


def test_the_inputs_of_the_package_mark_it(read: Read) -> None:
    typed = TypedFile(read(('E_oed_ref = "750 kPa"', 'E_oed_ref = "25 MPa"')))
    cells = [
        cell.text for subject in typed.subjects() for table in subject.tables for row in table.rows for cell in row
    ]

    assert [str(text) for text in cells if "<sup>!</sup>" in text] == ["25 MN/m²<sup>!</sup>"]
