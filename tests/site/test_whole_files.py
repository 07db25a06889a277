"""The files of a run: all or none, and none of an earlier run beside them that somebody would take for new."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path

import pytest

from calc.site import whole_files
from calc.site.whole_files import write_files

LIST = "files.csv"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_that_cannot_be_written_leaves_the_folder_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("before", encoding="utf-8")
    bad: dict[str, bytes] = {"a.txt": b"now", "b/c.txt": b"no folder"}

    with pytest.raises(OSError, match=r"c\.txt"):
        write_files(bad, tmp_path, LIST)

    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "before"
    assert names(tmp_path) == ["a.txt"]


def test_a_folder_in_the_place_of_a_file_is_told_before_anything_moves(tmp_path: Path) -> None:
    (tmp_path / "b.txt").mkdir()

    with pytest.raises(IsADirectoryError, match=r"b\.txt is a folder"):
        write_files({"a.txt": b"now", "b.txt": b"now"}, tmp_path, LIST)

    assert names(tmp_path) == ["b.txt"]


def test_without_the_name_of_a_list_there_is_none_and_nothing_goes(tmp_path: Path) -> None:
    write_files({"old.txt": b"before"}, tmp_path)
    written, gone = write_files({"a.txt": b"now", "b.txt": b"now"}, tmp_path)

    assert (written, gone) == ([tmp_path / "a.txt", tmp_path / "b.txt"], [])
    assert names(tmp_path) == ["a.txt", "b.txt", "old.txt"]


def test_what_was_moved_is_put_back_where_a_move_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_files({"a.txt": b"before", "old.txt": b"before"}, tmp_path, LIST)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    move = whole_files._move

    def fails(start: Path, end: Path) -> None:
        if end == tmp_path / "b.txt":
            raise OSError(28, "no space")
        move(start, end)

    monkeypatch.setattr(whole_files, "_move", fails)
    with pytest.raises(OSError, match="no space"):
        write_files({"a.txt": b"now", "b.txt": b"now"}, tmp_path, LIST)

    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_file_of_the_run_before_goes_unless_somebody_changed_it_or_the_list_is_none(tmp_path: Path) -> None:
    write_files({"a.txt": b"1", "b.txt": b"1", "c.txt": b"1"}, tmp_path, LIST)
    (tmp_path / "c.txt").write_bytes(b"a note of the site")
    (tmp_path / "mine.txt").write_bytes(b"mine")

    written, gone = write_files({"a.txt": b"2"}, tmp_path, LIST)

    assert ([path.name for path in written], [path.name for path in gone]) == (["a.txt", LIST], ["b.txt"])
    assert names(tmp_path) == ["a.txt", "c.txt", LIST, "mine.txt"]
    assert (tmp_path / "a.txt").read_bytes() == b"2"


@pytest.mark.parametrize(
    "content", [b"\xff", b"file,sha256\n../mine.txt,x\n", b"a,b\nmine.txt,x\n", b"file,sha256\nx\n"]
)
def test_a_list_that_is_none_takes_nothing_away(tmp_path: Path, content: bytes) -> None:
    (tmp_path / LIST).write_bytes(content)
    (tmp_path / "mine.txt").write_bytes(b"mine")

    assert write_files({"a.txt": b"1"}, tmp_path, LIST)[1] == []
    assert (tmp_path / "mine.txt").exists()


def test_what_a_broken_run_left_is_for_people_to_look_at(tmp_path: Path) -> None:
    old = tmp_path / ".writing-x" / "old"
    old.mkdir(parents=True)
    (tmp_path / ".writing-y" / "new").mkdir(parents=True)
    (old / "b.txt").write_bytes(b"before")

    with pytest.raises(FileExistsError, match=r"\.writing-x is left of a run that was broken off"):
        write_files({"a.txt": b"1"}, tmp_path, LIST)
    assert not (tmp_path / "a.txt").exists()
    (old / "b.txt").unlink()
    write_files({"a.txt": b"1"}, tmp_path, LIST)
    assert names(tmp_path) == ["a.txt", LIST]


def test_what_a_run_broken_off_in_an_empty_folder_had_written_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It ended without a word after its second file, which the next run does not make: nobody takes that for new."""
    move, moved = whole_files._move, list[Path]()

    def ends(start: Path, end: Path) -> None:
        if len(moved) == 2:
            raise SystemExit
        moved.append(end)
        move(start, end)

    with monkeypatch.context() as broken:
        broken.setattr(whole_files, "_move", ends)
        broken.setattr(whole_files, "ExitStack", Forgetful)
        broken.setattr("calc.site.whole_files.shutil.rmtree", lambda _path: None)
        with pytest.raises(SystemExit):
            write_files({"a.txt": b"1", "b.txt": b"1", "c.txt": b"1"}, tmp_path, LIST)
    (room,) = tmp_path.glob(".writing-*")
    assert names(tmp_path) == [room.name, "a.txt", "b.txt"]
    (tmp_path / "mine.txt").write_bytes(b"mine")
    written, gone = write_files({"a.txt": b"2"}, tmp_path, LIST)

    assert ([path.name for path in written], [path.name for path in gone]) == (["a.txt", LIST], ["b.txt"])
    assert names(tmp_path) == ["a.txt", LIST, "mine.txt"]


class Forgetful(ExitStack):
    """Undoes nothing, as a process that was killed."""

    def __exit__(self, *_error: object) -> None:
        self.pop_all()


def test_the_only_copy_of_a_file_stays_where_it_cannot_be_put_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_files({"a.txt": b"before"}, tmp_path, LIST)
    move = whole_files._move

    def fails(start: Path, end: Path) -> None:
        if end.parent == tmp_path:
            raise OSError(5, "no more writing")
        move(start, end)

    monkeypatch.setattr(whole_files, "_move", fails)
    with pytest.raises(OSError, match="no more writing"):
        write_files({"a.txt": b"now"}, tmp_path, LIST)

    (room,) = tmp_path.glob(".writing-*")
    assert (room / "old" / "a.txt").read_bytes() == b"before"


def test_two_runs_into_one_folder_write_one_after_the_other(tmp_path: Path) -> None:
    """The list that stands there in the end is that of the files beside it, whoever was last."""
    runs = [{"a.txt": bytes([48 + k]) * 200_000, "b.txt": bytes([48 + k])} for k in range(8)]
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda files: write_files(files, tmp_path, LIST), runs))

    assert len({(tmp_path / name).read_bytes()[:1] for name in ("a.txt", "b.txt")}) == 1
    assert sorted(whole_files._unchanged_names(tmp_path, LIST)) == ["a.txt", "b.txt"]
