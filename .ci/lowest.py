"""Prints labelkit's own requirements with every lower bound made exact, for .ci/lowest.

Those without a bound (the typefaces) stay as they are.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path


def main() -> None:
    project = Path(__file__).resolve().parents[1] / "pyproject.toml"
    for line in tomllib.loads(project.read_text(encoding="utf-8"))["project"]["dependencies"]:
        print(re.sub(r">=([\d.]+).*", r"==\1", line))


if __name__ == "__main__":
    main()
