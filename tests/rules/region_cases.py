"""A label on either side of every rule outside Canada.

21 CFR and 16 CFR in the edition of 2015. Reg.: Regulation (EC) No 1223/2009, as national
authorities restate it. NMI: National Measurement Institute (AU), guide to the sale of pre-packaged
goods. TSNZ: Trading Standards (NZ), general quantity labelling requirements.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from rule_labels import (
    OAT_LIST,
    Case,
    Draft,
    american,
    antipodean,
    british,
    canadian,
    declared,
    european,
)

from labelkit.formula.declaration import Role
from labelkit.model.runs import NEUTRAL, Box

D = dt.date
US = american()
SOAP = US.know(product_class="soap")
BARE = SOAP.without("ingredients").without("ingredients-heading")
BE = european()
GB = british()
AU = antipodean()
QC = canadian()


def us(rule: str, draft: Draft, level: str, source: str, says: str = "") -> Case:
    return Case(rule, draft, level, source, ("US",), says=says)


def eu(
    rule: str, draft: Draft, level: str, source: str, on: dt.date | None = None, says: str = ""
) -> Case:
    return Case(rule, draft, level, source, ("BE",), on, says=says)


def gb(
    rule: str, draft: Draft, level: str, source: str, on: dt.date | None = None, says: str = ""
) -> Case:
    return Case(rule, draft, level, source, ("GB",), on, says=says)


def heavy(draft: Draft, text: str) -> Draft:
    """The quantity said otherwise on a piece heavy enough for any of these."""
    return draft.know(net_weight_g=5000).instead("net-quantity", text)


def order(draft: Draft, *percents: str) -> Draft:
    return draft.declare(*((f"Ingredient {i}", p) for i, p in enumerate(percents)))


def coloured(draft: Draft, *lines: tuple[str, str]) -> Draft:
    return draft.declare(*((n, p, Role.COLOUR if "CI" in n else Role.INGREDIENT) for n, p in lines))


def perfumed(draft: Draft, printed: str) -> Draft:
    return draft.declare(("A", 90), ("Parfum", 3, Role.PARFUM), printed=f"A, {printed}")


def flavoured(draft: Draft, printed: str) -> Draft:
    return draft.declare(("A", 90), ("Aroma", 3, Role.AROMA), printed=f"A, {printed}")


def one(draft: Draft, inci: str, printed: str, role: Role = Role.INGREDIENT) -> Draft:
    return draft.declare(("A", 80), (inci, 20, role), printed=f"A, {printed}")


def moved(draft: Draft, place: str) -> Draft:
    text = ", ".join(draft.facts.declaration.names)
    bare = draft.without("ingredients").know(ingredients_on=place, ingredients_url="x.example")
    return bare if place == "website" else bare.put(place, "ingredients", text)


def claim(draft: Draft, text: str, language: str = "zxx") -> Draft:
    return draft.put("back", "claim", text, language)


def sized(draft: Draft, element: str, **how: float) -> Draft:
    return draft.set(element, **how)


def ink(draft: Draft, element: str, *corners: float) -> Draft:
    return draft.set(element, ink=Box(*corners))


# One square inch is 6.4516 cm2 exactly, one inch 25.4 mm.
SQ_IN_5 = ("63.5", "50.8")  # 2.5 x 2 in
SQ_IN_OVER_5 = ("63.5", "51")  # 5.02 square inches
SQ_IN_25 = ("127", "127")  # 5 x 5 in

US_CASES = [
    us("US-SOAP-CLAIMS", claim(SOAP, "Olive oil soap"), "", "CPSC, FAQ on soap"),
    us("US-SOAP-CLAIMS", claim(SOAP, "Moisturizing soap"), "warn", "CPSC, FAQ on soap"),
    us("US-SOAP-CLAIMS", claim(SOAP, "Deodorizing"), "warn", "CPSC, FAQ on soap"),
    # With a cosmetic claim 701.20(a)(2) is not met, and 701.3 asks for the list.
    us("US-SOAP-CLAIMS", claim(BARE, "Olive oil soap"), "", "21 CFR 701.20(a)(2)"),
    us("US-SOAP-CLAIMS", claim(BARE, "Moisturizing soap"), "fail", "21 CFR 701.20(a)(2), 701.3(a)"),
    us(
        "US-SOAP-CLAIMS",
        claim(BARE, "Moisturizing soap").put("back", "list-elsewhere", "Ingredients: see tag"),
        "warn",
        "21 CFR 701.3(b): a tag may have it",
    ),
    us("US-SOAP-LIST-FREE", SOAP, "note", "21 CFR 701.20: no cosmetic; 701.3 is for cosmetics"),
    us("US-SOAP-LIST-FREE", BARE, "", "nothing to leave out"),
    us("US-SOAP-LIST-FREE", US, "", "21 CFR 701.3(a): a cosmetic needs its list"),
    us("US-SOAP-CLAIMS", claim(US, "Moisturizing soap"), "", "21 CFR 701.20: a cosmetic may"),
    us("US-DUTY-SOAP", SOAP, "note", "21 CFR 701.20(a)(1)"),
    us("US-ENGLISH", US, "", "21 CFR 701.2(b)(1)"),
    us("US-ENGLISH", US.instead("identity", "Savon", "fr"), "fail", "21 CFR 701.2(b)(1)"),
    # 21 CFR 701.2(b)(2): any representation in a foreign language.
    us("US-OTHER-LANGUAGE", US, "", "21 CFR 701.2(b)(2)"),
    us("US-OTHER-LANGUAGE", claim(US, "hecho a mano", "es"), "fail", "21 CFR 701.2(b)(2)"),
    us(
        "US-OTHER-LANGUAGE",
        claim(US, "hecho a mano", "es")
        .put("front", "identity", "Jabón", "es")
        .instead("net-quantity", "Net Wt / Peso neto 1.41 oz (40 g)"),
        "",
        "21 CFR 701.2(b)(2)",
    ),
    us(
        "US-OTHER-LANGUAGE",
        claim(SOAP, "hecho a mano", "es"),
        "",
        "16 CFR 500 has no such rule for soap",
    ),
    us(
        "US-OTHER-LANGUAGE-QUANTITY",
        claim(US, "fait main", "fr").instead("net-quantity", "Net Wt 1.41 oz (40 g)"),
        "warn",
        "usual practice, from memory",
    ),
    us(
        "US-OTHER-LANGUAGE-QUANTITY",
        claim(US, "fait main", "fr").instead("net-quantity", "Net Wt / Poids net 1.41 oz (40 g)"),
        "",
        "usual practice, from memory",
    ),
    us("US-IDENTITY-PRESENT", US, "", "21 CFR 701.11(a)"),
    us("US-IDENTITY-PRESENT", US.without("identity"), "fail", "21 CFR 701.11(a)"),
    # 21 CFR 701.11(b): the common or usual name, or a descriptive one; a scent is neither.
    us("US-IDENTITY-NAME", US, "", "21 CFR 701.11(b)"),
    us("US-IDENTITY-NAME", US.instead("identity", "Lavender", "en"), "warn", "21 CFR 701.11(b)"),
    us("US-IDENTITY-NAME", SOAP.instead("identity", "Lavender"), "warn", "16 CFR 500.4(c)"),
    us("US-IDENTITY-NAME", US.instead("identity", "Cleansing bar", "en"), "", "21 CFR 701.11(b)"),
    us("US-IDENTITY-NAME", US.instead("identity", "Soapstone", "en"), "warn", "a stone is no soap"),
    us("US-IDENTITY-NAME", US.put("front", "identity", "Lavanda", "es"), "warn", "not in Spanish"),
    us("US-IDENTITY-NAME", US.put("front", "identity", "Jabón", "es"), "", "ordinary word"),
    us("US-IDENTITY-BOLD", US.set("identity", weight=600), "", "21 CFR 701.11(c)"),
    us("US-IDENTITY-BOLD", US.set("identity", weight=599), "fail", "21 CFR 701.11(c)"),
    us("US-IDENTITY-BOLD", SOAP.set("identity", weight=400), "", "16 CFR 500.4: not for soap"),
    *(
        us(
            "US-IDENTITY-SIZE",
            US.set("names", capital=10.0).set("identity", capital=mm),
            level,
            "informal convention of half, from memory",
        )
        for mm, level in [(5.0, ""), (4.9, "warn"), (5.1, ""), (4.1, "warn"), (5.9, "")]
    ),
    us("US-QUANTITY-PRESENT", US, "", "15 USC 1453(a)(2)"),
    us("US-QUANTITY-PRESENT", US.without("net-quantity"), "fail", "15 USC 1453(a)(2)"),
    us("US-QUANTITY-TERM", heavy(US, "Net wt. 6 oz."), "", "21 CFR 701.13(j)(2), printed example"),
    us("US-QUANTITY-TERM", heavy(US, "6 oz. net wt."), "", "21 CFR 701.13(j)(2), printed example"),
    us("US-QUANTITY-TERM", heavy(US, "6 oz. (170 g)"), "fail", "21 CFR 701.13(j)(2)"),
    us("US-QUANTITY-TERM", heavy(SOAP, "6 oz. (170 g)"), "", "16 CFR 500.9(a): optional"),
    *(
        us("US-QUANTITY-OUNCES", heavy(US, text), level, source, text)
        for text, level, source in [
            ("Net wt. 12 oz.", "", "21 CFR 701.13(j)(1), printed example"),
            ("Net wt. 0.75 lb.", "fail", "21 CFR 701.13(j)(1)"),
            ("Net wt. 24 oz. (1 lb. 8 oz.)", "", "21 CFR 701.13(m), printed example"),
            ("Net wt. 24 oz. (1 1/2 lb.)", "", "21 CFR 701.13(m), printed example"),
            ("Net wt. 1 lb", "", "21 CFR 701.13(m): 16 oz make a pound"),
            ("Net wt. 0.95 lb", "fail", "21 CFR 701.13(m): 15.2 oz"),
            ("Net wt. 16 drams", "fail", "21 CFR 701.13(j)(1): never drams"),
            ("Net wt. 40 g", "fail", "15 USC 1453(a)(2)"),
        ]
    ),
    *(
        us("US-QUANTITY-METRIC", heavy(US, text), level, source, text)
        for text, level, source in [
            ("Net Wt 1.41 oz (40 g)", "", "15 USC 1453(a)(2)"),
            ("Net Wt 1.41 oz", "fail", "15 USC 1453(a)(2)"),
            ("1.96 kg (4.3 lb)", "", "16 CFR 500.23, printed example"),
            ("1960 g (4.3 lb)", "fail", "16 CFR 500.23, printed example"),
            ("1000 g (2.2 lb)", "fail", "16 CFR 500.23: between 1 and 1000"),
            ("999 g (2.2 lb)", "", "16 CFR 500.23: between 1 and 1000"),
            ("1 kg (2.2 lb)", "", "16 CFR 500.23: between 1 and 1000"),
        ]
    ),
    *(
        us(rule, heavy(draft, text), level, source, text)
        for rule, draft, text, level, source in [
            ("US-QUANTITY-DECIMALS", US, "Net Wt 0.98 oz (28 g)", "", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1.058 oz (30 g)", "fail", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1 1/2 oz (42 g)", "", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1 3/4 oz (49 g)", "", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1 3/8 oz (38 g)", "", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1 7/16 oz (40 g)", "", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1 13/32 oz (39 g)", "", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1 1/3 oz (37 g)", "fail", "21 CFR 701.13(d)"),
            ("US-QUANTITY-DECIMALS", US, "Net Wt 1 2/4 oz (42 g)", "fail", "701.13(d): lowest"),
            ("US-QUANTITY-DECIMALS", SOAP, "1.058 oz (30 g)", "", "soap: 16 CFR 500.17"),
            ("US-QUANTITY-DECIMALS-SOAP", SOAP, "1.058 oz (30 g)", "", "16 CFR 500.17(a)(2)"),
            ("US-QUANTITY-DECIMALS-SOAP", SOAP, "1.0582 oz (30 g)", "fail", "16 CFR 500.17(a)(2)"),
            ("US-QUANTITY-DECIMALS-SOAP", SOAP, "1 1/2 oz (42 g)", "", "16 CFR 500.17(a)(2)"),
            ("US-QUANTITY-DECIMALS-SOAP", SOAP, "1 3/4 oz (49 g)", "", "16 CFR 500.17(a)(2)"),
            ("US-QUANTITY-DECIMALS-SOAP", SOAP, "1 3/8 oz (38 g)", "", "16 CFR 500.17(a)(2)"),
            ("US-QUANTITY-DECIMALS-SOAP", SOAP, "1 7/16 oz (40 g)", "", "16 CFR 500.17(a)(2)"),
            ("US-QUANTITY-DECIMALS-SOAP", SOAP, "1 13/32 oz (39 g)", "", "16 CFR 500.17(a)(2)"),
            ("US-QUANTITY-METRIC-DECIMALS", US, "1 oz (28.3 g)", "", "16 CFR 500.17(a)(1)"),
            ("US-QUANTITY-METRIC-DECIMALS", US, "1 oz (28 1/2 g)", "fail", "16 CFR 500.17(a)(1)"),
            ("US-QUANTITY-METRIC-FIGURES", US, "Net Wt 2 oz (56.6 g)", "", "16 CFR 500.19(b)"),
            # The regulation says "should".
            ("US-QUANTITY-METRIC-FIGURES", US, "Net Wt 2 oz (56.69 g)", "warn", "16 CFR 500.19(b)"),
            ("US-QUANTITY-METRIC-FIGURES", US, "1 lb (453.592 g)", "warn", "16 CFR 500.19(b)"),
            ("US-QUANTITY-SYMBOLS", US, "Net Wt. 1.5 lb./24 oz. (680 g)", "", "16 CFR 500.9(b)(2)"),
            ("US-QUANTITY-SYMBOLS", US, "NET WT 2 OZ (56 g)", "", "21 CFR 701.13(n)"),
            ("US-QUANTITY-SYMBOLS", US, "Net Wt 2 onces (56 g)", "fail", "21 CFR 701.13(n)"),
            ("US-QUANTITY-METRIC-SYMBOLS", US, "1.41 oz (40 g)", "", "16 CFR 500.23(b)"),
            ("US-QUANTITY-METRIC-SYMBOLS", US, "1.41 oz (40 gr)", "fail", "16 CFR 500.23(b)"),
            ("US-QUANTITY-METRIC-SYMBOLS", US, "1.41 oz (40 G)", "fail", "16 CFR 500.23(b)"),
            ("US-QUANTITY-METRIC-SYMBOLS", US, "1.41 oz (40 g.)", "fail", "16 CFR 500.23(b)"),
            ("US-QUANTITY-PAIR", US, "Net Wt 2 oz (56 g)", "", "16 CFR 500.19(b), example"),
            ("US-QUANTITY-PAIR", US, "Net Wt 2 oz (56.6 g)", "", "16 CFR 500.19(b), example"),
            ("US-QUANTITY-PAIR", US, "Net Mass 425 g (15 oz)", "", "16 CFR 500.8(a), example"),
            ("US-QUANTITY-PAIR", US, "Net Wt 2 oz (60 g)", "fail", "16 CFR 500.19(a)"),
            ("US-QUANTITY-PAIR", US, "Net Wt 2 oz (55 g)", "fail", "16 CFR 500.19(a)"),
            # 1000 oz are 28 349.5 g by the set factor, and one step of the last place is allowed.
            ("US-QUANTITY-PAIR", US, "1000 oz (28349.5 g)", "", "16 CFR 500.19(a): 28.3495"),
            ("US-QUANTITY-PAIR", US, "1000 oz (28349.4 g)", "fail", "16 CFR 500.19(a): 28.3495"),
            ("US-QUANTITY-PAIR", US, "1000 oz (28349.6 g)", "", "16 CFR 500.19(a): one step"),
            ("US-QUANTITY-PAIR", US, "1000 oz (28349.7 g)", "fail", "16 CFR 500.19(a): 28.3495"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "Net Wt 1.4 oz (39 g)", "", "Handbook 130"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "Net Wt 1.4 oz (40 g)", "warn", "Handbook 130"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "Net Wt 1.41 oz (40 g)", "", "Handbook 130"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "Net Wt 0.98 oz (28 g)", "", "Handbook 130"),
            ("US-QUANTITY-LARGER-GOVERNS", SOAP, "1.058 oz (30 g)", "", "Handbook 130"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "Net Mass 425 g (15 oz)", "", "16 CFR 500.8(a)"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "1000 oz (28349.5 g)", "", "16 CFR 500.19(a)"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "1000 oz (28349.9 g)", "warn", "16 CFR 500.19(a)"),
            ("US-QUANTITY-LARGER-GOVERNS", US, "1000 oz (28349.4 g)", "warn", "16 CFR 500.19(a)"),
        ]
    ),
    # 1 oz is 28.35 g: a piece of 28.0 g may not be labelled 1 oz.
    us(
        "US-QUANTITY-TRUE",
        US.know(net_weight_g=28).instead("net-quantity", "Net Wt 1 oz (28 g)"),
        "fail",
        "16 CFR 500.25: average not below the label",
    ),
    us(
        "US-QUANTITY-TRUE",
        US.know(net_weight_g=28).instead("net-quantity", "Net Wt 0.98 oz (28 g)"),
        "",
        "16 CFR 500.25",
    ),
    us("US-QUANTITY-QUALIFIED", US, "", "15 USC 1453(b)"),
    *(
        us("US-QUANTITY-QUALIFIED", heavy(US, text), "fail", source, text)
        for text, source in [
            ("Net Wt 2 oz (56 g) minimum", "16 CFR 500.6(b)"),
            ("Net Wt 2 oz (56 g) when packed", "16 CFR 500.6(b)"),
            ("Jumbo net wt 2 oz (56 g)", "16 CFR 500.6(b)"),
            ("Approx. net wt 2 oz (56 g)", "15 USC 1453(b)"),
        ]
    ),
    # 21 CFR 701.13(i), 16 CFR 500.21(b): the table in inches.
    *(
        us(
            "US-QUANTITY-HEIGHT",
            US.face(*face).set("net-quantity", o=mm),
            level,
            "21 CFR 701.13(i)",
            f"{face[0]} x {face[1]} mm, {mm} mm",
        )
        for face, mm, level in [
            (SQ_IN_5, 1.5875, ""),
            (SQ_IN_5, 1.58, "fail"),
            (("60", "40"), 1.5875, ""),
            (SQ_IN_OVER_5, 1.5875, "fail"),
            (("63.5", "57.15"), 1.5875, "fail"),  # 2.5 x 2.25 in is 5.625 square inches
            (SQ_IN_OVER_5, 3.175, ""),
            (SQ_IN_OVER_5, 3.16, "fail"),
            (SQ_IN_25, 3.175, ""),
            (("127", "127.1"), 3.175, "fail"),
            (("127", "127.1"), 4.7625, ""),
            (("127", "127.1"), 4.75, "fail"),
            (("254", "254"), 4.7625, ""),  # 100 square inches
            (("254", "254.1"), 4.7625, "fail"),
            (("254", "254.1"), 6.35, ""),
            (("254", "254.1"), 6.34, "fail"),
            (("508", "508"), 6.35, ""),  # 400 square inches
            (("508", "508.1"), 6.35, "fail"),
            (("508", "508.1"), 12.7, ""),
            (("508", "508.1"), 12.6, "fail"),
        ]
    ),
    # Just past 25, 100 and 400 square inches, to a part in ten thousand and less.
    us(
        "US-QUANTITY-HEIGHT",
        heavy(US, "Net Wt 1 1/2 oz (42 g)").face(*SQ_IN_5).set("net-quantity", figure=0.79375),
        "",
        "21 CFR 701.13(h)(3): half of 1/16 in for a fraction's parts",
    ),
    us(
        "US-QUANTITY-HEIGHT",
        heavy(US, "Net Wt 1 1/2 oz (42 g)").face(*SQ_IN_5).set("net-quantity", figure=0.78),
        "fail",
        "21 CFR 701.13(h)(3)",
    ),
    us("US-QUANTITY-METRIC-LETTER", SOAP.set("net-quantity", o=1.6), "", "16 CFR 500.21(h)"),
    us("US-QUANTITY-METRIC-LETTER", SOAP.set("net-quantity", o=1.59), "fail", "16 CFR 500.21(h)"),
    us("US-QUANTITY-BOLD", US.set("net-quantity", weight=600), "", "21 CFR 701.13(h)"),
    us("US-QUANTITY-BOLD", US.set("net-quantity", weight=599), "fail", "21 CFR 701.13(h)"),
    # 21 CFR 701.13(f): lowest 30 % of a panel 40 mm high is 12 mm; waived up to 5 square inches.
    *(
        us(
            "US-QUANTITY-PLACE",
            ink(US.face(*face), "net-quantity", 4, top - 3, 28, top),
            level,
            "21 CFR 701.13(f)",
        )
        for face, top, level in [
            (SQ_IN_OVER_5, 12.0, ""),
            (SQ_IN_OVER_5, 12.1, "fail"),
            (SQ_IN_OVER_5, 16.0, "fail"),
            (SQ_IN_OVER_5, 8.1, ""),
            (SQ_IN_5, 20.0, ""),
            (("63.5", "40.7"), 20.0, ""),  # 4.006 square inches
            (("63.5", "60.9"), 20.0, "fail"),  # 5.99 square inches
        ]
    ),
    # 21 CFR 701.13(f): one height of its lettering above and below, two N widths left and right.
    *(
        us(
            "US-QUANTITY-CLEAR",
            ink(US.set("net-quantity", capital=2.0, ink=Box(4, 2, 20, 4)), "identity", *corners),
            level,
            "21 CFR 701.13(f)",
        )
        for corners, level in [
            ((4, 6.0, 20, 9), ""),
            ((4, 5.9, 20, 9), "fail"),
            ((4, 7.9, 20, 9), ""),
            ((24.4, 2, 30, 4), ""),  # N taken as 1.1 x 2 mm, twice that is 4.4 mm
            ((24.3, 2, 30, 4), "fail"),
            ((24.1, 2, 30, 4), "fail"),
            ((24.7, 2, 30, 4), ""),
        ]
    ),
    us(
        "US-QUANTITY-CLEAR",
        ink(
            US.set("net-quantity", capital=2.0, n_width=1.8, ink=Box(4, 2, 20, 4)),
            "identity",
            *(23.6, 2, 30, 4),
        ),
        "",
        "21 CFR 701.13(f): twice the width of its own N",
    ),
    us(
        "US-QUANTITY-CLEAR",
        ink(
            US.set("net-quantity", capital=2.0, n_width=1.8, ink=Box(4, 2, 20, 4)),
            "identity",
            *(23.5, 2, 30, 4),
        ),
        "fail",
        "21 CFR 701.13(f): twice the width of its own N",
    ),
    us("US-FIRM-PRESENT", US, "", "21 CFR 701.12(a)"),
    us("US-FIRM-PRESENT", US.without("dealer"), "fail", "21 CFR 701.12(a)"),
    us("US-FIRM-ADDRESS", US, "", "21 CFR 701.12(d)"),
    us(
        "US-FIRM-ADDRESS",
        US.instead("dealer", "Fern Hollow Soaps, Elmvale, Vermont"),
        "fail",
        "21 CFR 701.12(d): ZIP code",
    ),
    # 21 CFR 701.12(d): street address, unless shown in a current city or telephone directory.
    *(
        us("US-FIRM-STREET", draft.know(street_listed=listed), level, source, text)
        for listed, text, level, source in [
            ("", "8 Quay Lane, Elmvale VT 05001", "", "21 CFR 701.12(d)"),
            ("", "12345 County Road 7, Elmvale VT 05001", "", "21 CFR 701.12(d)"),
            ("", "14 42nd Street, Elmvale VT 05001-1234", "", "21 CFR 701.12(d)"),
            ("", "Elmvale VT 05001", "fail", "21 CFR 701.12(d)"),
            ("", "Elmvale VT 05001, USA", "fail", "21 CFR 701.12(d)"),
            ("", "PO Box 12, Elmvale VT 05001", "fail", "21 CFR 701.12(d): a box is no street"),
            ("", "P.O. Box 12, 8 Quay Lane, Elmvale VT 05001", "", "21 CFR 701.12(d)"),
            ("", "Elmvale NB E4P 1A1, Canada", "fail", "21 CFR 701.12(d)"),
            # A figure in the firm's name is no house number.
            ("", "Elmvale VT 05001", "fail", "21 CFR 701.12(d)"),
            ("city directory of 2026", "Elmvale VT 05001", "", "21 CFR 701.12(d): listed"),
        ]
        for draft in [US.instead("dealer", f"Fern Hollow Soaps, {text}")]
    ),
    # 21 CFR 701.13(h): distinct contrast; at most three times as high as wide.
    us("US-QUANTITY-CONTRAST", US.set("net-quantity", colour="#767676"), "", "WCAG 2.2, 1.4.3"),
    us("US-QUANTITY-CONTRAST", US.set("net-quantity", colour="#777777"), "warn", "701.13(h); WCAG"),
    *(
        us(
            "US-QUANTITY-LETTER-SHAPE",
            US.set("net-quantity", capital=3.0, n_width=wide),
            level,
            "21 CFR 701.13(h)(1)",
            f"3 mm high, {wide} mm wide",
        )
        for wide, level in [(1.0, ""), (0.999, "fail"), (0.76, "fail"), (1.45, ""), (None, "")]
    ),
    us("US-CONTACT-PRESENT", US, "", "21 USC 364e(a); FDA guidance of December 2024"),
    us(
        "US-CONTACT-PRESENT",
        US.without("contact").instead("dealer", "Fern Hollow Soaps, Elmvale"),
        "fail",
        "21 USC 364e(a); FDA guidance of December 2024",
    ),
    *(
        Case(
            "US-CONTACT-PRESENT",
            US.without("contact").instead("dealer", "Fern Hollow Soaps, Elmvale"),
            level,
            "21 USC 364e(a): two years after 2022-12-29, from memory",
            ("US",),
            on,
        )
        for on, level in [(D(2024, 12, 28), ""), (D(2024, 12, 29), "fail")]
    ),
    # 19 CFR 134.32(f), (h): own use of the importer; a buyer who must (or may) know. So: a warning.
    us("US-ORIGIN", US.know(imported=True), "warn", "19 USC 1304; 19 CFR 134.32(f)"),
    us("US-ORIGIN", US.know(made_in="CA"), "warn", "19 CFR 134.32(h): goods of Canada and Mexico"),
    Case("US-ORIGIN", US.know(made_in="CA"), "warn", "19 CFR 134.32", ("US",), strict=True),
    us("US-ORIGIN", US.know(made_in="US"), "", "19 USC 1304"),
    us("US-ORIGIN", US.know(made_in="PR"), "", "Puerto Rico is customs territory, from memory"),
    us(
        "US-ORIGIN",
        US.know(imported=True).put("back", "origin", "Made in Canada", "en"),
        "",
        "19 USC 1304, from memory",
    ),
    us("US-LIST-PLACE", US, "", "21 CFR 701.3(b)"),
    us("US-LIST-PLACE", moved(US, "tag"), "note", "21 CFR 701.3(b)"),
    us("US-LIST-PLACE", moved(US, "website"), "note", "21 CFR 701.3(r)"),
    us("US-LIST-PLACE", moved(US, "notice"), "fail", "21 CFR 701.3(i)"),
    us("US-LIST-PLACE", US.without("ingredients"), "fail", "21 CFR 701.3(a)"),
    *(
        us(
            "US-LIST-ROOM",
            moved(draft, place).know(list_on_back_mm=height),
            level,
            "21 CFR 701.3(b)",
        )
        for draft, place, height, level in [
            (US, "tag", Decimal("1.6"), "warn"),
            (US, "card", Decimal("1.6"), "warn"),
            (US, "tag", None, ""),
            (US, "website", Decimal("1.6"), ""),  # 701.3(r) goes by how it is sold, not by size
            (SOAP, "tag", Decimal("1.6"), ""),
        ]
    ),
    us("US-LIST-PLACE", SOAP.without("ingredients"), "", "16 CFR 500: no list for soap"),
    # 21 CFR 701.3(b), (p): 12 square inches are 77.4192 cm2.
    *(
        us(
            rule,
            US.know(total_surface_cm2=surface).set("ingredients", capital=mm, o=mm),
            level if rule == "US-LIST-HEIGHT" else level.replace("fail", "warn"),
            "21 CFR 701.3(b), (p)",
            f"{surface} cm2, {mm} mm",
        )
        for rule in ("US-LIST-HEIGHT", "US-LIST-HEIGHT-SMALL-LETTERS")
        for surface, mm, level in [
            (None, 1.5875, ""),
            (None, 1.58, "fail"),
            (Decimal("77.4192"), 1.58, "fail"),  # exactly 12: strictly less is asked for
            (Decimal("77.41"), 0.79375, ""),
            (Decimal("77.41"), 0.78, "fail"),
            (Decimal("80"), 1.5875, ""),
            (Decimal("71.0"), 0.79375, ""),  # 11.005
            (Decimal("83.8"), 1.0, "fail"),  # 12.99
        ]
    ),
    *(
        us("US-LIST-ORDER", order(US, *shares), level, "21 CFR 701.3(f)", " ".join(shares))
        for shares, level in [
            (("40", "30", "1.01", "0.4", "1.0"), ""),
            (("40", "0.9", "1.01"), "fail"),
            (("30", "40"), "fail"),
            (("40", "1.0", "1.5"), "fail"),
            (("40", "1.5", "1.9"), "fail"),
            (("40", "0.2", "0.6"), ""),
        ]
    ),
    *(
        us("US-LIST-ORDER", coloured(US, *lines), level, "21 CFR 701.3(f)(3): colours")
        for lines, level in [
            ((("A", "60"), ("B", "0.5"), ("Iron Oxides (CI 77491)", "2")), ""),
            ((("A", "60"), ("Iron Oxides (CI 77491)", "0.2"), ("B", "0.5")), "fail"),
            ((("A", "60"), ("Iron Oxides (CI 77491)", "2"), ("B", "0.5")), ""),  # all by weight
        ]
    ),
    us("US-LIST-FRAGRANCE", perfumed(US, "Fragrance"), "", "21 CFR 701.3(a)"),
    us("US-LIST-FRAGRANCE", perfumed(US, "Fragrance (Parfum)"), "note", "FDA letters, memory"),
    us("US-LIST-FRAGRANCE", perfumed(US, "Parfum"), "fail", "FDA, Cosmetic Ingredient Names"),
    us("US-LIST-FLAVOR", flavoured(US, "Flavor"), "", "21 CFR 701.3(a)"),
    us("US-LIST-FLAVOR", flavoured(US, "Aroma"), "fail", "21 CFR 701.3(a)"),
    us("US-LIST-ENGLISH-NAMES", one(US, "Aqua", "Water"), "", "FDA, Cosmetic Ingredient Names"),
    us("US-LIST-ENGLISH-NAMES", one(US, "Aqua", "Aqua"), "fail", "FDA, Cosmetic Ingredient Names"),
    us("US-LIST-ENGLISH-NAMES", one(US, "Aqua", "Aqua/Water/Eau"), "", "701.3(c): has the name"),
    us("US-LIST-ENGLISH-NAMES", one(US, "Aqua", "Water (Aqua)"), "note", "FDA letters, memory"),
    us("US-LIST-PLANTS", US, "", "FDA, Cosmetic Ingredient Names"),
    us(
        "US-LIST-PLANTS",
        one(US, "Olea Europaea Fruit Oil", "Olea Europaea Fruit Oil", Role.BOTANICAL),
        "fail",
        "FDA, Cosmetic Ingredient Names",
    ),
    us(
        "US-LIST-COLOURS",
        one(US, "CI 77491", "Iron Oxides (CI 77491)", Role.COLOUR),
        "",
        "21 CFR 73",
    ),
    us(
        "US-LIST-COLOURS",
        one(US, "CI 19140", "CI 19140", Role.COLOUR),
        "fail",
        "FDA, Cosmetic Ingredient Names: CI 19140 alone",
    ),
    us("US-LIST-MAY-CONTAIN", US, "", "21 CFR 701.3(g)"),
    us(
        "US-LIST-MAY-CONTAIN",
        US.instead("ingredients", "Sodium Olivate, may contain Titanium Dioxide"),
        "warn",
        "21 CFR 701.3(g)",
    ),
    us("US-CLAIM-DRUG", claim(US, "A gentle soap"), "", "CPSC, FAQ on soap"),
    us("US-CLAIM-DRUG", claim(US, "Soothes eczema"), "fail", "CPSC, FAQ on soap"),
    us("US-CLAIM-DRUG", claim(SOAP, "Kills germs"), "fail", "CPSC, FAQ on soap"),
    us("US-CLAIM-DRUGLIKE", claim(US, "A gentle soap"), "", "from memory"),
    us("US-CLAIM-DRUGLIKE", claim(US, "Healing soap"), "warn", "from memory"),
    us("US-DUTY-REGISTER", US, "note", "21 USC 364h, from memory"),
    us("US-DUTY-ALLERGENS", US, "note", "RIN 0910-AI90"),
    us("US-DUTY-CALIFORNIA", US, "note", "27 CCR 25600 ff., from memory"),
]

# Figures by the declared weight, 76/211/EEC Annex I 3.1 in the French arrêté of 1978-10-20.
HEIGHTS_BY_WEIGHT = [
    ("28", 2.0, ""), ("35", 2.0, ""), ("45", 1.99, "fail"), ("50", 2.0, ""), ("50", 1.99, "fail"),
    ("50.1", 2.0, "fail"), ("50.1", 3.0, ""), ("51", 2.99, "fail"), ("200", 3.0, ""),
    ("200", 2.99, "fail"), ("200.1", 3.0, "fail"), ("201", 4.0, ""), ("201", 3.99, "fail"),
    ("1000", 4.0, ""), ("1000.1", 4.0, "fail"), ("1001", 6.0, ""), ("1001", 5.99, "fail"),
]  # fmt: skip

FIRST_OF_AUGUST = D(2026, 8, 1)
LAST_OF_JULY = D(2026, 7, 31)


def added(draft: Draft, first: dt.date | None) -> Draft:
    return draft.know(first_sold_on=first).allergen("Vanillin", "0.05")


ABROAD = "Fern Hollow Soaps, 8 Quay Lane, Elmvale"
IN_UNION = "Atelier du Hêtre, rue du Lac 3, 5000 Namur"
EU_CASES = [
    Case("EU-LANGUAGES", BE, "", "Reg. Art. 19(5)", ("EU",)),
    Case("EU-LANGUAGES", BE.instead("identity", "石鹸", "ja"), "warn", "Reg. Art. 19(5)", ("EU",)),
    eu("EU-FUNCTION", BE, "", "Reg. Art. 19(1)(f)"),
    eu("EU-FUNCTION", BE.without("identity"), "fail", "Reg. Art. 19(1)(f)"),
    eu("EU-FUNCTION-SAID", BE, "", "Reg. Art. 19(1)(f)"),
    eu("EU-FUNCTION-SAID", BE.instead("identity", "Lavande", "fr"), "warn", "Reg. Art. 19(1)(f)"),
    # Which language each word is of: ordinary words. Art. 19(5): in the language of the state.
    *(
        eu("EU-FUNCTION-SAID", BE.instead("identity", words, language), level, "Reg. Art. 19(5)")
        for words, language, level in [
            ("Soap", "pt", "warn"),
            ("Savon", "pt", "warn"),
            ("Seife", "es", "warn"),
            ("Jabón", "pt", "warn"),
            ("Sabonete", "es", "warn"),
            ("Sabonete / Soap", "pt", ""),
            ("Sapun", "mt", ""),
            ("Soap", NEUTRAL, ""),
            ("Soap", "eu", ""),  # Basque has no list, so nothing is known of its words
        ]
    ),
    *(
        eu("EU-FUNCTION-SAID", BE.instead("identity", words, language), level, "ordinary words")
        for words, language, level in [
            ("Haferseife", "de", ""),
            ("Palasaippua", "fi", ""),
            ("Lavendeltvål", "sv", ""),
            ("Lavendelzeepje", "nl", ""),
            ("Zeepaardje", "nl", "warn"),  # a sea horse
            ("Pain de campagne", "fr", "warn"),  # a loaf
            ("Pain de toilette", "fr", ""),
            ("石鹸", "ja", ""),  # soap, in a language there is no list for
        ]
    ),
    eu("EU-RESPONSIBLE-PERSON", BE, "", "Reg. Art. 19(1)(a)"),
    eu("EU-RESPONSIBLE-PERSON", BE.without("dealer"), "fail", "Reg. Art. 19(1)(a)"),
    # Reg. Art. 19(1)(a): of several addresses that of the product information file is highlighted.
    eu("EU-FILE-ADDRESS", BE, "", "one address"),
    *(
        eu("EU-FILE-ADDRESS", BE.instead("dealer", both), level, "Reg. Art. 19(1)(a)", says=both)
        for both, level in [
            (f"{ABROAD}, Canada · {IN_UNION}, Belgique", "warn"),
            (f"{ABROAD}, Canada · {IN_UNION.upper()}, BELGIQUE", ""),
            (f"{ABROAD} N0A 1B0 Canada; {IN_UNION}, België", "warn"),
            (f"{ABROAD}, UK, {IN_UNION}, Belgium", "warn"),
            (f"{ABROAD}, USA, {IN_UNION}, Frankreich", "warn"),
            # One country in two of its languages, and streets that are called after countries.
            (f"{IN_UNION}, Belgique / België", ""),
            ("Fern Hollow Soaps, 3 rue de France, 5000 Namur, Belgique", ""),
        ]
    ),
    eu(
        "EU-FILE-ADDRESS",
        BE.instead("dealer", f"{ABROAD}, Canada · ").put(
            "back", "dealer", f"{IN_UNION}, Belgique", weight=700
        ),
        "",
        "Reg. Art. 19(1)(a): the manner is not prescribed",
    ),
    *(
        eu(
            "EU-RESPONSIBLE-PERSON-PLACE",
            BE.instead("dealer", f"Fern Hollow Soaps, {place}"),
            level,
            "Reg. Art. 4(1); HPRA: the EEA or Northern Ireland",
            says=place,
        )
        for place, level in [
            ("5000 Namur, Belgique", ""),
            ("5000 Namur, België", ""),
            ("5000 Namur, Belgium", ""),
            ("BE-5000 Namur", ""),
            ("Oslo, Noorwegen", ""),
            ("8 Quay Lane, Elmvale BT1 5GS", ""),
            ("Elmvale, Northern Ireland", ""),
            ("Elmvale NB, Canada", "fail"),
            ("Elmvale, Devon, UK", "fail"),
            ("14 Malta Road, Elmvale 3999", "fail"),
            ("14 Ireland Road, Elmvale 3999, New Zealand", "fail"),
            ("Elmvale 3999, New Zealand (a friend in Ireland)", "fail"),
            ("Elmvale, Ireland / Elmvale 3999, New Zealand", ""),
            ("12 Malta Road 12, Elmvale 3999", "fail"),
        ]
    ),
    eu("EU-ORIGIN", BE.know(imported=True), "fail", "Reg. Art. 19(1)(a)"),
    eu("EU-ORIGIN", BE.know(made_in="NZ"), "fail", "Reg. Art. 19(1)(a): made outside the Union"),
    *(
        eu("EU-ORIGIN", BE.know(made_in=country), "", "Reg. Art. 19(1)(a): no import", says=country)
        for country in ("FI", "NO", "IS", "LI", "GB-NIR")
    ),
    eu("EU-ORIGIN", BE.know(made_in="GB"), "fail", "Reg. Art. 19(1)(a): an import"),
    eu(
        "EU-ORIGIN",
        BE.know(made_in="NZ").put("back", "origin", "Made in New Zealand"),
        "",
        "Reg. Art. 19(1)(a)",
    ),
    eu("EU-ORIGIN", BE, "", "Reg. Art. 19(1)(a): only imports"),
    eu("EU-BATCH", BE, "", "Reg. Art. 19(1)(e)"),
    eu("EU-BATCH", BE.without("lot"), "fail", "Reg. Art. 19(1)(e)"),
    # Reg. Art. 19(1)(c), Tukes: no more than 30 months, a date; beyond, a period.
    *(
        eu(rule, draft.know(durability_months=months), level, "Reg. Art. 19(1)(c); Tukes")
        for rule, draft in [("EU-DURABILITY", BE)]
        for months, level in [(30, "fail"), (31, ""), (None, "")]
    ),
    *(
        case(rule, draft.know(durability_months=months), level, "Reg. Art. 19(1)(c); Tukes; HPRA")
        for case, rule, base in [(eu, "EU-DURABILITY", BE), (gb, "GB-DURABILITY", GB)]
        for draft, months, level in [
            (base.without("durability"), None, "fail"),
            (base.without("durability"), 24, "fail"),
            (base.without("durability"), 36, "fail"),
            (base.instead("durability", "12M"), 24, "fail"),
            (base.instead("durability", "05/2027"), 24, ""),
        ]
    ),
    # Tukes: the date may be left out, and a period given, where it keeps more than 30 months.
    *(
        case(rule, draft.instead("durability", text).know(durability_months=months), level, source)
        for case, rule, draft, source in [
            (eu, "EU-DURABILITY-PERIOD", BE, "Reg. Art. 19(1)(c); Tukes"),
            (gb, "GB-DURABILITY-PERIOD", GB, "as Reg. Art. 19(1)(c), from memory"),
        ]
        for text, months, level in [
            ("12M", None, "warn"),
            ("12M", 31, ""),
            ("12M", 30, ""),  # the row on durability asks for the date
            ("05/2029", None, ""),
            ("avril 2029", None, ""),
            ("12M, 05/2029", None, ""),
        ]
    ),
    # A date in words is a date, and is told as what it is; in figures it passes.
    *(
        case(
            rule,
            draft.know(sold_on=D(2027, 6, 19), durability_months=24).instead("durability", text),
            level,
            "Reg. Art. 19(1)(c): month and year; that figures serve better is labelkit's judgement",
        )
        for case, rule, draft in [(eu, "EU-DURABILITY", BE), (gb, "GB-DURABILITY", GB)]
        for text, level in [
            ("Avril 2029", "warn"),
            ("30 april 2029", "warn"),
            ("Best used before the end of April 2029", "warn"),
            ("avril 2029 (04/2029)", ""),
            ("04/2029", ""),
        ]
    ),
    *(
        eu("EU-DURABILITY-DATE", BE.instead("durability", text), level, "Reg. Art. 19(1)(c); Tukes")
        for text, level in [
            ("05/2027", ""),
            ("31/05/2027", ""),
            ("12M", ""),
            ("2027-05", "fail"),
            ("05/31/2027", "fail"),
        ]
    ),
    eu("EU-QUANTITY-PRESENT", BE, "", "Reg. Art. 19(1)(b)"),
    *(
        eu(
            "EU-QUANTITY-PRESENT",
            BE.know(net_weight_g=Decimal(grams)).without("net-quantity"),
            level,
            "Reg. Art. 19(1)(b): under 5 g exempt",
        )
        for grams, level in [("4.9", ""), ("5", "fail"), ("40", "fail"), ("4.1", "")]
    ),
    eu("EU-QUANTITY-UNIT", BE, "", "76/211 Annex I 3.1"),
    eu("EU-QUANTITY-UNIT", heavy(BE, "0.5 kg"), "", "76/211 Annex I 3.1"),
    eu("EU-QUANTITY-UNIT", heavy(BE, "1.4 oz"), "fail", "76/211 Annex I 3.1"),
    eu("EU-QUANTITY-SYMBOL", BE, "", "80/181/EEC, from memory"),
    eu("EU-QUANTITY-SYMBOL", heavy(BE, "40 gr"), "warn", "80/181/EEC, from memory"),
    *(
        case(
            rule,
            draft.know(net_weight_g=Decimal(grams)).set("net-quantity", figure=mm),
            level if not memory else level.replace("fail", "warn"),
            "76/211 Annex I 3.1; France, arrêté of 1978-10-20, Art. 2.1",
            says=f"{grams} g, {mm} mm",
        )
        for case, rule, draft, memory in [
            (eu, "EU-QUANTITY-FIGURE-HEIGHT", BE, False),
            (gb, "GB-QUANTITY-FIGURE-HEIGHT", GB, True),
        ]
        for grams, mm, level in HEIGHTS_BY_WEIGHT
    ),
    *(
        case(rule, draft, level, "80/181/EEC Art. 3; SI 1987/1538; TSNZ")
        for case, rule, base, found in [
            (eu, "EU-QUANTITY-OUNCES", BE, "warn"),
            (gb, "GB-QUANTITY-IMPERIAL", GB, "fail"),
        ]
        for draft, level in [
            (base, ""),
            (base.put("front", "net-quantity", " (1.41 oz)", figure=3.6), ""),
            (base.put("front", "net-quantity", " (1.41 oz)", figure=3.7), found),
        ]
    ),
    eu("EU-QUANTITY-TRUE", BE, "", "76/211 Annex I 1"),
    eu("EU-QUANTITY-TRUE", BE.instead("net-quantity", "42 g"), "fail", "76/211 Annex I 1"),
    eu("EU-QUANTITY-TOLERANCE", BE, "note", "76/211 Annex I 2.4"),
    *(
        case(rule, draft.put(panel, "e-mark", "℮", ink=Box(30, 2, 33, 2 + mm)), level, source)
        for case, rule, draft, source in [
            (eu, "EU-ESTIMATED-SIGN", BE, "76/211 Annex I 3.3"),
            (gb, "GB-ESTIMATED-SIGN", GB, "SI 2006/659 reg. 2"),
        ]
        for panel, mm, level in [
            ("front", 3.0, ""),
            ("front", 2.9, "fail"),
            ("front", 3.9, ""),
            ("back", 3.0, "fail"),
        ]
    ),
    eu("EU-ESTIMATED-SIGN", BE.know(e_mark=True), "warn", "76/211 Annex I 3.3: optional"),
    *(
        eu(
            "EU-ESTIMATED-SIGN-RANGE",
            BE.know(net_weight_g=Decimal(grams)).put("front", "e-mark", "℮"),
            level,
            "76/211 Art. 1, second-hand",
            says=f"{grams} g",
        )
        for grams, level in [("4.9", "warn"), ("5", ""), ("10000", ""), ("10001", "warn")]
    ),
    eu("EU-LIST-PLACE", BE, "", "Reg. Art. 19(1)(g)"),
    eu("EU-LIST-PLACE", moved(BE, "leaflet"), "note", "Reg. Art. 19(2)"),
    *(
        case(
            rule,
            moved(draft, place).know(list_on_back_mm=height),
            level,
            "Reg. Art. 19(2), (3): where a label is impossible for practical reasons",
        )
        for case, rule, draft in [(eu, "EU-LIST-ROOM", BE), (gb, "GB-LIST-ROOM", GB)]
        for place, height, level in [
            ("tag", Decimal("1.2"), "warn"),
            ("card", Decimal("1.2"), "warn"),
            ("leaflet", Decimal("1.2"), "warn"),
            ("notice", Decimal("1.2"), "warn"),
            ("tag", None, ""),
        ]
    ),
    eu("EU-LIST-PLACE", moved(BE, "notice"), "note", "Reg. Art. 19(3)"),
    eu("EU-LIST-PLACE", moved(BE, "website"), "fail", "Reg. Art. 19(2)"),
    eu("EU-LIST-REFERENCE", BE, "", "Reg. Art. 19(2): the list is on the label"),
    eu("EU-LIST-REFERENCE", moved(BE, "tag"), "warn", "Reg. Art. 19(2)"),
    eu("EU-LIST-REFERENCE", moved(BE, "card"), "warn", "Reg. Art. 19(2)"),
    eu(
        "EU-LIST-REFERENCE",
        moved(BE, "tag").put("back", "list-elsewhere", "Zie kaartje", "nl"),
        "",
        "Reg. Art. 19(2)",
    ),
    eu("EU-LIST-HEADING", BE, "", "Reg. Art. 19(1)(g)"),
    eu("EU-LIST-HEADING", BE.without("ingredients-heading"), "fail", "Reg. Art. 19(1)(g)"),
    eu(
        "EU-LIST-HEADING", BE.instead("ingredients-heading", "Composition"), "fail", "Art. 19(1)(g)"
    ),
    *(
        case(rule, order(draft, *shares), level.replace("fail", fails), source, says=str(shares))
        for case, rule, draft, fails, source in [
            (eu, "EU-LIST-ORDER", BE, "fail", "Reg. Art. 19(1)(g); Luxembourg health portal"),
            (gb, "GB-LIST-ORDER", GB, "warn", "Reg. GB Art. 19(1)(g), from memory"),
        ]
        for shares, level in [
            (("40", "30", "0.4", "0.7"), ""),
            (("30", "40"), "fail"),
            (("40", "0.9", "1.0"), "fail"),  # exactly 1 % is treated as ordered
            (("40", "0.9", "0.99"), ""),
            (("40", "1.5", "1.9"), "fail"),
        ]
    ),
    eu(
        "EU-LIST-ORDER",
        coloured(BE, ("A", "60"), ("B", "0.5"), ("CI 77491", "2")),
        "",
        "Reg. Art. 19(1)(g): colours after the others, from memory",
    ),
    eu(
        "EU-LIST-ORDER",
        coloured(BE, ("A", "60"), ("CI 77491", "2"), ("B", "3")),
        "fail",
        "Reg. Art. 19(1)(g): neither last nor by weight",
    ),
    eu("EU-LIST-AS-ADDED", BE, "", "Reg. Art. 19(1)(g), from memory"),
    eu("EU-LIST-AS-ADDED", BE.know(declaration=declared(OAT_LIST)), "note", "from memory"),
    *(
        case(rule, perfumed(draft, printed), level, source)
        for case, rule, draft, source in [
            (eu, "EU-LIST-PARFUM-NAME", BE, "Reg. Art. 19(1)(g)"),
            (gb, "GB-LIST-PARFUM-NAME", GB, "UK Parliament, written answer on the rule"),
        ]
        for printed, level in [
            ("Parfum", ""),
            ("Fragrance", "fail"),
            ("Parfum (Fragrance)", "note"),
        ]
    ),
    eu("EU-LIST-AROMA-NAME", flavoured(BE, "Aroma"), "", "Reg. Art. 19(1)(g)"),
    eu("EU-LIST-AROMA-NAME", flavoured(BE, "Flavour"), "fail", "Reg. Art. 19(1)(g)"),
    *(
        case(rule, one(draft, "Aqua", printed), level, "Reg. Art. 33, from memory")
        for case, rule, draft in [(eu, "EU-LIST-NAMES", BE), (gb, "GB-LIST-NAMES", GB)]
        for printed, level in [("Aqua", ""), ("Water", "warn"), ("Aqua/Water/Eau", "")]
    ),
    eu("EU-LIST-COLOURS", one(BE, "CI 77491", "CI 77491", Role.COLOUR), "", "from memory"),
    eu(
        "EU-LIST-COLOURS",
        one(BE, "Iron Oxides", "Iron Oxides", Role.COLOUR),
        "warn",
        "Reg. Art. 19(1)(g), from memory",
    ),
    *(
        case(
            rule,
            one(draft, "Titanium Dioxide", f"Titanium Dioxide {nano}"),
            level and found,
            "Reg. Art. 19(1)(g): in brackets; NZ group standard",
        )
        for case, rule, draft, found in [(eu, "EU-LIST-NANO", BE, "fail")]
        for nano, level in [("(nano)", ""), ("nano", "fail"), ("", "")]
    ),
    *(
        case(
            rule,
            draft.instead("ingredients", f"Sodium Olivate, Aqua{words}"),
            level,
            "Reg. Art. 19(1)(g), from memory",
        )
        for case, rule, draft in [
            (eu, "EU-LIST-MAY-CONTAIN", BE),
            (gb, "GB-LIST-MAY-CONTAIN", GB),
        ]
        for words, level in [(", CI 77491", ""), (", +/- CI 77491", "warn")]
    ),
    # Regulations (EU) 2017/1410 and 2021/1902, second-hand; Great Britain from memory: the first as
    # it was retained, and SI 2022/659.
    *(
        case(rule, draft, "", "Annex II")
        for case, rule, draft in [(eu, "EU-LIST-BANNED", BE), (gb, "GB-LIST-BANNED", GB)]
    ),
    *(
        case(rule, one(draft, name, name), level, "Annex II, second-hand", on)
        for case, rule, draft, lilial in [
            (eu, "EU-LIST-BANNED", BE, D(2022, 3, 1)),
            (gb, "GB-LIST-BANNED", GB, D(2022, 12, 15)),
        ]
        for name, since in [
            ("Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde", D(2021, 8, 23)),
            ("Atranol", D(2021, 8, 23)),
            ("Chloroatranol", D(2021, 8, 23)),
            ("Butylphenyl Methylpropional", lilial),
        ]
        for on, level in [(since - dt.timedelta(days=1), ""), (since, "warn")]
    ),
    *(
        case(
            rule,
            draft.know(rinse_off=rinse_off).allergen("Coumarin", percent),
            level.replace("fail", fails),
            "Reg. Annex III; Directive 2008/42/EC",
            says=f"{percent} %",
        )
        for case, rule, draft, fails in [
            (eu, "EU-ALLERGENS", BE, "fail"),
            (gb, "GB-ALLERGENS", GB, "warn"),
        ]
        for percent, rinse_off, level in [
            ("0.0100", True, ""),
            ("0.01001", True, "fail"),
            ("0.011", True, "fail"),  # 0.006 % from one oil and 0.005 % from another
            ("0.0095", True, ""),
            ("0.0010", False, ""),
            ("0.00101", False, "fail"),
        ]
    ),
    gb("GB-ALLERGENS", added(GB, None), "", "no GB instrument found that adds it"),
    # Regulation (EU) 2023/1545: placed on the market until 2026-07-31, which each piece is for
    # itself, however old the product (second-hand); names from memory.
    *(
        eu("EU-ALLERGENS-ADDED", added(BE, first), level, "2023/1545", on)
        for first in (None, D(2024, 5, 1))
        for on, level in [(LAST_OF_JULY, ""), (FIRST_OF_AUGUST, "warn")]
    ),
    *(
        eu(
            "EU-ALLERGENS-ADDED",
            BE.know(rinse_off=rinse_off).allergen("Vanillin", percent),
            level,
            "Reg. Annex III: strictly greater; names from memory",
            D(2028, 8, 1),
            f"{percent} %",
        )
        for percent, rinse_off, level in [
            ("0.0100", True, ""),
            ("0.01001", True, "warn"),
            ("0.0095", True, ""),
            ("0.0010", False, ""),
            ("0.00101", False, "warn"),
        ]
    ),
    *(
        Case(rule, claim(draft, text, language), level, "from memory", (region,))
        for rule, draft, region in [
            ("EU-CLAIM-DISEASE", BE, "BE"),
            ("GB-CLAIM-DISEASE", GB, "GB"),
            ("AU-CLAIM-THERAPEUTIC", AU, "AU"),
            ("NZ-CLAIM-THERAPEUTIC", AU, "NZ"),
        ]
        for text, language, level in [
            ("A gentle soap", "en", ""),
            ("Heals eczema", "en", "warn"),
            ("Heilt Ekzeme", "de", "warn"),
            ("Antibacteriële zeep", "nl", "warn"),
        ]
    ),
    eu("EU-DUTY-FILE", BE, "note", "Reg. Art. 10, 11, 13, from memory"),
    eu("EU-DUTY-PACKAGING", BE, "note", "national law, from memory"),
]

# Which languages pass alone or together, and which do not; read where no note says memory.
STATES: dict[str, tuple[str, list[tuple[str, ...]], list[tuple[str, ...]]]] = {
    "AT": ("memory", [("de",)], [("en",)]),
    "BE": ("FPS Economy: both in Brussels", [("nl", "fr"), ("nl", "fr", "de")], [("fr",), ("nl",)]),
    "BG": ("memory", [("bg",)], [("en",)]),
    "CY": ("memory", [("el",)], [("en",)]),
    "CZ": ("memory", [("cs",)], [("en",)]),
    "DE": ("KosmetikV s. 4", [("de",), ("de", "en")], [("en",)]),
    "DK": ("Danish EPA fact sheet", [("da",)], [("en",)]),
    "EE": ("memory", [("et",)], [("en",)]),
    "ES": ("memory", [("es",)], [("en",)]),
    "FI": ("Tukes", [("fi", "sv")], [("fi",), ("sv",), ("en",)]),
    "FR": ("memory", [("fr",)], [("en",)]),
    "GR": ("memory", [("el",)], [("en",)]),
    "HR": ("memory", [("hr",)], [("en",)]),
    "HU": ("memory", [("hu",)], [("en",)]),
    "IE": ("HPRA", [("en",), ("ga", "en")], [("ga",), ("fr",)]),
    "IT": ("memory", [("it",)], [("en",)]),
    "LT": ("memory", [("lt",)], [("en",)]),
    "LU": ("Luxembourg health portal", [("de",), ("fr",), ("lb",)], [("en",), ("nl",)]),
    "LV": ("memory", [("lv",)], [("en",)]),
    "MT": ("memory", [("mt",), ("en",)], [("fr",)]),
    "NL": ("memory", [("nl",)], [("en",)]),
    "PL": ("memory", [("pl",)], [("en",)]),
    "PT": ("memory", [("pt",)], [("en",)]),
    "RO": ("memory", [("ro",)], [("en",)]),
    "SE": ("Swedish Medical Products Agency", [("sv",)], [("en",)]),
    "SI": ("memory", [("sl",)], [("en",)]),
    "SK": ("memory", [("sk",)], [("en",)]),
    "GB-NIR": ("memory", [("en",)], [("fr",)]),
}


def spoken(languages: tuple[str, ...]) -> Draft:
    """Belgium's label with its identity and its durability words in other languages."""
    draft = BE.without("identity")
    for language in languages:
        draft = draft.put("front", "identity", "(soap)", language)
    return draft


