"""Files that cannot be read as a project file."""

from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design


def file_errors(folder: Path, data: bytes) -> str:
    (folder / "project.toml").write_bytes(data)
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    assert len(caught.value.errors) == 1
    return str(caught.value).replace(f"{folder}/", "")


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (
            b"[project\n",
            "project.toml:1:9: file: must be written in TOML, got expected ']' at the end of a table declaration",
        ),
        (b"a = 1\nb = \n", "project.toml:2:5: file: must be written in TOML, got invalid value"),
        (b"a = 1\na = 2\n", "project.toml:2:6: file: must be written in TOML, got cannot overwrite a value"),
        (b'a = """x\n', "project.toml:2:1: file: must be written in TOML, got unterminated string"),
        (b"a = 'x\x00'\n", "project.toml:1:7: file: must be written in TOML, got found invalid character '\\\\x00'"),
        (b'a = "x"\nb = "\xff"\n', "project.toml:2:6: file: must be UTF-8, got the byte 0xff"),
        (
            b"\xef\xbb\xbfa = 1\n",
            "project.toml:1:1: file: must be UTF-8 without a byte-order mark, got a byte-order mark at the beginning",
        ),
        (b"\xff\xfea\x00", "project.toml:1:1: file: must be UTF-8, got the byte 0xff"),
        (
            b"a = " + b"[" * 5000 + b"]" * 5000,
            (
                "project.toml:1:1: file: must not nest lists and tables deeper than a project "
                "file needs, got a very deep nesting"
            ),
        ),
        (
            b"a = " + b"9" * 5000,
            "project.toml:1:1: file: must hold numbers of reasonable length, got a number with thousands of digits",
        ),
        (b"#" * 2_000_001, "project.toml:1:1: file: must not be larger than 2 MB, got a larger file"),
    ],
    ids=["header", "value", "twice", "end", "nul", "byte", "mark", "utf-16", "deep", "digits", "size"],
)
def test_a_file_that_cannot_be_read_gives_one_line(tmp_path: Path, data: bytes, text: str) -> None:
    assert file_errors(tmp_path, data) == text


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
