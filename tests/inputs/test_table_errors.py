"""Missing and unknown keys, tables of the wrong kind, many errors at once."""

from collections.abc import Callable

import pytest

from calc.inputs.reading.starter import starter_project

Refused = Callable[..., list[str]]
LineOf = Callable[[str], int]

SPACING = 'spacing = "1.90 m"'

GAPS = [
    ("K_star = 1.0 # coeff", "# ", "columns.K_star: must be given for displacement columns, got nothing", "[columns]"),
    (
        'gamma_sub = "10',
        '# "',
        "embankment.gamma_sub: must be given with makeup_fill, or makeup_fill be false, got nothing",
        "[embankment]",
    ),
    ("psi_2 = 0.3", "#", "basis.psi_2: must be given where a section has traffic, got nothing", "[basis]"),
    (
        'c_u = "15 kPa"',
        'c_u_growth = "1 kPa/m"',
        "section[1].layer[1].c_u: must be given where c_u_growth is given, got nothing",
        "[[section.layer]]",
    ),
    (
        'c_u = "15 kPa"',
        "C_alpha = 0.1",
        "section[1].layer[1].e_0: must be given where C_alpha is given, got nothing",
        "[[section.layer]]",
    ),
    (
        'oversize = "0 mm"',
        "#",
        "sleeve.oversize: must be given, or installed_radius, but not both, got neither",
        "[sleeve]",
    ),
    (SPACING, "", 'columns.spacing: must be given: spacing = "2.0 m", got nothing', "[columns]"),
    (
        'chainage = "0+000 to 0+100"',
        "",
        'section[1].chainage: must be given: chainage = "0+120 to 0+480", got nothing',
        "[[section]]",
    ),
    (
        ', source = "example value: creep test report"',
        "",
        'sleeve.factors.A1.source: must be given: source = "creep test report 118/24", got nothing',
        "A1 =",
    ),
    (
        'a seismic stage alone\nsource = "example value: basis of design"',
        "a seismic stage alone",
        'sleeve.gamma_M.source: must be given: source = "basis of design, section 5", got nothing',
        "[sleeve.gamma_M]",
    ),
]


@pytest.mark.parametrize(("old", "new", "text", "header"), GAPS, ids=[row[2].split(":")[0] for row in GAPS])
def test_what_is_missing_is_placed_at_the_header_of_its_table(
    refused: Refused, line_of: LineOf, old: str, new: str, text: str, header: str
) -> None:
    lines = refused((old, new))

    assert lines == [f"project.toml:{line_of(header)}:1: {text}"]


def test_an_unknown_key_names_the_nearest_one(refused: Refused, line_of: LineOf) -> None:
    lines = refused((SPACING, f'{SPACING}\nspaceing = "1 m"'))

    assert lines == [
        (
            f"project.toml:{line_of('spaceing')}:1: columns.spaceing: must be a key known here "
            '(near: "spacing"), got an unknown key'
        )
    ]


def test_an_unknown_key_without_a_near_one_lists_the_keys(refused: Refused) -> None:
    (line,) = refused(('upstand = "0 m"', 'upstand = "0 m"\nzzz = 1'))

    assert line.endswith(
        "columns.zzz: must be one of the keys known here: pattern, spacing, diameter, installation, K_star, embedment, "
        "upstand, fill, floating, zone, got an unknown key"
    )


def test_an_unknown_table_at_the_top_may_be_near_a_common_one(refused: Refused, line_of: LineOf) -> None:
    lines = refused(("[embankment]", "[embankement]"))

    assert (
        f"project.toml:{line_of('[embankement]')}:1: embankement: must be a key known here "
        '(near: "embankment"), got an unknown key' in lines
    )
    assert (
        f"project.toml:{line_of('[[section]]')}:1: section[1].embankment: must be given: [embankment], got nothing"
        in lines
    )