STATE_CASES = [
    Case(
        f"{state}-LANGUAGES",
        spoken(languages),
        "" if good else "warn" if source == "memory" else "fail",
        f"Reg. Art. 19(5); {source}",
        (state,),
        says=f"{state} in {'+'.join(languages)}",
    )
    for state, (source, passing, failing) in STATES.items()
    for good, sets in [(True, passing), (False, failing)]
    for languages in sets
] + [
    Case("BE-GERMAN", BE, "note", "Reg. Art. 19(5), from memory", ("BE",)),
    Case("BE-GERMAN", spoken(("nl", "fr", "de")), "", "Reg. Art. 19(5), from memory", ("BE",)),
    Case(
        "GB-NIR-QUANTITY-FIGURE-HEIGHT",
        BE.set("net-quantity", figure=1.99),
        "warn",
        "SR (NI) 1999/84, values from memory",
        ("GB-NIR",),
    ),
    Case("GB-NIR-QUANTITY-FIGURE-HEIGHT", BE, "", "SR (NI) 1999/84", ("GB-NIR",)),
]

GB_CASES = [
    gb("GB-LANGUAGE", GB, "", "Reg. GB Art. 19(5), from memory"),
    gb("GB-LANGUAGE", GB.instead("identity", "Savon", "fr"), "warn", "from memory"),
    gb("GB-FUNCTION", GB, "", "Reg. GB Art. 19(1)(f)"),
    gb("GB-FUNCTION", GB.without("identity"), "fail", "Reg. GB Art. 19(1)(f)"),
    gb("GB-FUNCTION-SAID", GB, "", "Reg. GB Art. 19(1)(f)"),
    gb("GB-FUNCTION-SAID", GB.instead("identity", "Lavender"), "warn", "Reg. GB Art. 19(1)(f)"),
    gb("GB-RESPONSIBLE-PERSON", GB, "", "OPSS guidance of 2023-05-04"),
    gb("GB-RESPONSIBLE-PERSON", GB.without("dealer"), "fail", "OPSS guidance of 2023-05-04"),
    *(
        gb(
            rule,
            GB.instead("dealer", f"Fern Hollow Soaps, {place}"),
            level,
            "OPSS guidance: EU details alone until 2027-12-31",
            on,
            place,
        )
        for rule, place, on, level in [
            ("GB-RESPONSIBLE-PERSON-PLACE", "Elmvale, Devon, UK", D(2027, 12, 31), ""),
            ("GB-RESPONSIBLE-PERSON-PLACE", "Elmvale EX1 1AA", D(2027, 12, 31), ""),
            ("GB-RESPONSIBLE-PERSON-PLACE", "Namur, Belgium", D(2027, 12, 31), ""),
            ("GB-RESPONSIBLE-PERSON-PLACE", "Elmvale NB, Canada", D(2027, 12, 31), "fail"),
            ("GB-RESPONSIBLE-PERSON-PLACE", "Elmvale NB, Canada", D(2028, 1, 1), ""),
            ("GB-RESPONSIBLE-PERSON-PLACE-2028", "Namur, Belgium", D(2027, 12, 31), ""),
            ("GB-RESPONSIBLE-PERSON-PLACE-2028", "Namur, Belgium", D(2028, 1, 1), "fail"),
            ("GB-RESPONSIBLE-PERSON-PLACE-2028", "Elmvale, Devon, UK", D(2028, 1, 1), ""),
        ]
    ),
    gb("GB-ORIGIN", GB, "", "from memory"),
    gb("GB-ORIGIN", GB.know(imported=True), "warn", "from memory"),
    gb("GB-ORIGIN", GB.know(made_in="FR"), "warn", "from memory"),
    gb("GB-ORIGIN", GB.know(made_in="GB-NIR"), "", "from memory"),
    gb("GB-BATCH", GB, "", "OPSS guidance of 2023-05-04: the particulars of Art. 19(1)"),
    gb("GB-BATCH", GB.without("lot"), "fail", "OPSS guidance of 2023-05-04"),
    *(
        eu(
            "EU-RESPONSIBLE-PERSON-BOX",
            BE.instead("dealer", f"Atelier du Hêtre, {text}"),
            level,
            "Reg. Art. 19(1)(a): whether a box alone will do was not found; it only warns",
        )
        for text, level in [
            ("rue du Lac 3, 5000 Namur, Belgique", ""),
            ("boîte postale 12, 5000 Namur, Belgique", "warn"),
            ("Postfach 12, D-10115 Berlin", "warn"),
            ("Postbus 12, 1012 AB Amsterdam", "warn"),
            ("Apartado 12, 1000-001 Lisboa", "warn"),
            ("Box 12, 114 55 Stockholm", ""),  # the word alone is met in names too
            ("BP 12, rue du Lac 3, 5000 Namur", ""),
            ("5000 Namur, Belgique", ""),
        ]
    ),
    *(
        gb(
            "GB-RESPONSIBLE-PERSON-BOX",
            GB.instead("dealer", f"Fern Hollow Soaps, {text}"),
            level,
            "second-hand: no box, no forwarding",
            says=text,
        )
        for text, level in [
            ("8 Quay Lane, Elmvale EX1 1AA", ""),
            ("PO Box 12, Elmvale EX1 1AA", "warn"),
            ("PO Box 12, 8 Quay Lane, Elmvale EX1 1AA", ""),
        ]
    ),
    *(
        gb("GB-DURABILITY", GB.know(durability_months=months), level, "as Reg. Art. 19(1)(c)")
        for months, level in [(30, "fail"), (31, ""), (None, "")]
    ),
    *(
        gb(
            "GB-QUANTITY-PRESENT",
            GB.know(net_weight_g=Decimal(grams)).without("net-quantity"),
            level,
            "SI 2006/659 reg. 3: from 5 g",
        )
        for grams, level in [("4.9", ""), ("5", "fail"), ("4.1", "")]
    ),
    gb("GB-QUANTITY-UNIT", GB, "", "SI 2006/659 reg. 5"),
    gb("GB-QUANTITY-UNIT", heavy(GB, "1.4 oz"), "fail", "SI 2006/659 reg. 5"),
    gb("GB-QUANTITY-SYMBOL", GB, "", "Trading Standards, units of measurement"),
    gb("GB-QUANTITY-SYMBOL", heavy(GB, "40 gms"), "fail", "Trading Standards, units"),
    gb("GB-QUANTITY-FRACTION", heavy(GB, "0.5 kg"), "", "Trading Standards, units"),
    gb("GB-QUANTITY-FRACTION", heavy(GB, "1/2 kg"), "fail", "Trading Standards, units"),
    gb("GB-QUANTITY-NET", GB.instead("net-quantity", "NET 35 g"), "", "Trading Standards, units"),
    gb("GB-QUANTITY-NET", GB.instead("net-quantity", "NT 35 g"), "fail", "Trading Standards"),
    gb("GB-QUANTITY-TRUE", GB, "", "SI 2006/659 reg. 4"),
    gb("GB-QUANTITY-TRUE", GB.instead("net-quantity", "42 g"), "fail", "SI 2006/659 reg. 4"),
    gb("GB-QUANTITY-TOLERANCE", GB, "note", "SI 2006/659, from memory"),
    gb("GB-LIST-PLACE", GB, "", "Reg. GB Art. 19"),
    gb("GB-LIST-PLACE", moved(GB, "website"), "fail", "Reg. GB Art. 19(2)"),
    gb("GB-LIST-PLACE", moved(GB, "card"), "note", "Reg. GB Art. 19(2)"),
    gb("GB-LIST-REFERENCE", GB, "", "from memory"),
    gb("GB-LIST-REFERENCE", moved(GB, "card"), "warn", "from memory"),
    gb("GB-LIST-HEADING", GB, "", "from memory"),
    gb("GB-LIST-HEADING", GB.without("ingredients-heading"), "warn", "from memory"),
    gb("GB-DUTY-FILE", GB, "note", "from memory"),
]


