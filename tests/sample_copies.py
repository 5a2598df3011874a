"""Copies of the samples as they came, without what labelkit wrote beside them since."""

from __future__ import annotations

import shutil
from pathlib import Path

_OWN = shutil.ignore_patterns("labelkit-journal", "*.approval.toml", "*.part")


def copy_sample(source: Path, folder: Path) -> Path:
    """Copies a sample, or the folder of all, to a folder that is not there yet."""
    return Path(shutil.copytree(source, folder, ignore=_OWN))
