"""Slips in what a recipe says of its lye, against superfats worked out here.

Molar masses are molmass's (IUPAC atomic weights); a saponification value is, by its definition (ISO
3657, from memory), the milligrams of KOH that a gram of fat takes. Purities: solid NaOH is sold
with 97 to 100 % (FCC at least 95.0 %, ACS reagent at least 97.0 %, E 524 at least 98.0 %, all from
memory), KOH with 85 to 95 % (FCC, ACS and E 525 at least 85.0 %, from memory; flakes up to 95 %,
common practice, no source).
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

import molmass
import pytest
from click.testing import CliRunner
from examples import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from labelkit.cli.declare import command
from labelkit.common.errors import InputError
from labelkit.formula import compute_batch, declare_ingredients
from labelkit.formula.declaration import Declaration, Uncertainty
from labelkit.formula.materials import UNKNOWN_SPREAD, load_materials
from labelkit.order.recipe import Recipe, read_recipe
from labelkit.rules.policies import make_policy

MOLAR = {name: molmass.Formula(name).mass for name in ("NaOH", "KOH")}
CANADA = make_policy(["CA"], dt.date(2027, 6, 19))
OLIVE = 'oil = [{ material = "olive oil", mass = "1000 g", saponification_value = 190 }]\n'
REST = """
superfat = { lye_discount = "%s %%" }
water = { mass = "350 g" }
cure = { loss = "12 %%", plus_minus = "1 %%" }
"""
WEIGHED = REST.replace('superfat = { lye_discount = "%s %%" }\n', "").replace("%%", "%")


def computed(alkali: str, purity: str, discount: str = "5") -> str:
    return f'lye = [{{ alkali = "{alkali}", {purity} }}]\n' + REST % discount


def lye_doubts(made: Declaration) -> list[Uncertainty]:
    return [d for d in made.doubts if d.kind == "alkali"]


def declared(make: Callable[..., Recipe], body: str, lye: str) -> Declaration:
    return declare_ingredients(make(body, lye), CANADA)


# -- purity ----------------------------------------------------------------------------------------

SAMPLE_FULL_KOH_G = (1450 * 189.5 + 850 * 257 + 450 * 180 + 190 * 181.5 + 75 * 198) / 1000
"""The sample event's oils, grams by mg KOH per g."""


@pytest.mark.parametrize(
    ("purity", "grams"),
    # 424.21 g at 98.5 % are 417.85 g pure: at 50 % that weighs 835.7 g, and so on.
    [("50 %", 835), ("58.5 %", 714), ("89 %", 469)],
)
def test_a_purity_that_no_sodium_hydroxide_has_fails(
    event: Callable[..., Path], purity: str, grams: int
) -> None:
    """The sample's 424 g of lye by a purity typed wrong, and what 100 % lye of that weight does."""
    recipe = event(('purity = "98.5 %"', f'purity = "{purity}"'), file="recipe.toml")
    result = CliRunner().invoke(command, [str(recipe.with_name("recipe.toml"))])
    output = " ".join(result.output.split())
    assert result.exit_code == 1
    assert int(compute_batch(read_recipe(recipe.with_name("recipe.toml"))).lye_g) == grams
    assert "DO NOT POUR" in output
    assert str(grams) not in output
    pure = SAMPLE_FULL_KOH_G * 0.94 * MOLAR["NaOH"] / MOLAR["KOH"]
    weighed = pure / float(purity.split()[0]) * 100
    true = 100 - 100 * weighed / (SAMPLE_FULL_KOH_G * MOLAR["NaOH"] / MOLAR["KOH"])
    assert f"fail: Solid NaOH of {purity} purity: it is sold with 97 to 100 %" in output
    assert float(_figure(output, r"with 100 % the superfat would be (\S+) %")) == pytest.approx(
        true, abs=0.06
    )
    assert f'write solution = "{purity}" instead of purity' in output


def _figure(text: str, pattern: str) -> str:
    found = re.search(pattern, text)
    assert found, text
    return found.group(1)


