"""The ten lines after a run, and what may be chosen of it."""

import json
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import Result

from calc.engine.sheet import Verdict
from calc.terminal import summary
from tests.cli.conftest import run_of

Command = Callable[..., Result]

TENSION = Verdict(
    "ring", "Ring tension of the sleeve", "fail", effect=94.0868, resistance=68.714, unit="kN/m", utilisation=1.36925,
    case={"stage": "3 Stage 2"},
)  # fmt: skip
STRAIN = Verdict("strain", "Ring strain", "pass", effect=0.0454, resistance=0.06, unit="-", utilisation=0.7567)
OPEN = Verdict("slip", "Stability", "not verified", note="The table [slip] is not given. " * 5)
LEFT = Verdict("creep", "Creep strain", "not verified", note="No limit is asked for.", required=False)
STATED = Verdict("outside", "Matters outside", "pass", note="Each has an answer.", accepted=True)
NEVER = Verdict("fill", "Fill", "not verified", note="There is none.", required=False, applies=False)


def test_summary_says_outcome_governing_failures_open_questions_and_where_to_read_on() -> None:
    assert summary(run_of(TENSION, STRAIN, OPEN, LEFT, STATED, NEVER), 80, "my project").splitlines() == [
        "Outcome: fail, a check fails.",
        "Verdicts: 1 pass, 1 fail, 1 not verified, 1 accepted by statement, 1 not",
        "    required, 1 not applicable.",
        "Governing: ✗ A 1.369 (94.09 against 68.71 kN/m) Ring tension of the sleeve;",
        "    “Stage 2”",
        "  – A Stability: The table [slip] is not given. The table [slip] is not given.…",
        "More: sandsleeve check 'my project' --all; every line: sandsleeve package 'my",
        "    project'",
    ]


@pytest.mark.parametrize("width", [20, 80, 100, 300])
def test_summary_stays_short_and_within_the_terminal_however_much_fails(width: int) -> None:
    many = [Verdict(f"v{k}", "A question with a rather long title " * 4, "fail", effect=9.0 + k, resistance=1.0,
                    unit="kN/m", utilisation=9.0 + k) for k in range(20)]  # fmt: skip
    text = summary(run_of(*many, *[OPEN] * 20), width, "projects/marsh", ["sections B, C"])

    assert len(text.splitlines()) <= 15
    assert max(map(len, text.splitlines())) <= min(100, max(80, width))
    assert "16 more fail" in " ".join(text.split())
    assert "28.000 (28.00 against" in text, "the worst stands first"
    assert "Left out of this run: sections B, C." in text


def test_text_of_a_project_cannot_steer_the_terminal() -> None:
    assert "\x1b" not in summary(run_of(Verdict("x", "\x1b[2Jgone", "fail")), 80, "\x1b[2J")


@pytest.mark.parametrize(
    ("states", "outcome", "code"),
    [((STATED, NEVER, LEFT), "pass", 0), ((STATED, NEVER, OPEN), "incomplete", 6), ((OPEN, TENSION), "fail", 1)],
)
def test_only_an_open_question_that_is_required_and_applies_leaves_a_run_incomplete(
    command: Command, project: Path, outcome_of: Callable[..., None],
    states: tuple[Verdict, ...], outcome: str, code: int,
) -> None:  # fmt: skip
    outcome_of(*states)

    result = command("check", project)

    assert (result.exit_code, result.stdout.partition(",")[0]) == (code, f"Outcome: {outcome}")


def test_failed_shows_what_fails_and_is_open_and_keeps_the_outcome(
    command: Command, project: Path, outcome_of: Callable[..., None]
) -> None:
    outcome_of(TENSION, STRAIN, OPEN, LEFT, STATED, NEVER)

    result = command("check", project, "--failed")

    assert result.exit_code == 1
    assert [line.strip() for line in result.stdout.splitlines() if line[:4] in ("  ✗ ", "  – ", "  ✓ ")] == [
        line.strip() for line in result.stdout.splitlines() if "Ring tension" in line[:50] or "Stability" in line
    ][:2]
    assert "Creep strain" not in result.stdout
    assert "Outcome of the run, whatever is shown: fail." in result.stdout


def test_failed_says_so_where_nothing_fails(command: Command, project: Path, outcome_of: Callable[..., None]) -> None:
    outcome_of(STRAIN, LEFT)

    result = command("check", project, "--failed")

    assert result.exit_code == 0
    assert "Nothing required fails or is not verified." in result.stdout


def test_all_prints_every_word_of_every_state(command: Command, project: Path, outcome_of: Callable[..., None]) -> None:
    outcome_of(TENSION, STRAIN, OPEN, LEFT, STATED, NEVER)

    table = command("check", project, "--all").stdout

    for words in (
        "✗ fail",
        "✓ pass",
        "– not verified",
        "– not required",
        "✓ accepted by statement",
        "– not applicable",
    ):
        assert words in table


