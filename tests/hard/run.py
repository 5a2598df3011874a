"""Runs thousands of hostile cases and prints the table of counts.

    python tests/hard/run.py [--count 10000] [--jobs 2] [--seed 0] [--kind NAME] [--keep DIR]

A case is broken or absurd input and a command given it; tests/hard/hard_cases.py says which kinds
there are. For each the outcome must be success, or one clear line and exit code 1 or 2: never a
traceback, a fault of labelkit's own (3), over 10 s of computing, over 1 GiB, or a part of a file.
The exit code is 1 if one is otherwise. With --keep the first failing case of each sort is written
to a folder, in the form of tests/hard/corpus.
"""

from __future__ import annotations

import argparse
import hashlib
import multiprocessing
import os
import re
import sys
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from hard_case import Case
from hard_cases import KINDS, cases
from hard_run import Outcome, run, shown, warm
from hypothesis import HealthCheck, Phase, given, seed, settings


@dataclass
class Row:
    """Counts of one kind."""

    cases: int = 0
    exits: dict[int, int] = field(default_factory=lambda: {0: 0, 1: 0, 2: 0})
    failures: int = 0
    most_s: float = 0.0
    most_mib: float = 0.0

    def add(self, outcome: Outcome) -> None:
        self.cases += 1
        if outcome.code in self.exits:
            self.exits[outcome.code] += 1
        self.failures += bool(outcome.faults)
        self.most_s = max(self.most_s, outcome.cpu_s)
        self.most_mib = max(self.most_mib, outcome.peak_mib)

    def join(self, other: Row) -> None:
        self.cases += other.cases
        for code, count in other.exits.items():
            self.exits[code] += count
        self.failures += other.failures
        self.most_s = max(self.most_s, other.most_s)
        self.most_mib = max(self.most_mib, other.most_mib)

    def cells(self) -> list[str]:
        return [
            f"{self.cases}",
            *(f"{self.exits[code]}" for code in (0, 1, 2)),
            f"{self.failures}",
            f"{self.most_s:.1f}",
            f"{self.most_mib:.0f}",
        ]


Counts = dict[str, Row]


def shard(number: int, count: int, first_seed: int, kind: str | None, keep: Path | None) -> Counts:
    """Runs ``count`` cases that follow from the seed, telling of each new sort of failure."""
    counts: Counts = {}
    told: set[str] = set()
    strategy = KINDS[kind][1]() if kind else cases()
    # As on a new maker's computer: fonts that were made on this one before are not to be found.
    fonts = tempfile.TemporaryDirectory(prefix="hard-cache-")
    os.environ["XDG_CACHE_HOME"] = fonts.name
    warm()

    @seed(first_seed * 1000 + number)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(strategy)
    def each(case: Case) -> None:
        outcome = run(case)
        counts.setdefault(case.kind, Row()).add(outcome)
        kind_of_fault = re.sub(r"[0-9]+|'[^']*'|\"[^\"]*\"", "", " ".join(outcome.faults))[:120]
        if outcome.faults and kind_of_fault not in told:
            told.add(kind_of_fault)
            print(shown(case, outcome), flush=True)
            if keep is not None:
                _keep(case, keep)

    with fonts:
        each()
    return counts


def _keep(case: Case, folder: Path) -> None:
    text = case.written()
    name = f"{case.kind.replace(' ', '-')}-{hashlib.sha256(text.encode()).hexdigest()[:10]}.json"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")


def table(counts: Counts) -> str:
    """The counts as a Markdown table, a line for each kind and one for all."""
    whole = Row()
    for row in counts.values():
        whole.join(row)
    head = ["kind", "cases", "exit 0", "exit 1", "exit 2", "failures", "most s", "most MiB"]
    lines = [head, ["---", *(["---:"] * (len(head) - 1))]]
    lines += [[kind, *counts[kind].cells()] for kind in KINDS if kind in counts]
    lines.append(["all", *whole.cells()])
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def main(arguments: Iterable[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="Runs hostile cases and prints the counts.")
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--kind", choices=list(KINDS))
    parser.add_argument("--keep", type=Path)
    given_ = parser.parse_args(None if arguments is None else list(arguments))
    shares = [
        given_.count // given_.jobs + (n < given_.count % given_.jobs) for n in range(given_.jobs)
    ]
    tasks = [
        (n, share, given_.seed, given_.kind, given_.keep) for n, share in enumerate(shares) if share
    ]
    with multiprocessing.get_context("spawn").Pool(given_.jobs) as pool:
        results = pool.starmap(shard, tasks)
    counts: Counts = {}
    for result in results:
        for kind, row in result.items():
            counts.setdefault(kind, Row()).join(row)
    print(table(counts))
    return 1 if any(row.failures for row in counts.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
