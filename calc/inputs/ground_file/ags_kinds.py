"""Which groups of an AGS 4 file hold readings, with their headings.

Groups, headings and codes are those of the standard dictionaries of editions 4.0.3 to 4.2; ESCG_PCP came with 4.1, FGHG
took the place of IPRG with 4.2.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from calc.inputs.ground_file.result_rows import IGNITION, INDEX

AGS = ".ags"
SPECIMEN = ("SPEC_DPTH", "SAMP_TOP")
SAMPLE_KEYS = ("SAMP_TOP", "SAMP_REF", "SAMP_TYPE", "SAMP_ID", "SPEC_REF", "SPEC_DPTH")
UNDISTURBED = {"UNDISTURBED", ""}
"""States of a specimen that say something of the ground as it lies; a blank one is that of most files."""
OEDOMETER = "OEDOMETER"
ORGANIC = {"OGM": "organic", "LOI": IGNITION}
"""Codes of GCHM_CODE by the dictionaries: organic matter content, loss on ignition, both in per cent."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A group with a reading in each row: the test, headings of depth and numbers, and what tells its rows apart.

    Of ``depth`` the first heading that a row fills counts, of a test zone the middle of both. ``state`` is the group
    and the heading that say whether the specimen was undisturbed, ``general`` a group with numbers of the whole test,
    ``other`` a heading with the code of a test of another kind.
    """

    group: str
    test: str
    depth: tuple[str, ...]
    columns: Mapping[str, str]
    keys: tuple[str, ...]
    state: tuple[str, str] | None = None
    zone: bool = False
    general: tuple[str, Mapping[str, str]] | None = None
    other: tuple[str, str] = ("", "")


KINDS = (
    Kind("IVAN", "vane", ("IVAN_DPTH",), {"IVAN_IVAN": "c_fv"}, ("IVAN_TESN",), other=("IVAN_TYPE", "TORVANE")),
    Kind(
        "SCPT",
        "cone",
        ("SCPT_DPTH",),
        {"SCPT_RES": "q_c", "SCPT_PWP2": "u_2"},
        ("SCPG_TESN",),
        general=("SCPG", {"SCPG_CAR": "a"}),
    ),
    Kind("TRIT", "strength", SPECIMEN, {"TRIT_CU": "c_u"}, (*SAMPLE_KEYS, "TRIT_TESN"), ("TRIG", "TRIG_COND")),
    Kind("ESCG", "preconsolidation", SPECIMEN, {"ESCG_PCP": "sigma_p"}, SAMPLE_KEYS, ("ESCG", "ESCG_COND")),
    Kind("PTST", "permeability", SPECIMEN, {"PTST_K": "k"}, (*SAMPLE_KEYS, "PTST_TESN"), ("PTST", "PTST_COND")),
    Kind("IPRG", "permeability", ("IPRG_TOP", "IPRG_BASE"), {"IPRG_IPRM": "k"}, ("IPRG_TESN", "IPRG_STG"), zone=True),
    Kind("FGHG", "permeability", ("FGHG_TOP", "FGHG_BASE"), {"FGHG_IPRM": "k"}, ("FGHG_TESN",), zone=True),
)
INDICES = Kind("LLPL", INDEX, SPECIMEN, {"LLPL_PI": "I_P", "LLPL_LL": "w_L"}, SAMPLE_KEYS)
OF_DETERMINAND = (*SAMPLE_KEYS, "GCHM_CODE", "GCHM_METH", "GCHM_TTYP")
CHEMISTRY = Kind("GCHM", "organic", SPECIMEN, {"GCHM_RESL": "organic"}, OF_DETERMINAND)
CONSOLIDATION = Kind("CONS", "oedometer", SPECIMEN, {"CONS_INCF": "stress"}, SAMPLE_KEYS, ("CONG", "CONG_COND"))
OF_INCREMENT = {"CONS_IVR": "e_1", "CONS_INCE": "e_2", "CONS_INMV": "m_v"}
GROUPS = (*(kind.group for kind in KINDS), INDICES.group, CHEMISTRY.group, CONSOLIDATION.group)


def heading_of(test: str, name: str) -> str:
    """The heading of an AGS 4 file below which a quantity of a test stands."""
    kind = next(kind for kind in (*KINDS, CONSOLIDATION) if kind.test == test)
    if name == "depth":
        return kind.depth[0]
    of_test = dict(kind.general[1]) if kind.general else {}
    return {name: heading for heading, name in {**kind.columns, **INDICES.columns, **of_test}.items()}[name]
