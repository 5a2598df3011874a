"""Files are replaced whole, by their own kind, or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from labelkit.common.errors import InputError
from labelkit.common.files import make_folder, stage_files, write_files

PDF, OTHER_PDF, TOML = b"%PDF-1.7 one", b"%PDF-1.7 two", b"labelkit = 1\n"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_replaced_by_one_of_its_kind(tmp_path: Path) -> None:
    write_files({tmp_path / "a.pdf": PDF})
    write_files({tmp_path / "a.pdf": OTHER_PDF})
    assert (tmp_path / "a.pdf").read_bytes() == OTHER_PDF
    assert names(tmp_path) == ["a.pdf"]


@pytest.mark.parametrize(
    ("old", "new"), [(TOML, PDF), (PDF, TOML), (b"\x89PNG\r\n", PDF), (TOML, b"<!doctype html>")]
)
def test_a_file_of_another_kind_is_left_alone(tmp_path: Path, old: bytes, new: bytes) -> None:
    target = tmp_path / "x"
    target.write_bytes(old)
    with pytest.raises(InputError, match="is there already and is no"):
        write_files({tmp_path / "first.pdf": PDF, target: new})
    assert target.read_bytes() == old
    assert names(tmp_path) == ["x"]


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
