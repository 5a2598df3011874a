"""Every key a maker may write, by file and table, so that one in the wrong place can be sent home.

The readers know which keys they ask for; a test holds this list against what they ask.
"""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from labelkit.model.runs import ELEMENTS

FIELDS = sorted(e for e in ELEMENTS if e not in {"separator", "draft-mark", "ingredients", "guest"})
"""Elements whose words a label spec may give itself, under [front] or [back]."""
_WORDS = " ".join(field.replace("-", "_") for field in FIELDS)

SURFACES = ("tag", "card", "leaflet", "notice")
"""What may carry the ingredient list instead of the label: in the spec a table for each."""

_PLAN = {
    "plan": (
        "mould offcuts pieces_per_bar cutting_loss wrapping_loss keep pot_loss density scale"
        " fine_scale piece_poured weight_spread further_loss deliver_on poured_on cure_weeks"
        " unmould_days supply_days supplies_in_hand proof_days approve_days approve_on"
        " hours_per_day closed suppliers_closed holidays labels wrap ribbon box extra quote"
        " price_list currency rate overhead margin price_step tax minutes language lot_pattern sent"
        " spare_pieces"
    ),
    "plan.mould": "inside volume_ml cavities fill ends divider cavity_ml",
    "plan.labels": "start front_start back_start two_sided price other_price",
    "plan.wrap": "size sheet in_hand price",
    "plan.ribbon": "length roll in_hand price",
    "plan.box": "holds in_hand price",
    "plan.extra": "name per_piece pack in_hand price",
    "plan.quote": "price deposit valid_days terms lead_time",
    "plan.tax": "name rate",
    "plan.sent": "pieces to on",
    "plan.minutes": "design pour cut label wrap print deliver",
}
_FILES = {
    "label.toml": {
        "": f"labelkit event product label front back {' '.join(SURFACES)} plan evidence",
        "event": "names date place guests guest_list spares spares_least",
        "product": (
            "identity scent net_weight package_face package_face_shape recipe maker lot sold_on"
            " first_sold_on class imported label_is_tag soap_colour total_surface_cm2 e_mark"
            " durability_months back_is_bottom"
        ),
        "label": (
            "regions languages trim shape corner stock layout bleed colour logo clear fonts"
            " capitals"
        ),
        "front": f"leave_out {_WORDS}",
        "back": f"leave_out ingredients_on ingredients_url {_WORDS}",
        **dict.fromkeys(SURFACES, "trim shape corner stock copies"),
        "evidence": "claim what file date",
        **_PLAN,
    },
    "maker.toml": {
        "": "labelkit maker defaults plan evidence",
        "maker": "name address contact brand country street_listed",
        "defaults": "regions stock printer",
        "evidence": "claim what file date",
        **_PLAN,
    },
    "recipe.toml": {
        "": "labelkit recipe oil lye water superfat scent additive colour cure material",
        "recipe": "name scale",
        "oil": (
            "material mass after_trace saponification_value saponification_plus_minus acid_value"
            " infused_with allergens lot price_per_kg"
        ),
        "lye": "alkali purity purity_plus_minus mass share solution lot price_per_kg",
        "water": "mass lye_concentration water_to_lye share_of_oils",
        "superfat": "lye_discount extra_oil",
        "scent": (
            "essential_oil declare_as name label_scent mass allergens limit certificate lot"
            " price_per_kg"
        ),
        "additive": "material mass allergens lot price_per_kg",
        "colour": "material mass allergens lot price_per_kg",
        "cure": "bar loss plus_minus weeks",
        "cure.bar": "poured cured",
        "material": (
            "kind part id name inci eu us sodium potassium saponification_value"
            " saponification_plus_minus acid_value plant source"
        ),
        "material.part": "material inci share",
    },
    "prices.toml": {"": "labelkit price", "price": "item price for density"},
    "a stock file": {
        "": (
            "labelkit title kind page width across down die shape corner left top gap pitch"
            " feed_gap unprintable material colour note"
        ),
    },
}
TABLES = {
    file: {table: tuple(keys.split()) for table, keys in tables.items()}
    for file, tables in _FILES.items()
}
"""File: table: its keys; the table "" is the top of the file."""

LISTS = frozenset(
    {
        "oil", "lye", "scent", "additive", "colour", "material", "material.part", "price",
        "plan.extra", "plan.sent", "plan.tax", "evidence",
    }
)  # fmt: skip
"""Tables that may stand more than once, each as ``[[name]]``."""

_OTHER_WORDS = {
    "picture": "logo", "pictures": "logo", "image": "logo", "images": "logo", "photo": "logo",
    "color": "colour", "soap_color": "soap_colour", "weight": "net_weight", "width": "trim",
    "font": "layout", "design": "layout", "url": "ingredients_url", "website": "ingredients_url",
    "region": "regions", "language": "languages", "size": "trim", "best_before": "durability",
    "batch": "lot", "email": "contact", "phone": "contact", "telephone": "contact",
}  # fmt: skip
"""Words for which the files have another one."""
_NEAR = 0.8
_MOST_PLACES = 3


def is_key(key: str, table: str) -> bool:
    """Whether a table of any file has the key."""
    return any(key in tables.get(table, ()) for tables in TABLES.values())


def home_of(key: str, here: str) -> str:
    """Where a key that means nothing in the table ``here`` belongs, in words; "" if nowhere."""
    tables = [f"in {file}, as {_brackets(key)}" for file, top in TABLES.items() if key in top]
    places = (tables if not here else []) or list(_places(key))
    return f"it belongs {_listed(places)}" if places else ""


def kin_of(key: str) -> str:
    """A key that is called so in other words, or nearly so, and where it belongs; or ""."""
    other = usual_word(key)
    if other == key:
        every = {k for tables in TABLES.values() for keys in tables.values() for k in keys}
        other = next(iter(get_close_matches(key, sorted(every), 1, _NEAR)), "")
    places = list(_places(other))
    return f"perhaps {other} is meant, {_listed(places)}" if places else ""


def usual_word(key: str) -> str:
    """What the files call something that has other names too; ``key`` itself where it is that."""
    return _OTHER_WORDS.get(key.lower().replace("-", "_"), key)


def _places(key: str) -> Iterator[str]:
    """The tables that have a key, those of the label spec first."""
    told = set()
    for file, tables in TABLES.items():
        for table, keys in tables.items():
            if key in keys and (table, key) not in told:
                told.add((table, key))
                if table:
                    yield f"under {_brackets(table)} in {file}"
                elif key in tables:
                    yield f"in {file}, as {_brackets(key)}"
                else:
                    yield f"in {file}"


def _brackets(table: str) -> str:
    return f"[[{table}]]" if table in LISTS else f"[{table}]"


def _listed(places: list[str]) -> str:
    more = len(places) - _MOST_PLACES
    return " or ".join(places[:_MOST_PLACES]) + (f" or {more} more" if more > 0 else "")
