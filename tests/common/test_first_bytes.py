"""A file is read whole or so far, whatever its length."""

from __future__ import annotations

from pathlib import Path

import pytest

from labelkit.common.first_bytes import read_at_most


@pytest.mark.parametrize("length", [0, 1, 65_535, 65_536, 65_537, 200_000])
@pytest.mark.parametrize("most", [1, 65_536, 65_537, 199_999, 1_000_000])
def test_so_many_bytes_are_read_and_no_more(length: int, most: int, tmp_path: Path) -> None:
    path, data = tmp_path / "file", bytes(range(251)) * 800
    path.write_bytes(data[:length])
    assert read_at_most(path, most) == data[:length][:most]


def test_what_is_not_there_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        read_at_most(tmp_path / "file", 10)