@pytest.mark.parametrize(
    ("alkali", "purity", "level"),
    [
        ("KOH", "45", "fail"),
        ("KOH", "58", "fail"),
        ("KOH", "79.9", "fail"),
        ("KOH", "82", "fail"),  # 1 - 0.95 x 95/82 = -10 %
        ("KOH", "97", "warn"),  # seldom so pure: soft, not caustic
        ("NaOH", "59.8", "fail"),
        ("NaOH", "94.9", "fail"),
        ("NaOH", "96", "warn"),  # 1 - 0.95 x 100/96 = 1 %
        ("NaOH", "97", None),
        ("NaOH", "98", None),
        ("NaOH", "100", None),
    ],
)
def test_purities_outside_what_is_sold_are_told(
    make: Callable[..., Recipe], alkali: str, purity: str, level: str | None
) -> None:
    made = declared(make, OLIVE, computed(alkali, f'purity = "{purity} %"'))
    found = [d for d in lye_doubts(made) if "purity: it is sold" in d.message]
    assert [d.level for d in found] == ([level] if level else [])


def test_old_lye_that_was_assayed_warns(make: Callable[..., Recipe]) -> None:
    """KOH that drew water, titrated: the lot's own figure stands against the usual one."""
    purity = 'purity = "82 %", purity_plus_minus = "0.5 %"'
    found = lye_doubts(declared(make, OLIVE, computed("KOH", purity)))
    assert {d.level for d in found} == {"warn"}


def test_a_purity_range_needs_a_purity(make: Callable[..., Recipe]) -> None:
    with pytest.raises(InputError, match=r"lye\[1\]\.purity_plus_minus: '1 %': needs purity"):
        make(OLIVE, computed("KOH", 'purity_plus_minus = "1 %"'))


def test_potassium_hydroxide_is_never_pure(make: Callable[..., Recipe]) -> None:
    """Counted as pure, 95 % of 85 % is there: 1 - 0.95 x 0.85 = 19.25 %."""
    found = lye_doubts(declared(make, OLIVE, computed("KOH", 'lot = "K1"')))
    (doubt,) = [d for d in found if "no purity given" in d.message.lower()]
    assert doubt.level == "warn"
    assert "85 % the superfat would be 19.3 %" in doubt.message


SHAVING = """
oil = [
  { material = "stearic acid", mass = "300 g", saponification_value = 208 },
  { material = "coconut oil", mass = "200 g", saponification_value = 257 },
  { material = "castor oil", mass = "100 g", saponification_value = 180 },
]
"""


def test_the_purity_is_part_of_the_superfats_range(make: Callable[..., Recipe]) -> None:
    """A shaving soap's 90 % KOH is 95 % in another tub: 1 - 0.95 x 95/90 = -0.28 %."""
    made = declared(make, SHAVING, computed("KOH", 'purity = "90 %"'))
    assert 1 - 0.95 * 95 / 90 < 0
    assert made.superfat is not None
    assert made.superfat.low_percent < 0
    assert next(d.level for d in lye_doubts(made)) == "fail"
    assayed = 'purity = "90 %", purity_plus_minus = "0.5 %"'
    made = declared(make, SHAVING, computed("KOH", assayed))
    assert made.superfat is not None
    # 1 - 0.95 x 90.5/90 = 4.5 %, less half a percent of each certificate's value
    assert 3.9 < made.superfat.low_percent < 4.8
    assert "fail" not in {d.level for d in lye_doubts(made)}


def test_a_solutions_strength_is_part_of_it_too(make: Callable[..., Recipe]) -> None:
    """Bought as 50 %, it may be 51: 1 - 0.95 x 51/50 = 3.1 %, and 184 of 190 make it 3.1 - 0.5."""
    made = declared(make, OLIVE, computed("NaOH", 'solution = "50 %"'))
    assert made.superfat is not None
    assert 2.5 < made.superfat.low_percent < 3.2
    assert not lye_doubts(made)


def test_lye_as_it_is_poured_is_asked_about_as_a_solution(make: Callable[..., Recipe]) -> None:
    """33 % is how lye is mixed. 128.68 g pure are 389.9 g of it; so much solid NaOH against
    135.45 g leaves 1 - 389.9/135.45 = -187.9 %."""
    (doubt,) = lye_doubts(declared(make, OLIVE, computed("NaOH", 'solution = "33 %"')))
    pure = 190 * MOLAR["NaOH"] / MOLAR["KOH"] * 0.95
    assert doubt.level == "warn"
    assert f"{pure / 0.33:.0f} g of liquid" in doubt.message
    assert f"{100 - 100 * 0.95 / 0.33:.1f} %" in doubt.message


