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
OTHER_OIL = ('"780 g"', '"1780 g"')
"""Of the recipe: another oil is the heaviest, and stands first on the list."""
DESIGNS = ("bayleaf", "hedgerow", "lantern", "meadow")


def test_after_all_edits_a_suite_is_what_a_new_process_makes(tmp_path: Path) -> None:
    """Each edit alone, and then all of them and another recipe: what is remembered of any of the
    former and does not hold any more shows in the last."""
    samples = shutil.copytree(SAMPLES, tmp_path / "samples")
    label = samples / "bayside-vows" / "label.toml"
    recipe = samples / "millpond-wedding" / "recipe.toml"
    first = edited = label.read_text("utf-8")
    shown = [describe(label)]
    for old, new in EDITS:
        label.write_text(first.replace(old, new), "utf-8")
        shown.append(describe(label))
        edited = edited.replace(old, new)  # of several names, the first
    label.write_text(edited, "utf-8")
    recipe.write_text(recipe.read_text("utf-8").replace(*OTHER_OIL), "utf-8")
    warm = describe(label)
    assert len({*shown, warm}) == len(EDITS) + 2
    assert describe_anew(label) == warm


@pytest.mark.long
@pytest.mark.parametrize("design", DESIGNS)
def test_after_each_edit_a_suite_is_what_a_new_process_makes(design: str, tmp_path: Path) -> None:
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
    recipe.write_text(weighed.replace(*OTHER_OIL), "utf-8")
    warm = describe(label)
    assert warm not in shown
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
