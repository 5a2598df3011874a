"""The fragrance allergens and the schedule names, against what is published of them."""

from __future__ import annotations

import pytest

from labelkit.formula.allergens import find_allergen, list_allergen_names, load_allergens
from labelkit.formula.schedule import find_schedule_name, load_schedule_names


def test_allergen_counts() -> None:
    """24 original entries; 80 with those of Regulation (EU) 2023/1545; Canada counts 81."""
    assert [len(list_allergen_names(n)) for n in ("24", "80", "81")] == [24, 80, 81]
    assert len({a.name for a in load_allergens()}) == 81
    assert list_allergen_names("81") - list_allergen_names("80") == {"6-Methyl Coumarin"}


@pytest.mark.parametrize(
    ("name", "cas", "entry"),
    [
        # CAS registry numbers, Annex III to Regulation (EC) No 1223/2009.
        ("Linalool", "78-70-6", "84"),
        ("Limonene", "5989-27-5", "88"),
        ("Coumarin", "91-64-5", "77"),
        ("Eugenol", "97-53-0", "71"),
        ("Benzyl Alcohol", "100-51-6", "45"),
    ],
)
def test_allergens_have_their_cas_number(name: str, cas: str, entry: str) -> None:
    found = find_allergen(name.upper())
    assert found is not None
    assert found.cas[0] == cas
    assert found.annex_iii == entry
    assert found.provenance == "read"


def test_cas_numbers_have_a_right_check_digit() -> None:
    """The last digit is the sum of the others by position from the right, modulo 10 (CAS)."""
    numbers = [cas for a in load_allergens() for cas in a.cas]
    assert len(numbers) > 24
    for cas in numbers:
        *digits, check = cas.replace("-", "")
        total = sum(i * int(d) for i, d in enumerate(reversed(digits), start=1))
        assert total % 10 == int(check), cas


def test_schedule_has_58_items_and_its_forms() -> None:
    """Schedule to the Cosmetic Regulations, s. 21.2(4)."""
    assert {name.item for name in load_schedule_names()} == set(range(1, 59))
    for technical, english, french in [
        ("Aqua", "Water", "Eau"),
        ("Mel", "Honey", "Miel"),
        ("Caprae Lac", "Goat Milk", "Lait de chèvre"),
        ("Cera Alba", "Beeswax", "Cire d’abeille"),
        ("Maris Sal", "Sea Salt", "Sel marin"),
    ]:
        for spelled in (technical, english, english.upper()):
            found = find_schedule_name(spelled)
            assert found is not None
            assert (found.technical, found.english, found.french) == (technical, english, french)
    assert find_schedule_name("Parfum") is None


def test_a_technical_name_of_several_substances_keeps_each_pair() -> None:
    """Item 20: Lac is Milk/Lait or Whole Dry Milk/Lait entier en poudre."""
    dry = find_schedule_name("Whole Dry Milk")
    assert dry is not None
    assert (dry.technical, dry.french) == ("Lac", "Lait entier en poudre")
