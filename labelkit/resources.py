"""Where the files that ship with labelkit are, in a checkout and in an installed wheel."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path


@lru_cache(maxsize=1)
def layouts_dir() -> Path:
    """The folder of layouts (and, below it, of stock): inside the package once installed."""
    package = Path(__file__).resolve().parent
    installed = package / "layouts"
    return installed if installed.is_dir() else package.parent / "layouts"
