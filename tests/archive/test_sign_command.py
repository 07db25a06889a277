"""The command that signs, as people use it: what it prints, its exit codes, where the password comes from."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calc.archive.record.verification import verify
from calc.archive.store.folder import FolderStore
from calc.cli import main
from calc.commands import sign as signing
from tests.archive.certificates import PASSWORD, Authority
from tests.archive.scenario import Line, contents, issued, write_project

ROOT = Path(__file__).parents[2]
Command = Callable[..., Result]


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch) -> Command:
    monkeypatch.delenv("SANDSLEEVE_ARCHIVE", raising=False)
    monkeypatch.delenv(signing.PASSWORD, raising=False)
    return lambda *arguments, **more: CliRunner().invoke(main, [str(argument) for argument in arguments], **more)


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project with one issued revision."""
    project = write_project(tmp_path / "bank", Line("A", "for checking"))
    issued(FolderStore.prepare(project / "archive"), project)
    return project


def test_sign_says_what_it_did(command: Command, project: Path, tmp_path: Path) -> None:
    first = command("sign", project, "--role", "originator", "--out", tmp_path / "signed.pdf")
    second = json.loads(command("sign", project, "--role", "checker", "--revision", "a", "--json").stdout)

    assert first.exit_code == 0
    assert "Revision A of 2025-014-GEO-C-001 is signed by its originator, A. Fenwick, without" in first.stdout
    assert f"The signed copy: {tmp_path / 'signed.pdf'}" in first.stdout
    assert (tmp_path / "signed.pdf").read_bytes().startswith(b"%PDF-1.7")
    assert (second["kind"], second["words"], second["sequence"]) == ("sign-off", "checker", 3)
    assert second["archive"] == str(project / "archive")
    shown = command("archive", "show", project, "A")
    assert "Signed            B. Okoye as checker" in shown.stdout
    assert len(json.loads(command("archive", "show", project, "A", "--json").stdout)["signed"]) == 2
    assert command("archive", "verify", project).exit_code == 0
    assert [line["label"] for line in json.loads(command("archive", "list", project, "--json").stdout)] == ["A"]


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("--role", "checker"), 4, "revision A cannot be signed by the checker: the originator signs before"),
        (("--role", "originator", "--name", "Somebody"), 2, "Somebody is not named in revision A; its originator is"),
        (("--role", "director"), 2, "'director' is not one of 'originator', 'checker', 'approver'"),
        (("--role", "originator", "--revision", "Z"), 2, 'no revision "Z" is issued'),
        ((), 2, "Missing option '--role'"),
    ],
)
def test_what_may_not_be_signed_is_refused_in_words(
    command: Command, project: Path, arguments: tuple[str, ...], code: int, words: str
) -> None:
    before = contents(project)
    result = command("sign", project, *arguments)

    assert result.exit_code == code
    assert words in result.stderr
    assert result.stdout == ""
    assert contents(project) == before


def test_project_without_an_archive_has_nothing_to_sign(command: Command, tmp_path: Path) -> None:
    project = write_project(tmp_path / "bank", Line("A", "for checking"))
    result = command("sign", project, "--role", "originator")

    assert result.exit_code == 2
    assert "is not an archive" in result.stderr


def with_key(keys: dict[str, Path]) -> tuple[str, ...]:
    return ("--role", "originator", "--key", str(keys["originator"]))


def test_password_comes_from_a_file(command: Command, project: Path, keys: dict[str, Path], tmp_path: Path) -> None:
    (tmp_path / "word").write_text(f"{PASSWORD}\r\nmore", encoding="utf-8")
    result = command("sign", project, *with_key(keys), "--password-file", tmp_path / "word")

    assert result.exit_code == 0
    assert "A. Fenwick, with a certificate." in result.stdout
    assert "certificate A. Fenwick of Authority of the marsh" in " ".join(
        command("archive", "show", project, "A").stdout.split()
    )