@pytest.mark.parametrize("name", ["sleeve", "5"])
def test_chapter_by_key_or_number_is_printed_alone(command: Command, project: Path, name: str) -> None:
    result = command("check", project, "--chapter", name)
    record = json.loads(command("check", project, "--chapter", name, "--json").stdout)

    assert result.exit_code == 6
    assert "Ring tension of" in result.stdout
    assert "Hold points" not in result.stdout
    assert [check["key"] for check in record["sections"][0]["checks"]] == ["sleeve"]


@pytest.mark.parametrize(
    ("option", "wrong", "must"),
    [
        ("--chapter", "slep", "must be the key or the number of a chapter (1 basis, 2 ground,"),
        ("--chapter", "99", "must be the key or the number of a chapter"),
        ("--chapter", "0", "must be the key or the number of a chapter"),
        ("--section", "Z", "must be a section of the project (A), got Z."),
    ],
)
def test_unknown_chapter_or_section_is_one_clear_error(
    command: Command, project: Path, option: str, wrong: str, must: str
) -> None:
    result = command("check", project, option, wrong)

    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.count("Error:") == 1
    assert must in result.stderr


def two_sections(project: Path) -> None:
    """The starter project with its section, which ends the file, a second time as B."""
    file = project / "project.toml"
    text = file.read_text(encoding="utf-8")
    own = text[text.index("\n[[section]]") :]
    file.write_text(text + own.replace('key = "A"', 'key = "B"', 1), encoding="utf-8")


def test_section_runs_that_section_alone_and_says_what_it_left_out(command: Command, project: Path) -> None:
    two_sections(project)

    result = command("check", project, "--section", "B")
    record = json.loads(command("check", project, "--section", "B", "--json").stdout)

    assert result.exit_code == 6
    assert "Left out of this run: section A." in result.stdout
    assert "section A," not in result.stderr
    assert [section["key"] for section in record["sections"]] == ["B"]
    assert record["left_out"] == ["section A"]


def test_section_is_run_with_its_positions(command: Command, project: Path) -> None:
    two_sections(project)
    file = project / "project.toml"
    head, own, tail = file.read_text(encoding="utf-8").rpartition('key = "B"')
    tail = tail.replace("makeup_fill = true", "makeup_fill = false")
    tail = tail.replace('\nthickness = "4.0 m"', '\nthickness = "4.0 m"\nthickness_right = "5.0 m"')
    file.write_text(head + own + tail, encoding="utf-8")

    record = json.loads(command("check", project, "--section", "B", "--json").stdout)

    assert [section["key"] for section in record["sections"]] == ["B", "B.re", "B.rt"]
    assert record["left_out"] == ["section A"]


SLIP = """
[slip]
drained = true
water_mode = "vertical"
min_depth = "1.0 m"

"""


def test_without_slip_searches_stability_is_not_verified_and_nothing_passes(command: Command, project: Path) -> None:
    file = project / "project.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("\n[[section]]", SLIP + "[[section]]", 1), encoding="utf-8")

    result = command("check", project, "--no-slip")
    record = json.loads(command("check", project, "--no-slip", "--json").stdout)
    [stability] = [one for one in record["sections"][0]["checks"] if one["key"] == "stability"]
    [verdict] = [one for one in stability["verdicts"] if one["key"] == "global_stability"]

    assert result.exit_code == 6
    assert "Left out of this run: the slip searches, so stability is not verified." in result.stdout
    assert verdict["stamp"] == "not verified"
    assert verdict["required"]
    assert verdict["note"] == "The slip searches are left out of this run: stability is not verified."
    assert "slip surface or search" not in result.stderr


@pytest.mark.parametrize(("code", "complaint"), [(0, ""), (1, "No program of this desktop opens {pdf}.\n")])
def test_package_opens_what_it_wrote(
    command: Command, project: Path, outcome_of: Callable[..., None], monkeypatch: pytest.MonkeyPatch,
    code: int, complaint: str,
) -> None:  # fmt: skip
    from calc.package import WrittenPackage

    opened: list[str] = []

    def write(_run: object, out: Path, *_more: object) -> WrittenPackage:
        return WrittenPackage(out / "package.pdf", out / "results.json")

    def launch(url: str) -> int:
        opened.append(url)
        return code

    outcome_of(STRAIN)
    monkeypatch.setattr("calc.package.write_package", write)
    monkeypatch.setattr(click, "launch", launch)
    pdf = project / "out" / "package.pdf"

    assert command("package", project).exit_code == 0
    assert opened == []
    result = command("package", project, "--open")
    as_data = command("package", project, "--open", "--json")

    assert opened == [str(pdf.resolve())] * 2
    assert result.exit_code == as_data.exit_code == 0
    assert result.stderr == as_data.stderr == complaint.format(pdf=pdf)