def au(
    rule: str, draft: Draft, level: str, source: str, on: dt.date | None = None, says: str = ""
) -> Case:
    return Case(rule, draft, level, source, ("AU",), on, says=says)


def nz(
    rule: str, draft: Draft, level: str, source: str, on: dt.date | None = None, says: str = ""
) -> Case:
    return Case(rule, draft, level, source, ("NZ",), on, says=says)


FRENCH = AU.instead("identity", "Savon", "fr")
AU_NZ_CASES = [
    au("AU-LANGUAGE", AU, "", "CIS s. 7"),
    au("AU-LANGUAGE", FRENCH, "warn", "CIS s. 7"),
    au("AU-LANGUAGE", FRENCH, "warn", "CIS from 2020-11-25", D(2020, 11, 25)),
    au("AU-LANGUAGE", FRENCH, "", "CIS from 2020-11-25", D(2020, 11, 24)),
    *(
        case(rule, draft, level, source)
        for case, rule, source in [
            (au, "AU-IDENTITY-NAME", "advice, no law"),
            (nz, "NZ-IDENTITY-NAME", "TSNZ: close to the name or description of the goods"),
        ]
        for draft, level in [
            (AU, ""),
            (AU.instead("identity", "Hopi", "mi"), ""),
            (AU.instead("identity", "Lovely thing", "en"), "warn"),
        ]
    ),
    nz("NZ-LANGUAGE", AU, "", "from memory"),
    nz("NZ-LANGUAGE", FRENCH, "warn", "from memory"),
    *(
        case(rule, draft, level, source)
        for case, rule, source in [
            (au, "AU-QUANTITY-PRESENT", "NMI: main display part"),
            (nz, "NZ-QUANTITY-PRESENT", "TSNZ: prominent, close to the name"),
        ]
        for draft, level in [
            (AU, ""),
            (AU.without("net-quantity").put("back", "net-quantity", "40 g"), "fail"),
        ]
    ),
    au("AU-QUANTITY-UNIT", AU, "", "from memory"),
    au("AU-QUANTITY-UNIT", heavy(AU, "1.4 oz"), "warn", "from memory"),
    nz("NZ-QUANTITY-UNIT", heavy(AU, "NET 1.5 kg"), "", "TSNZ, printed example"),
    nz("NZ-QUANTITY-UNIT", heavy(AU, "1.4 oz"), "fail", "TSNZ: metric"),
    au("AU-QUANTITY-FIGURES", heavy(AU, "35.5 g"), "", "NMI"),
    au("AU-QUANTITY-FIGURES", heavy(AU, "35.55 g"), "fail", "NMI: at most three"),
    au("AU-QUANTITY-ZERO", heavy(AU, "0.5 kg"), "", "WA Regulations 2007 reg. 77"),
    au("AU-QUANTITY-ZERO", heavy(AU, ".5 kg"), "warn", "WA Regulations 2007 reg. 77"),
    *(
        au(
            rule,
            AU.face(longest, "40").set("net-quantity", figure=mm, o=mm),
            level if "FIGURE" in rule else level.replace("fail", "warn"),
            "NMI: by the longest dimension of the package",
            says=f"{longest} mm, {mm} mm",
        )
        for rule in ("AU-QUANTITY-FIGURE-HEIGHT", "AU-QUANTITY-LETTER-HEIGHT")
        for longest, mm, level in [
            ("60", 2.0, ""),
            ("60", 1.9, "fail"),
            ("120", 2.0, ""),
            ("120.5", 2.0, "fail"),
            ("121", 2.5, ""),
            ("121", 2.4, "fail"),
            ("230", 2.5, ""),
            ("230.5", 2.5, "fail"),
            ("231", 3.3, ""),
            ("231", 3.2, "fail"),
            ("360", 3.3, ""),
            ("360.5", 3.3, "fail"),
            ("361", 4.8, ""),
            ("361", 4.7, "fail"),
        ]
    ),
    *(
        au(
            "AU-QUANTITY-CLEAR",
            ink(ink(AU, "net-quantity", 4, low, 20, low + 3), "identity", *above),
            level,
            "WA Regulations 2007 reg. 77: 2 mm all round",
        )
        for low, above, level in [
            (2.0, (4, 7.0, 20, 9), ""),
            (2.0, (4, 6.9, 20, 9), "warn"),
            (2.0, (4, 7.9, 20, 9), ""),
            (1.9, (4, 7.0, 20, 9), "warn"),
            (2.9, (4, 8.0, 20, 9), ""),
            (2.0, (22.0, 2, 30, 4), ""),
            (2.0, (21.9, 2, 30, 4), "warn"),
        ]
    ),
    *(
        case(rule, draft, level, source)
        for case, rule, source in [
            (au, "AU-QUANTITY-TRUE", "NMI: average at least the mark"),
            (nz, "NZ-QUANTITY-TRUE", "WMR reg. 84B: average quantity"),
        ]
        for draft, level in [(AU, ""), (AU.instead("net-quantity", "42 g"), "fail")]
    ),
    *(
        nz(
            "NZ-QUANTITY-TRUE",
            AU.instead("net-quantity", "42 g"),
            level,
            "WMR Amendment 2001, from 2001-11-14",
            on,
        )
        for on, level in [(D(2001, 11, 13), ""), (D(2001, 11, 14), "fail")]
    ),
    au("AU-PACKER", AU, "", "from memory"),
    au("AU-PACKER", AU.without("dealer"), "warn", "from memory"),
    nz("NZ-PACKER", AU, "", "from memory"),
    nz("NZ-PACKER", AU.without("dealer"), "warn", "from memory"),
    au("AU-PACKER-STREET", AU, "", "from memory"),
    au(
        "AU-PACKER-STREET",
        AU.instead("dealer", "Fern Hollow Soaps, P.O. Box 12, Elmvale"),
        "warn",
        "from memory",
    ),
    au("AU-LIST-PLACE", AU, "", "CIS ss. 7, 8"),
    au("AU-LIST-PLACE", moved(AU, "notice"), "note", "CIS s. 7"),
    *(
        au("AU-LIST-ROOM", moved(AU, place).know(list_on_back_mm=height), level, "CIS s. 7", day)
        for place, height, level, day in [
            ("tag", Decimal("1.2"), "warn", D(2020, 11, 25)),
            ("tag", Decimal("1.2"), "", D(2020, 11, 24)),
            ("website", Decimal("1.2"), "warn", D(2027, 6, 19)),
            ("tag", None, "", D(2027, 6, 19)),
        ]
    ),
    au("AU-LIST-PLACE", AU.without("ingredients"), "fail", "CIS s. 7", D(2020, 11, 25)),
    au("AU-LIST-PLACE", AU.without("ingredients"), "", "CIS from 2020-11-25", D(2020, 11, 24)),
    nz("NZ-LIST-PLACE", AU, "", "from memory"),
    nz("NZ-LIST-PLACE", moved(AU, "website"), "warn", "from memory"),
    *(
        case(rule, order(AU, *shares), level.replace("fail", fails), source, says=str(shares))
        for case, rule, fails, source in [
            (au, "AU-LIST-ORDER", "warn", "CIS s. 7, second-hand"),
            # The group standard is for what is hazardous, or has a hazardous component.
            (nz, "NZ-LIST-ORDER", "warn", "New Zealand Gazette 2008, clause 2A"),
        ]
        for shares, level in [
            (("40", "30", "0.4", "0.7"), ""),
            (("40", "0.9", "1.0"), "fail"),
            (("40", "0.9", "0.99"), ""),
            (("40", "1.5", "1.9"), "fail"),
        ]
    ),
    *(
        case("AU-LIST-ORDER", order(AU, "30", "40"), level, "CIS from 2020-11-25", on)
        for case in [au]
        for on, level in [(D(2020, 11, 24), ""), (D(2020, 11, 25), "warn")]
    ),
    *(
        case(rule, perfumed(AU, printed), level and found, source)
        for case, rule, found, source in [
            (au, "AU-LIST-FRAGRANCE", "warn", "CIS s. 7, second-hand"),
            (nz, "NZ-LIST-FRAGRANCE", "warn", "New Zealand Gazette 2008, clause 2A"),
        ]
        for printed, level in [("Parfum", ""), ("Fragrance", ""), ("Perfume", "fail")]
    ),
    *(
        au("AU-LIST-FRAGRANCE", perfumed(AU, "Perfume"), level, "CIS from 2020-11-25", on)
        for on, level in [(D(2020, 11, 24), ""), (D(2020, 11, 25), "warn")]
    ),
    au("AU-ORIGIN", AU, "", "from memory"),
    *(
        au("AU-ORIGIN", AU.know(imported=True), level, "in force from 2017-04-01", on)
        for on, level in [(D(2017, 3, 31), ""), (D(2017, 4, 1), "warn")]
    ),
    au("AU-DUTY-CHEMICALS", AU, "note", "from memory"),
    nz("NZ-QUANTITY-FRACTION", heavy(AU, "0.5 kg"), "", "TSNZ"),
    nz("NZ-QUANTITY-FRACTION", heavy(AU, "1/2 kg"), "fail", "TSNZ: decimals, not fractions"),
    *(
        nz(rule, AU.set("net-quantity", figure=mm, o=mm), level, "TSNZ: 2 mm")
        for rule, fails in [
            ("NZ-QUANTITY-FIGURE-HEIGHT", "fail"),
            ("NZ-QUANTITY-LETTER-HEIGHT", "warn"),
        ]
        for mm, level in [(2.0, ""), (1.99, fails), (1.9, fails), (2.9, "")]
    ),
    *(
        nz("NZ-QUANTITY-IMPERIAL", draft, level, "TSNZ: not more prominent")
        for draft, level in [
            (AU.put("front", "net-quantity", " (1.41 oz)", figure=3.6), ""),
            (AU.put("front", "net-quantity", " (1.41 oz)", figure=3.7), "fail"),
        ]
    ),
    # Trans-Tasman mutual recognition, from memory: what may be sold in one may be in the other.
    *(
        case(rule, heavy(AU, "1.4 oz").know(made_in=made_in), level, "TTMRA s. 10, from memory")
        for case, rule, made_in, level in [
            (nz, "NZ-QUANTITY-UNIT", "", "fail"),
            (nz, "NZ-QUANTITY-UNIT", "AU", "warn"),
            (nz, "NZ-QUANTITY-UNIT", "CA", "fail"),
            (au, "AU-QUANTITY-UNIT", "NZ", "warn"),
        ]
    ),
    *(
        au("AU-QUANTITY-FIGURES", heavy(AU, "35.55 g").know(made_in=made_in), level, "TTMRA s. 10")
        for made_in, level in [("AU", "fail"), ("NZ", "warn")]
    ),
    nz("NZ-DUTY-AUSTRALIA", AU.know(made_in="AU"), "note", "TTMRA s. 10, from memory"),
    nz("NZ-DUTY-AUSTRALIA", AU.know(made_in="CA"), "", "TTMRA s. 10, from memory"),
    au("AU-DUTY-NEW-ZEALAND", AU.know(made_in="NZ"), "note", "TTMRA s. 10, from memory"),
    au("AU-DUTY-NEW-ZEALAND", AU, "", "TTMRA s. 10, from memory"),
    nz("NZ-BATCH", AU, "", "second-hand"),
    nz("NZ-BATCH", AU.without("lot"), "warn", "second-hand"),
    *(
        nz(
            "NZ-LIST-NANO",
            one(AU, "Titanium Dioxide", f"Titanium Dioxide {nano}"),
            level,
            "2015",
            on,
        )
        for nano, level, on in [
            ("(nano)", "", None),
            ("nano", "warn", None),
            ("nano", "warn", D(2015, 7, 1)),
            ("nano", "", D(2015, 6, 30)),
        ]
    ),
    *(
        nz(
            "NZ-ALLERGENS",
            AU.know(rinse_off=rinse_off).allergen("Coumarin", percent),
            level,
            "mirrors Reg. Annex III, from memory",
        )
        for percent, rinse_off, level in [
            ("0.0100", True, ""),
            ("0.0101", True, "warn"),
            ("0.0095", True, ""),
            ("0.0010", False, ""),
            ("0.0011", False, "warn"),
        ]
    ),
    *(
        nz("NZ-DUTY-TRANSITION", AU, level, "amendment of 2024, second-hand", on)
        for on, level in [(D(2026, 12, 31), "note"), (D(2027, 1, 1), "")]
    ),
]