def test_password_comes_from_a_variable(
    command: Command, project: Path, keys: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(signing.PASSWORD, PASSWORD)

    assert command("sign", project, *with_key(keys)).exit_code == 0


def test_password_is_asked_for_at_a_terminal(
    project: Path, keys: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def prompt(text: str, **_more: object) -> str:
        asked.append(text)
        return PASSWORD

    monkeypatch.delenv(signing.PASSWORD, raising=False)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr("click.prompt", prompt)

    assert signing._signer(keys["originator"], None).certificate.subject == "A. Fenwick"
    assert asked == [f"Password of {keys['originator']}"]


def test_without_a_terminal_the_password_must_be_given(command: Command, project: Path, keys: dict[str, Path]) -> None:
    result = command("sign", project, *with_key(keys))

    assert result.exit_code == 2
    assert "must be in a file (--password-file), in SANDSLEEVE_KEY_PASSWORD, or typed at a terminal" in " ".join(
        result.stderr.split()
    )


def test_another_password_is_refused_and_nothing_is_changed(
    command: Command, project: Path, keys: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(signing.PASSWORD, "another")
    before = contents(project)
    result = command("sign", project, *with_key(keys))

    assert result.exit_code == 4
    assert "the password is another one" in result.stderr
    assert contents(project) == before


def test_without_the_extra_the_command_says_what_to_install(
    command: Command, project: Path, keys: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "calc.archive.signing.certificate", None)
    monkeypatch.setenv(signing.PASSWORD, PASSWORD)
    result = command("sign", project, *with_key(keys))

    assert result.exit_code == 5
    assert "pip install 'sandsleeve[sign]'" in result.stderr
    assert command("sign", project, "--role", "originator").exit_code == 0


@pytest.mark.slow
def test_the_commands_run_without_any_optional_package(project: Path, tmp_path: Path) -> None:
    """In a process that cannot import them, as where nobody has installed them."""
    hidden = ["pyhanko", "pyhanko_certvalidator", "cryptography", "asn1crypto", "sqlalchemy", "fsspec", "psycopg"]
    commands = [
        ["sign", f"{project}", "--role", "originator"],
        ["archive", "verify", f"{project}"],
        ["archive", "list", f"{project}"],
        ["archive", "export", f"{project}", "A", "--out", f"{tmp_path / 'A'}"],
    ]
    start = f"""
import sys
sys.modules.update(dict.fromkeys({hidden}))
from calc.cli import main
for one in {commands}:
    print("::", end="")
    main(one, standalone_mode=False)
"""
    done = subprocess.run([sys.executable, "-c", start], cwd=ROOT, check=True, capture_output=True, text=True)
    _, sign, verify, listed, exported = done.stdout.split("::")

    assert "is signed by its originator" in sign
    assert "Sound: 2 records" in verify
    assert "originator" in listed
    assert "signed.pdf" in exported


def test_verify_asks_for_the_authorities(
    command: Command, project: Path, keys: dict[str, Path], authority: Authority, monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:  # fmt: skip
    monkeypatch.setenv(signing.PASSWORD, PASSWORD)
    assert command("sign", project, *with_key(keys)).exit_code == 0
    (tmp_path / "another").mkdir()
    own, other = authority.pem(tmp_path), Authority.made("Another").pem(tmp_path / "another")

    assert "who issued those was not asked (--trust)" in command("archive", "verify", project).stdout
    assert command("archive", "verify", project, "--trust", own).exit_code == 0
    refused = command("archive", "verify", project, "--trust", other)
    assert refused.exit_code == 4
    assert "none of the authorities issued" in refused.stdout
    assert verify(FolderStore(project / "archive")).problems == []


def test_a_place_that_cannot_be_written_is_said_before_anything_is_signed(
    command: Command, project: Path, tmp_path: Path
) -> None:
    refused = command("sign", project, "--role", "originator", "--out", tmp_path / "none" / "signed.pdf")

    assert refused.exit_code == 2
    assert "signed.pdf: its folder is not there" in " ".join(refused.stderr.split())
    assert "Sound: 1 record" in command("archive", "verify", project).stdout


def test_a_device_is_no_signed_copy(command: Command, project: Path, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for out in (tmp_path / "pipe", Path("/dev/null")):
        refused = command("sign", project, "--role", "originator", "--out", out)
        assert refused.exit_code == 2
        assert "it is there and no plain file" in " ".join(refused.stderr.split())
    assert Path("/dev/null").is_char_device()
    assert "Sound: 1 record" in command("archive", "verify", project).stdout


@pytest.mark.parametrize(
    ("option", "more"), [("--key", ("--password-file", "/dev/null")), ("--password-file", ()), ("--trust", ())]
)
def test_endless_files_are_refused_after_their_first_bytes(
    command: Command, project: Path, keys: dict[str, Path], monkeypatch: pytest.MonkeyPatch, option: str,
    more: tuple[str, ...],
) -> None:  # fmt: skip
    """Eight gigabytes had been read from one before the process was stopped."""
    monkeypatch.setenv(signing.PASSWORD, PASSWORD)
    if option == "--trust":
        assert command("sign", project, *with_key(keys)).exit_code == 0
        result = command("archive", "verify", project, "--trust", "/dev/zero")
    elif option == "--key":
        result = command("sign", project, "--role", "originator", "--key", "/dev/zero", *more)
    else:
        result = command("sign", project, *with_key(keys), option, "/dev/zero")

    assert (result.exit_code, result.stdout) == (2, "")
    assert "/dev/zero must be a file of at most " in result.stderr


def test_password_that_is_no_utf_8_is_said_so(
    command: Command, project: Path, keys: dict[str, Path], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "word").write_bytes("Schlüssel".encode("latin-1"))
    from_file = command("sign", project, *with_key(keys), "--password-file", tmp_path / "word")
    monkeypatch.setitem(os.environb, signing.PASSWORD.encode(), "Schlüssel".encode("latin-1"))
    from_variable = command("sign", project, *with_key(keys))

    assert (from_file.exit_code, from_variable.exit_code) == (2, 2)
    assert "word must hold the password in UTF-8: byte 5 is none" in " ".join(from_file.stderr.split())
    assert f"{signing.PASSWORD} must hold the password in UTF-8" in " ".join(from_variable.stderr.split())
