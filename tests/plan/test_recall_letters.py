"""From a supplier's lot to letters: six events, the lot in four of them, in two languages."""

from __future__ import annotations

import shutil
import stat
from pathlib import Path

import pytest
from command import labelkit
from page_text import read_pages
from sample_copies import copy_sample

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "lighthouse-supper"
# Name, language of the customer, and the lot of the olive oil that went into the batch.
ORDERS = (
    ("Anse", "fr", "OL-0311"),
    ("Birch", "en", "OL-0311"),
    ("Cove", "fr", "OL-0312"),
    ("Dune", "en", "OL-0311"),
    ("Ebb", "", "OL-0311"),
    ("Fjord", "en", "OL-03II"),  # read alike, and another lot
)


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six events of one maker, each recorded as poured on a day of its own."""
    home = tmp_path_factory.mktemp("home") / "workshop"
    home.mkdir(parents=True)
    for name in ("maker.toml", "prices.toml"):
        shutil.copy(SAMPLE / name, home / name)
    for day, (name, language, lot) in enumerate(ORDERS, start=20):
        folder = home / name
        folder.mkdir()
        recipe = (SAMPLE / "recipe.toml").read_text(encoding="utf-8").replace("OL-0311", lot)
        (folder / "recipe.toml").write_text(recipe, encoding="utf-8")
        text = (SAMPLE / "label.toml").read_text(encoding="utf-8")
        text = text.replace("The Lighthouse Supper", f"{name} Supper")
        text = text.replace("LS-2704", f"L-{day}")
        text = text.replace('maker = "maker.toml"', 'maker = "../maker.toml"')
        text += f'\n[plan.customer]\nname = "{name} Brun"\naddress = ["4 Rope Walk"]\n'
        text += f'telephone = "506 555 01{day}"\n'
        text += f'language = "{language}"\n' if language else ""
        (folder / "label.toml").write_text(text, encoding="utf-8")
        poured = f"2027-04-{day}"
        done = labelkit(
            "plan", folder / "label.toml", "--on", poured, "--record", "--poured", poured
        )
        assert done.returncode == 0, done.stderr
    return home


@pytest.fixture
def workshop(recorded: Path, tmp_path: Path) -> Path:
    return copy_sample(recorded, tmp_path / "home" / "workshop")


def read_letters(folder: Path) -> list[str]:
    found = []
    for path in sorted(folder.glob("*.pdf")):
        (page,) = read_pages(path)
        found.append(page)
    return found


def test_a_letter_for_each_order_that_used_the_lot(workshop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "letters"
    maker = ("--maker", workshop / "maker.toml")
    done = labelkit("trace", "OL-0311", *maker, "--letters", folder, "--on", "2027-07-02")
    assert done.returncode == 0, done.stderr
    letters = read_letters(folder)
    assert len(letters) == 4
    used = [name for name, _, lot in ORDERS if lot == "OL-0311"]
    by_name = {name: next(t for t in letters if f"{name} Brun" in t) for name in used}
    # In the customer's language, or the label's first.
    assert "savons du lot L-20" in by_name["Anse"]
    assert "2 juillet 2027" in by_name["Anse"]
    assert "July 2, 2027" in by_name["Birch"]
    assert "Veuillez ne pas les utiliser" in by_name["Anse"]
    for name, lot in (("Birch", "L-21"), ("Dune", "L-23"), ("Ebb", "L-24")):
        assert f"Recall: soap of lot {lot}" in by_name[name]
        assert "do not use these pieces" in by_name[name]
        assert "bonjour@estran.example" in by_name[name]
    # Nothing of the workshop's own: no supplier's lot, no other customer.
    for name, text in by_name.items():
        assert "OL-0311" not in text
        assert sum(f"{other} Brun" in text for other, *_ in ORDERS) == 1, name


def test_whom_to_call_is_listed_and_private(workshop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "letters"
    done = labelkit("trace", "OL-0311", "--maker", workshop / "maker.toml", "--letters", folder)
    rows = (folder / "customers.tsv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 5
    assert "2027-06-19\tBirch Supper\t66\tBirch Brun\t506 555 0121" in rows
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()} == {0o600}
    assert "remove the folder once everyone is told" in done.stderr
    again = labelkit("trace", "OL-0311", "--maker", workshop / "maker.toml", "--letters", folder)
    assert again.returncode == 2
    assert "is already there" in again.stderr


def test_the_supplier_is_named(workshop: Path) -> None:
    shelf = """labelkit = 1
[[shelf]]
item = "olive oil"
supplier = "Moulin des Dunes"
lot = [{ lot = "OL-0311", amount = "25 kg", received = 2027-02-04 }]
"""
    (workshop / "shelf.toml").write_text(shelf, encoding="utf-8")
    done = labelkit("trace", "OL-0311", "--maker", workshop / "maker.toml")
    told = "Lot OL-0311 is olive oil of Moulin des Dunes, received 2027-02-04."
    assert done.stdout.splitlines()[0] == told
    other = labelkit("trace", "OL-0312", "--maker", workshop / "maker.toml")
    assert "Moulin" not in other.stdout


def test_a_quote_is_addressed_to_the_customer(workshop: Path, tmp_path: Path) -> None:
    quote = tmp_path / "quote.pdf"
    label = workshop / "Birch" / "label.toml"
    labelkit("plan", label, "--page", "quote", "--out", quote, "--on", "2027-04-21")
    text = read_pages(quote)[0]
    assert "Birch Brun" in text
    assert "4 Rope Walk" in text