# -- saponification values -------------------------------------------------------------------------

LUNA = """
[[material]]
id = "luna"
kind = "triglyceride"
inci = "%s"
saponification_value = %s
"""
OWN_OIL = 'oil = [{ material = "luna", mass = "1000 g" }]\n'


def test_a_value_of_an_unknown_fat_has_an_honest_spread(make: Callable[..., Recipe]) -> None:
    """Three of four published ranges of the table are within 4 % either way of their middle, and
    one typed without a range is known no better: 190 is 182.4 to 197.6."""
    halves = [
        (m.published.high / m.published.value - 1) for m in load_materials() if m.published.high
    ]
    assert sorted(halves)[len(halves) * 3 // 4] <= UNKNOWN_SPREAD
    (used,) = compute_batch(make(OWN_OIL + LUNA % ("Luna Oil", 190))).values
    assert (used.low, used.high) == (Decimal("182.4"), Decimal("197.6"))
    given = LUNA % ("Luna Oil", "190\nsaponification_plus_minus = 1")
    (used,) = compute_batch(make(OWN_OIL + given)).values
    assert (used.low, used.high) == (189, 191)


@pytest.mark.parametrize("inci", ["Olea Europaea (Olive) Fruit Oil", "olea europaea fruit oil"])
def test_a_value_far_from_its_inci_names_fails(make: Callable[..., Recipe], inci: str) -> None:
    """260 for olive oil, of 182 to 196 under that INCI name (Codex CXS 33, from memory): even at
    196, 1 - 0.95 x 260/196 = -26 %."""
    made = declared(make, OWN_OIL, computed("NaOH", 'purity = "98 %"') + LUNA % (inci, 260))
    assert any(d.level == "fail" and "182 to 196" in d.message for d in lye_doubts(made))


def test_a_value_far_off_fails_where_only_the_known_low_end_burns(
    make: Callable[..., Recipe],
) -> None:
    """Of 182 to 196, 211 is far; with 13 % discount the middle, 189, leaves 2.9 % and 182 leaves
    1 - 0.87 x 211/182 = -0.9 %."""
    lye = computed("NaOH", 'purity = "98 %"', "13")
    inci = "Olea Europaea (Olive) Fruit Oil"
    made = declared(make, OWN_OIL, lye + LUNA % (inci, 211))
    assert any(d.level == "fail" and "2.9 % (-0.9 to" in d.message for d in lye_doubts(made))


# -- the soft end ----------------------------------------------------------------------------------


def test_weighed_lye_that_leaves_much_oil_warns(make: Callable[..., Recipe]) -> None:
    """80 g of 98 % NaOH where 135.45 g are taken: 42.1 %; as KOH, of 95 % at most, 1 - 76/190 =
    60 %."""
    lye = 'lye = [{ alkali = "NaOH", purity = "98 %", mass = "80 g" }]\n' + WEIGHED
    (doubt,) = lye_doubts(declared(make, OLIVE, lye))
    assert doubt.level == "warn"
    assert f"{100 - 80 * 0.98 / 1.90 * MOLAR['KOH'] / MOLAR['NaOH']:.1f} % of the oils" in (
        doubt.message
    )
    assert "with KOH for NaOH the superfat would be 60.0 %" in doubt.message


def test_weighed_potassium_hydroxide_says_what_sodium_would_make(
    make: Callable[..., Recipe],
) -> None:
    """130 g of 90 % KOH leave 1 - 117/190 = 38.4 %; as pure NaOH, 1 - 130/135.45 = 4.0 %."""
    lye = 'lye = [{ alkali = "KOH", purity = "90 %", mass = "130 g" }]\n' + WEIGHED
    (doubt,) = lye_doubts(declared(make, OLIVE, lye))
    assert "leaves 38.4 % of the oils" in doubt.message
    assert "with NaOH for KOH the superfat would be 4.0 %" in doubt.message


def test_potassium_hydroxide_alone_warns_with_what_sodium_would_do(
    make: Callable[..., Recipe],
) -> None:
    """0.92 x 190/0.9 = 194.2 g of KOH; as much pure NaOH is 1 - 194.2/135.45 = -43.4 %."""
    lye = computed("KOH", 'purity = "90 %", purity_plus_minus = "1 %"', "8")
    (doubt,) = lye_doubts(declared(make, OLIVE, lye))
    full = 190 * MOLAR["NaOH"] / MOLAR["KOH"]
    assert doubt.level == "warn"
    assert f"{100 - 100 * 0.92 * 190 / 0.9 / full:.1f} %" in doubt.message
    assert "if the tub holds NaOH" in doubt.message


def test_two_alkalis_are_asked_about_where_changing_places_burns(
    make: Callable[..., Recipe],
) -> None:
    """A little KOH in a bar may change places without harm; half and half may not."""
    for share, told in (("95", 0), ("40", 1)):
        lye = (
            f'lye = [{{ alkali = "NaOH", purity = "98 %", share = "{share} %" }},'
            f' {{ alkali = "KOH", purity = "90 %", purity_plus_minus = "1 %",'
            f' share = "{100 - int(share)} %" }}]\n'
        ) + REST % "8"
        found = lye_doubts(declared(make, OLIVE, lye))
        assert len([d for d in found if "taken for each other" in d.message]) == told


# -- units -----------------------------------------------------------------------------------------


def test_ounces_among_grams_are_told(make: Callable[..., Recipe]) -> None:
    body = """
    oil = [
      { material = "olive oil", mass = "600 g" },
      { material = "castor oil", mass = "50 oz" },
    ]
    """
    (doubt,) = [
        d for d in lye_doubts(declared(make, body, computed("NaOH", 'purity = "98 %"')))
        if "ounces" in d.message
    ]  # fmt: skip
    assert doubt.level == "warn"
    assert doubt.message.startswith("Castor oil in ounces or pounds, and olive oil in grams")


@pytest.mark.parametrize(("mass", "told"), [("1000 oz", 1), ("33 oz", 0), ("12 lb 8 oz", 0)])
def test_grams_written_as_ounces_are_asked_about(
    make: Callable[..., Recipe], mass: str, told: int
) -> None:
    """1000 oz are 28.3 kg (international ounce, NIST Handbook 44)."""
    lye = computed("NaOH", 'purity = "98 %"').replace("350 g", "20 kg")
    made = declared(make, OLIVE.replace("1000 g", mass), lye)
    found = [d.message for d in lye_doubts(made) if "are they ounces, or grams" in d.message]
    assert len(found) == told
    assert all("1000 oz of oils, which is 28.3 kg" in text for text in found)


# -- water -----------------------------------------------------------------------------------------


def water(text: str, weighed: str = "130 g") -> str:
    return (
        f'lye = [{{ alkali = "NaOH", purity = "98 %", mass = "{weighed}" }}]\n'
        f"water = {{ {text} }}\n"
        'cure = { loss = "5 %", plus_minus = "1 %" }\n'
    )


@pytest.mark.parametrize(
    ("body", "grams"),
    [
        # Milk is 87 to 88 % water (common practice, no source), 5 % vinegar 95 %.
        ('additive = [{ material = "milk", mass = "300 g" }]\n', 262.5),
        ('additive = [{ material = "vinegar", mass = "300 g" }]\n', 285),
        ('additive = [{ material = "water", mass = "300 g" }]\n', 300),
    ],
)
def test_all_water_counts(make: Callable[..., Recipe], body: str, grams: float) -> None:
    """130 g of lye in milk alone is no lye of 100 %: 130/(130 + 262.5) = 33.1 %."""
    batch = compute_batch(make(OLIVE + body, water('mass = "0 g"')))
    assert float(batch.all_water_g) == pytest.approx(grams)
    assert float(batch.lye_concentration_percent) == pytest.approx(100 * 130 / (130 + grams))
    assert float(batch.water_to_lye) == pytest.approx(grams / 130)
    assert float(batch.water_share_of_oils_percent) == pytest.approx(grams / 10)


def test_own_beer_and_aloe_bring_the_water_of_their_parts(make: Callable[..., Recipe]) -> None:
    """300 g of a compound that is 90 to 94 % water."""
    beer = """
    [[additive]]
    material = "stout"
    mass = "300 g"
    [[material]]
    id = "stout"
    kind = "compound"
    inci = "Beer"
    part = [{ inci = "Water", share = "92 %" }, { inci = "Maltodextrin", share = "8 %" }]
    """
    batch = compute_batch(make(OLIVE + beer, water_tables('mass = "0 g"')))
    assert float(batch.all_water_g) == pytest.approx(276)


def water_tables(text: str) -> str:
    """The same as tables, which may follow others."""
    key, value = text.split(" = ", 1)
    return f'[[lye]]\nalkali = "NaOH"\npurity = "98 %"\nmass = "130 g"\n[water]\n{key} = {value}\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # Water for 130 g at 55 %: 130 x 45/55 = 106.4 g, which is 10.6 % of 1000 g of oil.
        ('mass = "0 g"', "water.mass: '0 g': .* 100.0 %.*expected at least 106 g"),
        ('mass = "3 oz"', "water.mass: '3 oz': .* 85.0 g of water.*expected at least 106 g"),
        ('share_of_oils = "8 %"', "water.share_of_oils: '8 %': .*expected at least 10.6 %"),
        ('lye_concentration = "60 %"', "water.lye_concentration: '60 %'"),
        ("water_to_lye = 0.5", "water.water_to_lye: 0.5"),
    ],
)
def test_lye_that_does_not_dissolve_is_refused_however_water_is_stated(
    make: Callable[..., Recipe], text: str, said: str
) -> None:
    """Water at 25 °C dissolves at most 121 g of KOH, 55 % (CRC Handbook, from memory)."""
    with pytest.raises(InputError, match=said):
        compute_batch(make(OLIVE, water(text)))


