"""Runs thousands of changed foreign files through labelkit and prints the table of what came of it.

    python tests/hard/run_foreign.py [--first 0] [--count 5000] [--jobs 2] [--seed 0]
        [--seconds S] [--only NUMBER]

Every case must end in success or a clear line for each mistake, within 10 s of computing and
500 MiB, without a class name of a program, a process or a part of a file left behind.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import math
import multiprocessing
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from foreign_mutations import Mutant, make_good_sheets, make_mutant
from foreign_run import End, run_command


def run_main(arguments: Sequence[str]) -> int:
    """``labelkit`` in this process; its exit code."""
    from labelkit.cli import main

    try:
        main(list(arguments))
    except SystemExit as done:
        return done.code if isinstance(done.code, int) else int(bool(done.code))
    finally:
        from labelkit.common import confined

        confined._end_child()
    return 0


def run_mutant(mutant: Mutant) -> End:
    folder = Path(tempfile.mkdtemp(prefix="foreign-"))
    try:
        for name, data in mutant.files.items():
            (folder / name).write_bytes(data)
        act = mutant.meanwhile
        meanwhile = (lambda: act(folder)) if act else None
        return run_command(mutant.arguments, folder, meanwhile, run_main)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def run_share(
    first: int, end: int, step: int, seed: int, seconds: float
) -> list[tuple[str, int, bool, float, float]]:
    """Kind, exit code, failure, seconds and MiB of every case of a share."""
    os.environ["XDG_CACHE_HOME"] = tempfile.mkdtemp(prefix="foreign-cache-")
    with contextlib.redirect_stdout(io.StringIO()):
        make_good_sheets()
    found = []
    until = time.monotonic() + seconds
    for number in range(first, end, step):
        if time.monotonic() > until:
            break
        mutant = make_mutant(seed, number)
        ran = run_mutant(mutant)
        found.append((mutant.kind, ran.code, bool(ran.complaints), ran.cpu_s, ran.memory_mib))
        if ran.complaints:
            told = "; ".join(ran.complaints)[:1500]
            print(f"case {number}: {mutant.kind}: {mutant.what[:80]}: {told}", flush=True)
    shutil.rmtree(os.environ["XDG_CACHE_HOME"], ignore_errors=True)
    return found


def format_table(found: Sequence[tuple[str, int, bool, float, float]]) -> str:
    head = ["kind", "cases", "exit 0", "exit 1", "exit 2", "failures", "most s", "most MiB"]
    lines = [head, ["---", *["---:"] * (len(head) - 1)]]
    for kind in [*dict.fromkeys(sorted(kind for kind, *_ in found)), "all"]:
        rows = [row for row in found if kind in (row[0], "all")]
        exits = [sum(row[1] == code for row in rows) for code in (0, 1, 2)]
        counts = [len(rows), *exits, sum(row[2] for row in rows)]
        lines.append([
            kind, *map(str, counts),
            f"{max(row[3] for row in rows):.1f}", f"{max(row[4] for row in rows):.0f}",
        ])  # fmt: skip
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def main() -> int:
    parser = argparse.ArgumentParser(description="Runs changed foreign files; prints the counts.")
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--count", type=int, default=5_000)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=math.inf)
    parser.add_argument("--only", type=int)
    given = parser.parse_args()
    if given.only is not None:
        end = run_mutant(make_mutant(given.seed, given.only))
        print(end)
        return bool(end.complaints)
    shares = [
        (given.first + job, given.first + given.count, given.jobs, given.seed, given.seconds)
        for job in range(given.jobs)
    ]
    with multiprocessing.get_context("spawn").Pool(given.jobs) as pool:
        found = [row for share in pool.starmap(run_share, shares) for row in share]
    print(format_table(found))
    return int(any(row[2] for row in found))


if __name__ == "__main__":
    sys.exit(main())
