"""Files that cannot be read as a project file."""

from pathlib import Path

import pytest

from calc.archive.record.find import document_of
from calc.inputs import InputErrors, read_design
from calc.inputs.reading.starter import starter_project
from calc.package.typed import TypedFile


def file_errors(folder: Path, data: bytes) -> list[str]:
    """The lines of a refusal about the writing of the file."""
    (folder / "project.toml").write_bytes(data)
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    lines = str(caught.value).replace(f"{folder}/", "").splitlines()
    return [line.removeprefix("project.toml:") for line in lines if ": file: " in line]


SAVED = "must be saved as UTF-8 (in the editor: save as, with the encoding UTF-8)"


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b'a = "x"\nb = "\xe9"\n', f'2:6: file: {SAVED}, got the byte 0xe9, which is "é" in Latin-1'),
        (b"\xff\xfea\x00", f"1:1: file: {SAVED}, got UTF-16"),
        (
            b"a = " + b"[" * 5000 + b"]" * 5000,
            "1:1: file: must not nest lists and tables deeper than a project file needs, got a very deep nesting",
        ),
        (
            b"a = " + b"9" * 5000,
            "1:1: file: must hold numbers of reasonable length, got a number with thousands of digits",
        ),
        (b"#" * 2_000_001, "1:1: file: must not be larger than 2 MB, got a larger file"),
        (b"# " + "\ue000".encode(), ("1:3: file: must hold characters only that the fonts of the package can print, "
         "got U+E000")),
    ],
    ids=["byte", "utf-16", "deep", "digits", "size", "glyph"],
)  # fmt: skip
def test_a_file_that_cannot_be_read_gives_one_line(tmp_path: Path, data: bytes, text: str) -> None:
    assert file_errors(tmp_path, data) == [text]


def test_a_byte_order_mark_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_bytes(b"\xef\xbb\xbf" + starter_project("Test").encode())
    design = read_design(tmp_path)

    assert design.project.title == "Test"
    assert design.text.startswith(b"\xef\xbb\xbf")  # kept as typed: the archive holds these bytes
    assert design.provenance["project.title"].line == starter_project("Test").split("[project]")[0].count("\n") + 2
    assert any(TypedFile(design).subjects())
    assert document_of(tmp_path) == ("0000-000", "0000-000-GEO-C-001")


def test_a_missing_file_gives_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    assert str(caught.value) == (
        f"{tmp_path}/project.toml:1:1: file: must be a readable file in the project folder, "
        "got no such file or directory"
    )


def test_a_missing_folder_gives_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputErrors, match="must be a readable file in the project folder, got no such folder"):
        read_design(tmp_path / "nowhere")


def test_the_file_in_place_of_its_folder_gives_one_line(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text("", encoding="utf-8")

    with pytest.raises(InputErrors, match="got a file in place of the folder"):
        read_design(tmp_path / "project.toml")


def test_a_folder_in_place_of_the_file_gives_one_line(tmp_path: Path) -> None:
    (tmp_path / "project.toml").mkdir()

    with pytest.raises(InputErrors, match="must be a readable file in the project folder, got is a directory"):
        read_design(tmp_path)


def test_an_empty_file_names_every_table_that_is_missing(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text("", encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    assert [error.path for error in caught.value.errors] == ["basis", "outside", "people", "project", "section"]
    assert {(error.line, error.column, error.got) for error in caught.value.errors} == {(1, 1, "nothing")}