def test_a_solution_too_thin_is_told_by_what_was_typed(make: Callable[..., Recipe]) -> None:
    lye = 'lye = [{ alkali = "NaOH", solution = "25 %" }]\n' + REST % "5"
    with pytest.raises(InputError, match=r"water\.share_of_oils: '12 %': the lye solution alone"):
        compute_batch(make(OLIVE, lye.replace('mass = "350 g"', 'share_of_oils = "12 %"')))


# -- no slip is silent -----------------------------------------------------------------------------

OILS = {"olive oil": 190, "coconut oil": 257, "palm oil": 199, "castor oil": 180}
"""mg KOH per g, as the recipes here type them."""
OUNCE_G = 28.349523125  # NIST Handbook 44


@st.composite
def truths(draw: st.DrawFn) -> dict[str, object]:
    """What is really in the pot: oils in grams, one alkali, its purity as sold."""
    names = draw(st.lists(st.sampled_from(sorted(OILS)), min_size=1, max_size=4, unique=True))
    alkali = draw(st.sampled_from(["NaOH", "KOH"]))
    usual = (97.0, 100.0) if alkali == "NaOH" else (85.0, 95.0)
    return {
        "oils": {name: draw(st.integers(min_value=100, max_value=1500)) for name in names},
        "alkali": alkali,
        "purity": round(draw(st.floats(*usual)), 1),
        "discount": draw(st.integers(min_value=0, max_value=12)),
    }


