"""Files are written whole, together, or not at all."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
from pathlib import Path

import pytest

from labelkit.common import files
from labelkit.common.errors import InputError
from labelkit.common.files import stage_files, write_files


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_all_files_are_there_and_nothing_else(tmp_path: Path) -> None:
    write_files({tmp_path / "a.pdf": b"new a", tmp_path / "b.pdf": b"new b"})
    assert names(tmp_path) == ["a.pdf", "b.pdf"]
    assert (tmp_path / "b.pdf").read_bytes() == b"new b"


def test_written_files_are_as_readable_as_others(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"")
    write_files({tmp_path / "a": b""})
    assert (tmp_path / "a").stat().st_mode == (tmp_path / "plain").stat().st_mode


def failing_at(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """Lets the renaming to a name fail, as it does in a folder that was locked meanwhile."""
    replace = Path.replace

    def locked(self: Path, target: Path) -> Path:
        if Path(target).name == name:
            raise PermissionError(13, "Permission denied", str(self), None, str(target))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", locked)


def test_a_name_that_cannot_be_taken_leaves_the_others_as_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_bytes(b"old a")
    failing_at(monkeypatch, "c")
    wanted = {tmp_path / "a": b"new a", tmp_path / "b": b"new b", tmp_path / "c": b"new c"}
    with pytest.raises(InputError, match="cannot be written") as caught:
        write_files(wanted)
    assert str(tmp_path / "c") in str(caught.value)
    assert names(tmp_path) == ["a"]
    assert (tmp_path / "a").read_bytes() == b"old a"


def test_where_files_have_no_second_name_they_are_put_back_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(_: Path, __: Path) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(Path, "hardlink_to", no_links)
    (tmp_path / "a").write_bytes(b"old a")
    failing_at(monkeypatch, "b")
    with pytest.raises(InputError):
        write_files({tmp_path / "a": b"new a", tmp_path / "b": b"new b"})
    assert (tmp_path / "a").read_bytes() == b"old a"
    assert names(tmp_path) == ["a"]


def test_what_is_not_committed_leaves_no_file_and_no_folder(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    with stage_files() as staged:
        staged.folder(tmp_path / "new" / "folder")
        staged.folder(tmp_path / "kept")
        staged.open(tmp_path / "new" / "folder" / "a").write(b"half")
    assert names(tmp_path) == ["kept"]


def test_a_folder_in_which_somebody_else_wrote_stays(tmp_path: Path) -> None:
    with stage_files() as staged:
        staged.folder(tmp_path / "new")
        (tmp_path / "new" / "theirs").write_bytes(b"")
    assert names(tmp_path / "new") == ["theirs"]


def test_an_error_in_the_middle_leaves_the_old_file(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    with pytest.raises(RuntimeError), stage_files() as staged:
        staged.open(tmp_path / "a").write(b"new")
        raise RuntimeError
    assert (tmp_path / "a").read_bytes() == b"old"
    assert names(tmp_path) == ["a"]


def test_a_folder_that_is_a_file_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "f").write_bytes(b"")
    with pytest.raises(InputError, match="cannot be written"), stage_files() as staged:
        staged.folder(tmp_path / "f" / "g")


@pytest.mark.skipif(os.name != "posix", reason="POSIX signals")
def test_ctrl_c_between_two_names_waits_for_the_second(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replaced: list[Path] = []
    replace = Path.replace

    def interrupted(self: Path, target: Path) -> Path:
        # To this thread: a worker of a parallel run has another one, which the signal might take.
        signal.pthread_kill(threading.get_ident(), signal.SIGINT)
        replaced.append(Path(target))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_files({tmp_path / "a": b"new a", tmp_path / "b": b"new b"})
    assert [path.name for path in replaced] == ["a", "b"]
    assert names(tmp_path) == ["a", "b"]


@pytest.mark.skipif(os.name != "posix", reason="POSIX signals")
@pytest.mark.parametrize("moment", ["fsync", "mkstemp"])
def test_a_process_killed_while_writing_leaves_the_old_files_whole(
    tmp_path: Path, moment: str
) -> None:
    (tmp_path / "a").write_bytes(b"old a")
    (tmp_path / "b").write_bytes(b"old b")
    owner = {"fsync": "os", "mkstemp": "tempfile"}[moment]
    program = f"""
        import os, signal, sys, tempfile
        from pathlib import Path
        from labelkit.common.files import write_files
        {owner}.{moment} = lambda *a, **k: os.kill(os.getpid(), signal.SIGKILL)
        folder = Path(sys.argv[1])
        write_files({{folder / "a": b"new a", folder / "b": b"new b"}})
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program), str(tmp_path)], check=False
    )
    assert done.returncode == -signal.SIGKILL
    assert (tmp_path / "a").read_bytes() == b"old a"
    assert (tmp_path / "b").read_bytes() == b"old b"


def test_bytes_reach_the_disk_before_any_name_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []
    fsync, replace = os.fsync, Path.replace
    monkeypatch.setattr(files.os, "fsync", lambda handle: (order.append("disk"), fsync(handle)))
    monkeypatch.setattr(Path, "replace", lambda s, t: (order.append("name"), replace(s, t))[1])
    write_files({tmp_path / "a": b"1", tmp_path / "b": b"2"})
    # fsync(2) of Linux: for its name to be there after a crash, a folder must be synced as well.
    assert order == ["disk", "disk", "name", "name", "disk"]
