"""Prints the versions of all that the README's test command installs, for .ci/constraints.txt.

Installs labelkit with its test tools into an empty virtual environment, without any constraint.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

HEAD = """\
# What .ci/run installs (Python 3.11); users get the ranges of pyproject.toml. Made anew by
#   python .ci/lock.py > .ci/constraints.txt"""


def main() -> None:
    root = Path(__file__).resolve().parents[1]
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        pip = [str(Path(folder) / "bin" / "python"), "-m", "pip"]
        environment = {k: v for k, v in os.environ.items() if k != "PIP_CONSTRAINT"}
        wanted = [f"{root}[test,browser]", "hatchling"]
        subprocess.run([*pip, "install", "--quiet", *wanted], check=True, env=environment,
                       stdout=sys.stderr)  # fmt: skip
        frozen = subprocess.run([*pip, "freeze"], check=True, capture_output=True, text=True)
    pins = [line.split("==") for line in frozen.stdout.splitlines() if "==" in line]
    print(HEAD)
    print("\n".join(sorted(f"{re.sub(r'[-_.]+', '-', name).lower()}=={v}" for name, v in pins)))


if __name__ == "__main__":
    main()