def typed_purities(purity: float) -> list[str]:
    """The purity typed with digits swapped, dropped or doubled, or its point moved."""
    text = f"{purity:.1f}".removesuffix(".0")
    digits = text.replace(".", "")
    swapped = [
        text[:i] + text[i + 1] + text[i] + text[i + 2 :]
        for i in range(len(text) - 1)
        if "." not in text[i : i + 2]
    ]
    dropped = [text[:i] + text[i + 1 :] for i in range(len(text)) if text[i] != "."]
    other_rows = ["50", "45", "33", "90", "85", "58.5", "89"]
    return [*swapped, *dropped, *other_rows, f"{purity / 10:.2f}", digits]


SLIPS = ("purity", "solution", "alkali", "oil in ounces", "all oils in ounces", "lye in ounces",
         "lye is ounces")  # fmt: skip


@st.composite
def slipped(draw: st.DrawFn) -> tuple[str, float]:
    """A recipe with one slip in it, and the true superfat of what it makes, in percent.

    The maker pours the oils she meant and the lye that the recipe gives.
    """
    truth = draw(truths())
    slip = draw(st.sampled_from(SLIPS))
    weighs = draw(st.booleans()) or slip in ("lye in ounces", "lye is ounces")
    oils: dict[str, int] = truth["oils"]  # type: ignore[assignment]
    alkali, purity = str(truth["alkali"]), float(truth["purity"])  # type: ignore[arg-type]
    keep = 1 - int(truth["discount"]) / 100  # type: ignore[call-overload]
    units = dict.fromkeys(oils, "g")
    typed_alkali, strength = alkali, f'purity = "{purity} %"'
    if slip == "purity":
        typed = draw(st.sampled_from(typed_purities(purity)))
        strength = f'purity = "{typed} %"'
    elif slip == "solution":
        strength = f'solution = "{draw(st.sampled_from([purity, 25, 30, 33, 38, 40]))} %"'
    elif slip == "alkali":
        typed_alkali = "KOH" if alkali == "NaOH" else "NaOH"
        of_typed = draw(st.sampled_from([purity, 90 if typed_alkali == "KOH" else 98]))
        strength = f'purity = "{of_typed} %"'
    elif slip == "oil in ounces":
        units[draw(st.sampled_from(sorted(oils)))] = "oz"
    elif slip == "all oils in ounces":
        units = dict.fromkeys(oils, "oz")
    full_g = sum(mass * OILS[name] / 1000 for name, mass in oils.items())
    full_g *= MOLAR[alkali] / MOLAR["KOH"]
    # Weighed lye may be right, or too much already.
    weighed = full_g * keep / purity * 100 * draw(st.sampled_from([1.0, 1.15, 1.5]))
    mass = f', mass = "{weighed:.1f} g"' if weighs else ""
    if slip == "lye in ounces":
        mass = mass.replace(" g", " oz")
        weighed *= OUNCE_G
    elif slip == "lye is ounces":
        mass = f', mass = "{weighed / OUNCE_G:.2f} g"'
    lines = ", ".join(
        f'{{ material = "{name}", mass = "{grams} {units[name]}",'
        f" saponification_value = {OILS[name]} }}"
        for name, grams in oils.items()
    )
    text = (
        f'labelkit = 1\nrecipe = {{ name = "Slip", scale = "0.1 g" }}\noil = [{lines}]\n'
        f'lye = [{{ alkali = "{typed_alkali}", {strength}{mass} }}]\n'
        'water = { mass = "90 kg" }\ncure = { loss = "1 %", plus_minus = "1 %" }\n'
    )
    if not weighs:
        text += f'superfat = {{ lye_discount = "{truth["discount"]} %" }}\n'
        counted = sum(
            grams * (OUNCE_G if units[name] == "oz" else 1) * OILS[name] / 1000
            for name, grams in oils.items()
        )
        by = float(strength.split('"')[1].removesuffix(" %") or 0) or 1
        weighed = counted * MOLAR[typed_alkali] / MOLAR["KOH"] * keep / by * 100
    return text, 100 - 100 * weighed * purity / 100 / full_g


