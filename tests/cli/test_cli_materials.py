"""``labelkit materials``: what it lists, and what it says of a word nobody knows."""

from __future__ import annotations

import json

import pytest

from labelkit.cli import main
from labelkit.formula.materials import load_materials
from labelkit.order.recipe import MaterialKind


def shown(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> str:
    with pytest.raises(SystemExit) as ended:
        main(["materials", *arguments])
    assert ended.value.code == code
    return "".join(capsys.readouterr())


def test_every_material_is_listed_by_kind(capsys: pytest.CaptureFixture[str]) -> None:
    listed = shown(capsys)
    lines = [line.split()[0] for line in listed.splitlines() if line.startswith("  ")]
    assert sorted(lines) == sorted(row.id for row in load_materials())
    kinds = [line for line in listed.splitlines() if '(kind = "' in line]
    assert len(kinds) == len(MaterialKind)


def test_json_has_names_inci_and_published_range(capsys: pytest.CaptureFixture[str]) -> None:
    """Codex CXS 33, from memory: olive oil, 184 to 196 mg KOH per g. Its INCI name is in the
    dictionary of the Personal Care Products Council (from memory)."""
    (olive,) = json.loads(shown(capsys, "olive oil", "--format", "json"))
    assert olive["inci"] == "Olea Europaea (Olive) Fruit Oil"
    assert olive["mg_koh_per_g"] == [184, 196]
    assert olive["names"]["fr"] == "huile d'olive"


def test_a_word_finds_what_it_may_stand_for(capsys: pytest.CaptureFixture[str]) -> None:
    """Clays are sold by colour: common practice, no source."""
    listed = shown(capsys, "yellow clay")
    assert "illite" in listed
    assert "kaolin" in listed
    assert "olive" not in listed


@pytest.mark.parametrize(
    ("word", "wanted", "unwanted"),
    [
        ("oil", ("olive-oil", "coconut-oil", "castor-oil"), ("kaolin", "shea-butter")),
        ("huile", ("olive-oil", "coconut-oil"), ("kaolin",)),
        ("Butters", ("shea-butter", "cocoa-butter"), ("kaolin", "olive-oil")),
        ("wax", ("beeswax",), ("olive-oil",)),
    ],
)
def test_a_general_word_lists_what_has_it_in_a_name(
    capsys: pytest.CaptureFixture[str],
    word: str,
    wanted: tuple[str, ...],
    unwanted: tuple[str, ...],
) -> None:
    listed = {row["id"] for row in json.loads(shown(capsys, word, "--format", "json"))}
    assert {*wanted} <= listed
    assert not {*unwanted} & listed


def test_a_word_nobody_knows_says_how_to_describe_it(capsys: pytest.CaptureFixture[str]) -> None:
    complaint = shown(capsys, "ochre", code=2)
    assert complaint.count("\n") == 1
    assert "[[material]] with id, kind and inci" in complaint
