"""Files are replaced whole, as what they are, or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.common.files import make_folder, stage_files, write_files

PDF, OTHER_PDF = b"%PDF-1.7 one", b"%PDF-1.7 two"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_replaced(tmp_path: Path) -> None:
    write_files({tmp_path / "a.pdf": PDF})
    write_files({tmp_path / "a.pdf": OTHER_PDF})
    assert (tmp_path / "a.pdf").read_bytes() == OTHER_PDF
    assert names(tmp_path) == ["a.pdf"]


def test_a_file_that_is_replaced_keeps_its_mode_and_its_owner(tmp_path: Path) -> None:
    path = tmp_path / "printers.toml"
    path.write_bytes(b"old")
    path.chmod(0o640)
    if os.geteuid() == 0:
        os.chown(path, 1234, 1235)
    before = path.stat()
    write_files({path: b"new"})
    after = path.stat()
    assert path.read_bytes() == b"new"
    assert (before.st_mode, before.st_uid, before.st_gid) == (
        (after.st_mode, after.st_uid, after.st_gid)
    )


def test_a_link_stays_a_link_to_the_file_that_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "shelf").mkdir()
    real, link = tmp_path / "shelf" / "printers.toml", tmp_path / "printers.toml"
    real.write_bytes(b"old")
    link.symlink_to("shelf/printers.toml")
    write_files({link: b"new"})
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert names(tmp_path / "shelf") == ["printers.toml"]


def test_a_link_that_leads_to_itself_is_told(tmp_path: Path) -> None:
    (tmp_path / "a").symlink_to("a")
    with pytest.raises(InputError, match="a link that leads back to itself"):
        write_files({tmp_path / "a": b"new"})


def test_one_file_is_not_written_twice(tmp_path: Path) -> None:
    (tmp_path / "b").symlink_to("a")
    with pytest.raises(InputError, match="is to be written twice"):
        write_files({tmp_path / "a": PDF, tmp_path / "b": OTHER_PDF})
    assert not (tmp_path / "a").exists()


def test_folders_and_pipes_are_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="is a folder"):
        write_files({tmp_path / "a.pdf": PDF, tmp_path / "folder": PDF})
    with pytest.raises(InputError, match="is not a plain file"):
        write_files({tmp_path / "a.pdf": PDF, tmp_path / "pipe": PDF})
    assert names(tmp_path) == ["folder", "pipe"]


def test_a_file_in_the_way_of_a_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "sheets").write_bytes(b"x")
    with pytest.raises(InputError, match="is a file; expected a folder"):
        make_folder(tmp_path / "sheets")


def test_nothing_is_left_of_what_was_not_committed(tmp_path: Path) -> None:
    with stage_files() as staged:
        staged.folder(tmp_path / "new")
        staged.open(tmp_path / "new" / "a.pdf").write(PDF)
    assert names(tmp_path) == []