def qc(rule: str, draft: Draft, level: str, source: str, on: dt.date | None = None) -> Case:
    return Case(rule, draft, level, source, ("CA-QC",), on)


THANKS = QC.put("front", "thanks", "Thank you for being here", "en")
QC_CASES = [
    qc("CA-QC-FRENCH", QC, "", "Charter s. 51"),
    qc("CA-QC-FRENCH", THANKS, "fail", "Charter s. 51: every inscription"),
    qc("CA-QC-FRENCH", THANKS.put("front", "thanks", "Merci d’être là", "fr"), "", "Charter s. 51"),
    qc("CA-QC-FRENCH-FRONT", QC, "", "Charter s. 51, a reading"),
    qc(
        "CA-QC-FRENCH-FRONT",
        THANKS.put("back", "thanks", "Merci d’être là", "fr"),
        "warn",
        "Charter s. 51, a reading",
    ),
    qc("CA-QC-PROMINENCE", QC, "", "Charter s. 51: equal is fine"),
    *(
        qc(
            "CA-QC-PROMINENCE",
            QC.without("identity", "en").put("front", "identity", "Soap", "en", **how),
            level,
            "Charter s. 51: none more prominent than French",
        )
        for how, level in [({"capital": 3.7}, "fail"), ({"weight": 900}, "fail"), ({}, "")]
    ),
    *(
        qc("CA-QC-DUTY-MARKS", QC, level, "in force from 2025-06-01", on)
        for on, level in [(D(2025, 5, 31), ""), (D(2025, 6, 1), "note")]
    ),
    qc("CA-QC-DUTY-STAMP", QC, "note", "R9 s. 3(6)"),
    qc("CA-QC-DUTY-WEB", QC, "note", "Charter s. 51, second-hand"),
]