def test_all_errors_come_at_once_in_the_order_of_the_lines(refused: Refused) -> None:
    lines = refused(
        ("design_life", "design_live"),
        ('phi = "32.5 deg"', 'phi = "32,5 deg"'),
        (SPACING, 'spacing = "0.7 m"'),
        ('fill_height = "2.0 m"', 'fill_height = "2.0"'),
        ('gamma_sat = "11.0 kN/m^3"', 'gamma_sat = "9 kN/m^3"'),
    )
    paths = [line.split(": ")[1] for line in lines]

    assert paths == [
        "basis.design_life",
        "basis.design_live",
        "embankment.phi",
        "columns.spacing",
        "stage[2].fill_height",
    ]


def test_a_rule_waits_only_for_the_values_that_it_names(refused: Refused) -> None:
    """A wrong stage does not hide that the columns touch."""
    lines = refused(('fill_height = "2.0 m"', 'fill_height = "2.0"'), (SPACING, 'spacing = "0.7 m"'))

    assert len(lines) == 2


def test_an_error_in_a_common_table_is_reported_once_for_all_sections(refused: Refused) -> None:
    text = starter_project("Test")
    second = text[text.index("[[section]]\nkey") :].replace('key = "A"', 'key = "B"')

    lines = refused(
        (SPACING, 'spacing = "1.9"'),
        (text[text.index("[[section]]\nkey") :], text[text.index("[[section]]\nkey") :] + second),
    )

    assert len(lines) == 1


def test_sections_have_keys_of_their_own(refused: Refused) -> None:
    text = starter_project("Test")
    section = text[text.index("[[section]]\nkey") :]

    assert [line.split(": ", 1)[1] for line in refused((section, section + section))] == [
        'section[2].key: must be used once only, got "A"'
    ]


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        ("[columns]", "[[columns]]", "columns: must be written [columns]: there is one, got [[columns]]"),
        (
            "[[assumption]]",
            "[assumption]",
            "assumption: must be written [[assumption]]: it is a list, got [assumption]",
        ),
        ("\n[[section]]\n", "\n[section]\n", "section: must be written [[section]]: it is a list, got [section]"),
        ("[people]", "[[people]]", "people: must be written [people]: there is one, got [[people]]"),
        (
            'factor_sets = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]',
            "factor_sets = []",
            "basis.factor_sets: must have at least 1 entry, got 0 entries",
        ),
        (
            'factor_sets = ["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]',
            f"factor_sets = {['x'] * 11}",
            "basis.factor_sets: must have at most 10 entries, got 11 entries",
        ),
    ],
)
def test_a_table_or_list_of_the_wrong_kind_is_refused(refused: Refused, old: str, new: str, text: str) -> None:
    assert text in [line.split(": ", 1)[1] for line in refused((old, new))]


def test_sublayers_are_bounded(refused: Refused) -> None:
    lines = refused(
        ('# sublayer_max = "1 m"', 'sublayer_max = "0.05 m"'), ('thickness = "4.0 m"', 'thickness = "40 m"')
    )

    assert [line.split(": ", 1)[1] for line in lines] == [
        "section[1].layer: must give at most 400 sublayers of basis.sublayer_max, got 840"
    ]


def test_revisions_have_labels_of_their_own_and_ascending_dates(refused: Refused) -> None:
    again = '[[project.revision]]\nlabel = "A"\ndate = 2025-01-14\nstatus = "x"\nnote = "y"\nauthor = "z"\n\n[people]'

    assert [line.split(": ", 1)[1] for line in refused(("[people]", again))] == [
        'project.revision[2].label: must be used once only, got "A"',
        "project.revision[2].date: must not be before the revision above it (2025-01-15), got 2025-01-14",
    ]


def test_a_list_that_would_make_a_run_unbounded_is_refused(refused: Refused) -> None:
    text = starter_project("Test")
    stage = text[text.index("[[stage]]") : text.index("[[stage]]", text.index("[[stage]]") + 1)]

    assert [line.split(": ", 1)[1] for line in refused((stage, stage * 49))] == [
        "stage: must have at most 50 entries, got 51 entries"
    ]
