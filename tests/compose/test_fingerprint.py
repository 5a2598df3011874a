"""The order's code: the same everywhere, another after all that a customer would see."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_copies import copy_sample

from labelkit.common.errors import InputError
from labelkit.common.resources import find_layouts_folder
from labelkit.compose.fingerprint import ALPHABET, LETTERS, make_job_code, parse_code, spell_code
from labelkit.job.prepare import prepare_job

Event = Callable[..., Path]
NUMBERS = st.integers(0, 2**256 - 1)


def code(label: Path) -> str:
    return make_job_code(prepare_job(label))


@given(NUMBERS)
def test_one_letter_misheard_is_always_told(number: int) -> None:
    right = spell_code(number).replace("-", "")
    assert len(right) == LETTERS and set(right) <= set(ALPHABET)
    for place in range(LETTERS):
        for letter in set(ALPHABET) - {right[place]}:
            with pytest.raises(ValueError, match="misheard"):
                parse_code(right[:place] + letter + right[place + 1 :])


@given(NUMBERS)
def test_a_code_is_read_as_people_write_it(number: int) -> None:
    right = spell_code(number)
    bare = right.replace("-", "").lower()
    assert parse_code(bare) == right
    assert parse_code(f" {bare[:2]} {bare[2:5]} – {bare[5:]} ") == right
    # Crockford's Base 32: O is read as 0, I and L as 1 (from memory).
    alike = bare.replace("0", "o").replace("1", "l")
    assert parse_code(alike) == parse_code(bare.replace("1", "I")) == right


@pytest.mark.parametrize("text", ["", "7K3M", "7K3M-Q9XA-B", "7K3M-Q9X!", "ÄÄÄÄ-ÄÄÄÄ"])
def test_what_is_no_code_is_told_so(text: str) -> None:
    with pytest.raises(ValueError, match="eight letters and figures"):
        parse_code(text)


@pytest.mark.parametrize(
    "surroundings",
    [
        {"PYTHONHASHSEED": "1", "LANG": "fr_FR.UTF-8", "LC_ALL": "fr_FR.UTF-8"},
        {"PYTHONHASHSEED": "99", "LC_ALL": "C", "TZ": "Pacific/Kiritimati"},
        {"LC_ALL": "tr_TR.UTF-8", "TZ": "America/Adak", "SOURCE_DATE_EPOCH": "1"},
    ],
    ids=lambda given: "-".join(given.values()).replace("/", "-"),
)
@pytest.mark.quick(1)
def test_it_is_the_same_everywhere(
    sample: Path, tmp_path: Path, surroundings: dict[str, str]
) -> None:
    """In another language, zone, hash seed and folder, and another Python where there is one."""
    copy_sample(sample.parent, tmp_path / "elsewhere")
    program = (
        "from pathlib import Path; from labelkit.job.prepare import prepare_job;"
        "from labelkit.compose.fingerprint import make_job_code;"
        "print(make_job_code(prepare_job(Path('label.toml'))))"
    )
    here = code(sample)
    for python in filter(None, (sys.executable, os.environ.get("LABELKIT_OTHER_PYTHON"))):
        found = subprocess.run(
            [python, "-c", program],
            capture_output=True,
            text=True,
            check=True,
            cwd=tmp_path / "elsewhere",
            env={**os.environ, **surroundings},
        )
        assert found.stdout.strip() == here


SEEN = {
    "a word": ('en = "The Lighthouse Supper"', 'en = "The Lighthouse Dinner"'),
    "an accent": ('fr = "Le Souper du phare"', 'fr = "Le Souper du pharé"'),
    "the date": ("date = 2027-06-19", "date = 2027-06-20"),
    "the place": ('place = "Anse-aux-Brumes"', 'place = "Anse-aux-Brunes"'),
    "the scent": ('en = "Oat, honey & sea buckthorn"', 'en = "Oat & sea buckthorn"'),
    "the identity": ('en = "Soap"', 'en = "Hand soap"'),
    "the weight": ('net_weight = "40 g"', 'net_weight = "41 g"'),
    "the label's lot": ('lot = "LS-2704"', 'lot = "LS-2705"'),
    "the order of languages": ('languages = ["en", "fr"]', 'languages = ["fr", "en"]'),
    "a language less": ('languages = ["en", "fr"]', 'languages = ["en"]'),
    "the trim": ('trim = "44 x 28 mm"', 'trim = "44.1 x 28 mm"'),
    "the shape": ('shape = "rounded"\ncorner = "2 mm"', 'shape = "rectangle"'),
    "the corners": ('corner = "2 mm"', 'corner = "3 mm"'),
    "the layout": ('layout = "lantern"', 'layout = "bunting"'),
    "the ink": ('layout = "lantern"', 'layout = "lantern"\ncolour = "#1b2b45"'),
    "words left out": ("[plan]\npieces", '[front]\nleave_out = ["scent"]\n\n[plan]\npieces'),
    "words of her own": ("[plan]\npieces", '[front]\nthanks = "Merci"\n\n[plan]\npieces'),
    "how many guests": ("guests = 60", "guests = 61"),
    "clear stock": ('layout = "lantern"', 'layout = "lantern"\nclear = true'),
    "a second surface": (
        "[plan]\npieces",
        '[back]\ningredients_on = "tag"\n\n[tag]\ntrim = "40 x 70 mm"\n\n[plan]\npieces',
    ),
}
"""Changes that a customer would see on her proof."""


@pytest.mark.parametrize("change", SEEN.values(), ids=SEEN)
def test_what_is_seen_changes_it(sample: Path, event: Event, change: tuple[str, str]) -> None:
    assert code(event(change)) != code(sample)


UNSEEN = {
    "a comment": (("label.toml", "# or a count; always rounded up", "# rounded up"),),
    "a supplier's lot": (("recipe.toml", 'lot = "OL-0311"', 'lot = "OL-0400"'),),
    "a price": (("label.toml", "price = 4.75", "price = 5.25"),),
    "the plan": (("label.toml", "pieces_per_bar = 3", "pieces_per_bar = 2"),),
    "the workshop's habits": (("maker.toml", "rate = 22.00", "rate = 30.00"),),
    "the stock": (("maker.toml", 'stock = "letter-plain"', 'stock = "a4-plain"'),),
    "spares": (("label.toml", 'spares = "10 %"', "spares = 12"),),
    "the colour of soap under paper": (("label.toml", "#e9c98f", "#e9c900"),),
    "the recipe's name": (("recipe.toml", "Oat, honey and sea buckthorn", "Batch 7"),),
}
"""Changes that no customer sees, as (file, old, new)."""


@pytest.mark.parametrize("changes", UNSEEN.values(), ids=UNSEEN)
def test_what_is_not_seen_leaves_it(
    sample: Path, event: Event, changes: tuple[tuple[str, str, str], ...]
) -> None:
    for file, old, new in changes:
        event((old, new), file=file)
    assert code(event()) == code(sample)


def test_a_layout_counts_by_its_values(sample: Path, event: Event) -> None:
    """A copy with another name, comments and order of keys is the same design."""
    label = event(('layout = "lantern"', 'layout = "mine.toml"'))
    text = (find_layouts_folder() / "lantern.toml").read_text("utf-8")
    mine = label.parent / "mine.toml"
    mine.write_text(f"# A copy.\n{text}\n# Its end.\n", "utf-8")
    assert code(label) == code(sample)
    mine.write_text(text.replace('margin = "', 'margin = "1', 1), "utf-8")
    assert code(label) != code(sample)


def test_guests_count_by_name_and_number_and_not_by_place(event: Event) -> None:
    label = event(("guests = 60", 'guest_list = "guests.csv"'))

    def listed(*names: str) -> str:
        (label.parent / "guests.csv").write_text("\n".join(("name", *names)), "utf-8")
        return code(label)

    two = listed("Luc", "Mia")
    assert listed("Mia", "Luc") == two
    assert len({two, listed("Luc", "Mía"), listed("Luc", "Mia", "Mia"), listed("Luc")}) == 4
    # The apostrophe is set the same way whichever was typed.
    assert listed("Dan O'Hara") == listed("Dan O’Hara")


def test_a_logo_counts_by_its_bytes(sample: Path, event: Event) -> None:
    drawing = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><path d="{}"/></svg>'
    label = event(('layout = "lantern"', 'layout = "lantern"\nlogo = "logo.svg"'))
    codes = []
    for path in ("M0 0h10v10z", "M0 0h10v9z"):
        (label.parent / "logo.svg").write_text(drawing.format(path), "utf-8")
        codes.append(code(label))
    assert len({code(sample), *codes}) == 3
    (label.parent / "logo.svg").rename(label.parent / "other.svg")
    event(('logo = "logo.svg"', 'logo = "other.svg"'))
    assert code(label) == codes[1]
    (label.parent / "other.svg").unlink()
    with pytest.raises(InputError, match="no such file"):
        code(label)
