"""Writes down what was seen of every provision that a row read at its source cites:

    python tests/record_provisions.py FOLDER DAY

FOLDER holds the official XML of Canada's acts and regulations (or some of them), DAY is the day on
which their texts were seen. To be run by whoever has read the rows again and found them right.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from labelkit.common.rule_tables import FOLDER, read_table_text
from labelkit.rules import provisions as kept

_HEAD = "[[provision]]"


def main(folder: Path, day: str) -> int:
    lines, missing = [], []
    before = {(one.law, one.section) for one in kept.load_provisions()}
    wanted = sorted({*kept.index_resting_rows(), *before}, key=_place)
    roots = {
        short: kept.read_law(path)
        for short, law in kept.load_laws().items()
        if (path := kept.find_law_file(folder, law))
    }
    for law, section in wanted:
        if kept.is_cfr_title(law):  # only sentences of it were seen: they are written by hand
            continue
        element = kept.find_provision(roots[law], section) if law in roots else None
        if element is None:
            missing.append(f"{law} {section}")
            continue
        lines += [
            _HEAD,
            f'law = "{law}"',
            f'section = "{section}"',
            f'fid = "{kept.read_identifier(element)}"',
            f'seen = "{day}"',
            f'in_force = "{kept.read_in_force_day(element)}"',
            f'sha256 = "{kept.hash_words(kept.read_provision_words(element))}"',
            "",
        ]
    before_all, *blocks = read_table_text("provisions").split(_HEAD)
    by_hand = [f"{_HEAD}{block.rstrip()}\n" for block in blocks if ' CFR"\n' in block]
    text = "\n".join([before_all.rstrip("\n"), "", *lines, *by_hand])
    (FOLDER / "provisions.toml").write_text(text.rstrip("\n") + "\n", "utf-8")
    for name in missing:
        print(f"not found: {name}", file=sys.stderr)
    return 1 if missing else 0


def _place(provision: tuple[str, str]) -> tuple[str, str]:
    """By law, then by number: 6(2) before 12(b)."""
    law, section = provision
    return law, re.sub(r"\d+", lambda number: number[0].zfill(5), section)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2]))
