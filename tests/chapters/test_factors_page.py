"""The table of factors that no set holds: every factor of the project file stands in it with its source."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from calc.chapters.basis.factors_page import other_factors
from calc.inputs import Section, read_design
from calc.inputs.tables.sleeve import Factor, ReinforcementLayer, Sleeve

PROJECTS = Path(__file__).parents[2] / "projects"
EXAMPLES = sorted(path.parent for path in PROJECTS.glob("*/project.toml"))


def sourced(model: BaseModel) -> Iterator[tuple[float, str]]:
    """Value and source of every factor below a table that says where each of its values comes from."""
    for name in type(model).model_fields:
        value: Any = getattr(model, name)
        if isinstance(value, BaseModel):
            yield from [(value.value, value.source)] if isinstance(value, Factor) else sourced(value)


def given(section: Section) -> Iterator[tuple[float | None, str | None]]:
    """Values and sources of the factors that a section is given besides those of the sets."""
    members: tuple[Sleeve | ReinforcementLayer, ...] = (section.sleeve, *section.reinforcement)
    for member in members:
        yield from sourced(member)
        yield from ((getattr(member.gamma_M, one), member.gamma_M.source) for one in ("persistent", "transient"))
    if section.platform and section.platform.rig:
        rig = section.platform.rig.factors
        yield from ((getattr(rig, one), rig.source) for one in ("standing", "extracting"))
    if uplift := section.uplift:
        yield from ((getattr(uplift, one), uplift.source) for one in ("gamma_dst", "gamma_stb", "gamma_S_dst"))
        if uplift.casing:
            yield uplift.casing.gamma_cu, uplift.casing.source
    if section.plug and section.plug.needed:
        yield from ((getattr(section.plug, one), section.plug.source) for one in ("gamma_dst", "gamma_shear"))
    if section.traffic and section.traffic.dynamic:
        yield section.traffic.dynamic.factor, section.traffic.dynamic.source


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_every_factor_beside_the_sets_stands_in_the_table_with_its_source(folder: Path) -> None:
    for section in read_design(folder).sections:
        text = " | ".join(row[1] for row in other_factors(section).rows)
        known = [(value, source) for value, source in given(section) if value is not None]

        assert known
        assert [one for one in known if f" {one[0]:g}" not in text or str(one[1]).rstrip(".") not in text] == []


def test_what_has_the_same_factors_stands_in_one_row_and_alike_sources_once() -> None:
    (section,) = read_design(PROJECTS / "rail-loop").sections
    rows = {row[0]: row[1] for row in other_factors(section).rows}

    assert len(rows) < len({section.sleeve.name, *(mat.name for mat in section.reinforcement)}) + 4
    assert "dynamic factor at their level" in " ".join(rows.values())
    assert all(text.count("(") == text.count(")") for text in rows.values())