PR = (
    US.without("identity")
    .put("front", "identity", "Jabón de avena", "es")
    .instead("net-quantity", "Peso neto 1.41 oz (40 g)", "es")
)
PR_CASES = [
    Case(rule, draft, level, source, (region,), says=region)
    for region, rule, draft, level, source in [
        ("US-PR", "US-PR-LANGUAGE", PR, "", "21 CFR 701.2(b)(1): Spanish may be substituted"),
        ("US-PR", "US-PR-LANGUAGE", US, "", "21 CFR 701.2(b)(1): may, not must"),
        ("US", "US-ENGLISH", PR, "fail", "21 CFR 701.2(b)(1): sold solely in Puerto Rico"),
        ("US-PR", "US-PR-LANGUAGE", US.instead("identity", "Savon", "fr"), "fail", "701.2(b)(1)"),
        ("US-PR", "US-PR-IDENTITY-PRESENT", PR, "", "21 CFR 701.2(b)(1), 701.11(a)"),
        ("US-PR", "US-PR-IDENTITY-PRESENT", PR.without("identity"), "fail", "21 CFR 701.11(a)"),
        ("US-PR", "US-PR-QUANTITY-PRESENT", PR, "", "21 CFR 701.2(b)(1), 701.13(a)"),
        ("US-PR", "US-PR-QUANTITY-PRESENT", PR.without("net-quantity"), "fail", "701.13(a)"),
        ("US-PR", "US-PR-QUANTITY-TERM", PR, "", "21 CFR 701.2(b)(1), 701.13(j)(2)"),
        (
            "US-PR", "US-PR-QUANTITY-TERM", PR.instead("net-quantity", "1.41 oz (40 g)"), "fail",
            "21 CFR 701.13(j)(2)",
        ),
    ]
]  # fmt: skip

CASES = [*PR_CASES, *US_CASES, *EU_CASES, *STATE_CASES, *GB_CASES, *AU_NZ_CASES, *QC_CASES]
