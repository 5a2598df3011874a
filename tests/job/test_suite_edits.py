"""A program that stays open shows after every edit of a suite what a new one would show.

What was composed, measured or judged before is remembered by what it was made of; here the answers
after a row of edits are held against those of processes that remember nothing.
"""

from __future__ import annotations

import datetime as dt
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from labelkit.job.prepare import preflight_job, prepare_job
from labelkit.job.suite_checks import list_unfit_pieces

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
TODAY = dt.date(2026, 1, 5)
NAMES = 'names = { en = "Solange & Piers", fr = "Solange et Piers" }'
EDITS = (
    (NAMES, 'names = { en = "Iode", fr = "Iode" }'),
    (NAMES, 'names = "Marguerite-Antoinette et Jean-Baptiste de la Grande Anse"'),
    ('trim = "50 x 32 mm"', 'trim = "58 x 40 mm"'),
    ("folded = true", "folded = false"),
    ('scent = { en = "Fig leaf"', 'scent = { en = "Fig leaf and sea salt"'),
    (NAMES, 'names = "Søren & Łucja"'),
)
DESIGNS = ("bayleaf", "hedgerow", "lantern", "meadow")


@pytest.mark.parametrize(
    "design",
    [pytest.param(name, marks=[] if name == "bayleaf" else [pytest.mark.long]) for name in DESIGNS],
)
def test_after_edits_a_suite_is_what_a_new_process_makes(design: str, tmp_path: Path) -> None:
    samples = shutil.copytree(SAMPLES, tmp_path / "samples")
    label = samples / "bayside-vows" / "label.toml"
    first = label.read_text("utf-8").replace('layout = "bayleaf"', f'layout = "{design}"')
    recipe = samples / "millpond-wedding" / "recipe.toml"
    shown: list[str] = []
    texts = [first, *(first.replace(*edit) for edit in EDITS)]
    assert len(set(texts)) == len(texts), "every edit finds its place in the sample"
    for text in (*texts, first):
        label.write_text(text, "utf-8")
        shown.append(describe(label))
    assert len(set(shown)) == len(texts)
    assert shown[-1] == shown[0]
    for text, warm in list(zip(texts, shown, strict=False))[1::2]:
        label.write_text(text, "utf-8")
        assert describe_anew(label) == warm
    weighed = recipe.read_text("utf-8")
    recipe.write_text(weighed.replace('"780 g"', '"1780 g"'), "utf-8")
    warm = describe(label)
    assert warm not in shown, "another oil is the heaviest, and stands first on the list"
    assert describe_anew(label) == warm


def describe(label: Path) -> str:
    """Everything that is composed of an order, and everything that is found."""
    job = prepare_job(label, today=TODAY)
    report = preflight_job(job)
    made = [f"{one.panel!r} {one.fit!r} {list(one.faces)}" for one in job.fitting_sheets]
    refused = [repr(one) for one in (*job.unfit, *list_unfit_pieces(job))]
    guests, error = job.fitted_guests
    runs = {name: dict(by_guest) for name, by_guest in guests.items()}
    return "\n".join([*made, *refused, repr(runs), repr(error), repr(report)])


def describe_anew(label: Path) -> str:
    """The same from a process that has just begun."""
    done = subprocess.run(
        [sys.executable, __file__, str(label)], capture_output=True, text=True, check=True
    )
    return done.stdout


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    sys.stdout.write(describe(Path(sys.argv[1])))
