"""Where the files that come with labelkit are, in a checkout and in an installed package."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path


@lru_cache(maxsize=1)
def find_layouts_folder() -> Path:
    """The folder of layouts: inside the package once installed, beside it in a checkout."""
    package = Path(__file__).resolve().parents[1]
    installed = package / "layouts"
    return installed if installed.is_dir() else package.parent / "layouts"


def find_stock_folder() -> Path:
    """The folder of bundled label stock."""
    return find_layouts_folder() / "stock"


_BUNDLED = re.compile(r"[a-z0-9-]+")
"""How the files that come with labelkit are called."""


@lru_cache(maxsize=256)
def has_bundled(folder: Path, name: str) -> bool:
    """Whether one of these folders holds a file of a name, which never leads out of it."""
    return bool(_BUNDLED.fullmatch(name)) and (folder / f"{name}.toml").is_file()
