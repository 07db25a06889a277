"""Groups of AGS 4 files, written from rows with commas."""

SPECIMEN = "LOCA_ID,SAMP_TOP,SPEC_REF,SPEC_DPTH"


def group(name: str, headings: str, units: str, *rows: str, types: str = "") -> str:
    """One group; the line TYPE is left out where no types are given."""
    lines = [("GROUP", name), ("HEADING", headings), ("UNIT", units), *([("TYPE", types)] if types else []),
             *(("DATA", row) for row in rows)]  # fmt: skip
    return "\n".join(",".join(f'"{cell}"' for cell in [what, *cells.split(",")]) for what, cells in lines) + "\n"


def consolidation(loads: str, *, head: str = "OEDOMETER,UNDISTURBED,2.000", place: str = "B1,3.00,1,3.10") -> str:
    """An oedometer test: "stress/start/end/m_v" of each load, in CONG and CONS."""
    rows = [f"{place},{','.join(load.split('/'))}" for load in loads.split()]
    return group("CONG", f"{SPECIMEN},CONG_TYPE,CONG_COND,CONG_IVR", ",m,,m,,,", f"{place},{head}") + group(
        "CONS", f"{SPECIMEN},CONS_INCF,CONS_IVR,CONS_INCE,CONS_INMV", ",m,,m,kPa,,,m2/MN", *rows
    )