def told(text: str) -> str:
    """The first thing said of the lye: a refusal, or a doubt that fails or warns; or nothing."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "recipe.toml"
        path.write_text(text, encoding="utf-8")
        try:
            made = declare_ingredients(read_recipe(path), CANADA)
        except InputError as error:
            return str(error)
    return next((d.message for d in lye_doubts(made) if d.level != "note"), "")


@settings(max_examples=examples(60))
@given(slipped())
def test_no_slip_is_silent_where_the_true_superfat_is_below_zero(case: tuple[str, float]) -> None:
    text, true_superfat = case
    if true_superfat < -0.01:
        assert told(text), f"{true_superfat:.2f} %:\n{text}"


def test_what_is_right_is_not_told() -> None:
    """An ordinary bar: neither fail nor warn of its lye."""
    text = (
        'labelkit = 1\nrecipe = { name = "Right" }\n'
        'oil = [{ material = "olive oil", mass = "700 g", saponification_value = 190 },'
        ' { material = "coconut oil", mass = "300 g", saponification_value = 257 }]\n'
        'lye = [{ alkali = "NaOH", purity = "99 %" }]\nsuperfat = { lye_discount = "5 %" }\n'
        'water = { lye_concentration = "33 %" }\ncure = { loss = "12 %", plus_minus = "1 %" }\n'
    )
    assert told(text) == ""
