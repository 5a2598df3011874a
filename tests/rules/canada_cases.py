"""A label on either side of every Canadian rule.

CR: Cosmetic Regulations, C.R.C., c. 869. CPLA: Consumer Packaging and Labelling Act, R.S.C. 1985,
c. C-38. CPLR: Consumer Packaging and Labelling Regulations, C.R.C., c. 417. FDA: Food and Drugs
Act, R.S.C. 1985, c. F-27. GUIDE: Competition Bureau, Guide to the CPLA and CPLR (1999), seen in
copies only.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from rule_labels import OAT_LIST, Case, Draft, canadian

from labelkit.formula.declaration import Basis, Role, Style
from labelkit.rules.facts import PackageFace

D = dt.date
GOOD = canadian()
GUIDE = "Competition Bureau, Guide to the CPLA and CPLR (1999), 2.2.6"


def quantity(text: str) -> Draft:
    """The weight said otherwise on a piece heavy enough for any of these."""
    return GOOD.know(net_weight_g=5000).instead("net-quantity", text)


def figures(height_mm: float, width: str, height: str) -> Draft:
    return GOOD.set("net-quantity", figure=height_mm).face(width, height)


def forms(inci: str, printed: str) -> Draft:
    """A list with one name in it that is printed in some form."""
    return GOOD.declare(("Sodium Olivate", 80), (inci, 20), printed=f"Sodium Olivate, {printed}")


def order(*percents: str) -> Draft:
    """A list of ingredients with these shares, printed in this order."""
    return GOOD.declare(*((f"Ingredient {i}", p) for i, p in enumerate(percents)))


def colours(*lines: tuple[str, str]) -> Draft:
    return GOOD.declare(
        *((n, p, Role.COLOUR if n.startswith("CI") else Role.INGREDIENT) for n, p in lines)
    )


def website(text: str, *languages: str) -> Draft:
    moved = GOOD.without("ingredients").know(
        ingredients_on="website", ingredients_url="https://fernhollow.example/oat"
    )
    for language in languages:
        moved = moved.put("back", "list-elsewhere", text, language)
    return moved


def moved(place: str) -> Draft:
    text = ", ".join(GOOD.facts.declaration.names)
    return GOOD.without("ingredients").know(ingredients_on=place).put(place, "ingredients", text)


WEBSITE = "Ingredients / Ingrédients : fernhollow.example/oat"
SMALL = GOOD.face("40", "25").without("dealer").put("front", "dealer", "Fern Hollow Soaps, Elm NB")
VANILLIN = GOOD.allergen("Vanillin", "0.05")
COUMARIN_ADDED = "second-hand reports of Health Canada's dates; not in the regulation"

CASES = [
    # CPLA s. 10(b)(ii), CPLR s. 6(2): identity in English and in French on the PDP.
    Case("CA-IDENTITY-PRESENT", GOOD, "", "CPLA s. 10(b)(ii); CPLR s. 6(2)"),
    Case("CA-IDENTITY-PRESENT", GOOD.without("identity", "fr"), "fail", "CPLR s. 6(2)"),
    Case("CA-IDENTITY-PRESENT", GOOD.without("identity", "en"), "fail", "CPLR s. 6(2)"),
    Case("CA-IDENTITY-PRESENT", GOOD.without("identity"), "fail", "CPLA s. 10(b)(ii)"),
    Case(
        "CA-IDENTITY-PRESENT",
        GOOD.without("identity").put("back", "identity", "Soap / Savon"),
        "fail",
        "CPLR s. 12(b): on the principal display panel",
    ),
    Case(
        "CA-IDENTITY-PRESENT",
        GOOD.without("identity", "fr").put("front", "identity", "Oat and honey soap", "fr"),
        "fail",
        "CPLR s. 6(2): in both official languages, not the one twice",
    ),
    Case("CA-IDENTITY-NAME", GOOD, "", "CPLR s. 12(b): common or generic name, or function"),
    Case(
        "CA-IDENTITY-NAME",
        GOOD.without("identity").put("front", "identity", "Lavender Dream", "en"),
        "warn",
        "CPLR s. 12(b): a scent is neither name nor function",
    ),
    Case(
        "CA-IDENTITY-NAME",
        GOOD.without("identity", "fr").put("front", "identity", "Rêve de lavande", "fr"),
        "warn",
        "CPLR ss. 12(b), 6(2): the common or generic name, in both languages",
    ),
    Case(
        "CA-IDENTITY-NAME",
        GOOD.without("identity", "fr").put("front", "identity", "Pain nettoyant", "fr"),
        "",
        "CPLR s. 12(b): or the function",
    ),
    # CPLR ss. 15, 14(1): 1.6 mm; capital when all capitals, otherwise the small o.
    Case("CA-IDENTITY-HEIGHT", GOOD.set("identity", o=1.6), "", "CPLR s. 15"),
    Case("CA-IDENTITY-HEIGHT", GOOD.set("identity", o=1.59), "fail", "CPLR s. 15"),
    Case(
        "CA-IDENTITY-HEIGHT",
        GOOD.instead("identity", "SOAP / SAVON", capital=1.6, o=1.1),
        "",
        "CPLR s. 14(1): the capital where all words are capitals",
    ),
    Case(
        "CA-IDENTITY-HEIGHT",
        GOOD.instead("identity", "SOAP / SAVON", capital=1.59, o=1.6),
        "fail",
        "CPLR s. 14(1): the capital where all words are capitals",
    ),
    Case(
        "CA-IDENTITY-HEIGHT",
        GOOD.instead("identity", "Soap / SAVON", capital=2.2, o=1.59),
        "fail",
        "CPLR s. 14(1): the small o in mixed words",
    ),
    # CPLR s. 16: 0.8 mm on at most 10 cm2 with everything on the panel.
    Case("CA-IDENTITY-HEIGHT", SMALL.set("identity", o=0.8), "", "CPLR s. 16"),
    Case("CA-IDENTITY-HEIGHT", SMALL.set("identity", o=0.79), "fail", "CPLR s. 16"),
    Case(
        "CA-IDENTITY-HEIGHT",
        SMALL.face("40", "25.025").set("identity", o=0.8),
        "fail",
        "CPLR s. 16: 10.01 cm2 is over 10",
    ),
    Case(
        "CA-IDENTITY-HEIGHT",
        SMALL.face("40", "22.51").set("identity", o=0.8),
        "",
        "CPLR s. 16: 9.004 cm2 is under 10",
    ),
    Case(
        "CA-IDENTITY-HEIGHT",
        GOOD.face("40", "25").set("identity", o=0.8),
        "fail",
        "CPLR s. 16: not all information on the panel",
    ),
    # CPLA s. 4, CPLR s. 12(a).
    Case("CA-QUANTITY-PRESENT", GOOD, "", "CPLA s. 4; CPLR s. 12(a)"),
    Case("CA-QUANTITY-PRESENT", GOOD.without("net-quantity"), "fail", "CPLA s. 4"),
    Case(
        "CA-QUANTITY-PRESENT",
        GOOD.without("net-quantity").put("back", "net-quantity", "40 g"),
        "fail",
        "CPLR s. 12(a): on the principal display panel",
    ),
    # CPLR ss. 21, 27.
    *(
        Case("CA-QUANTITY-UNIT", quantity(text), level, "CPLR ss. 21, 27(c), (d)", says=text)
        for text, level in [
            ("40\u00a0g", ""),
            ("999 g", ""),
            ("500 g", ""),
            ("0.5 kg", ""),
            ("1 kg", ""),
            ("40 g (1.41 oz)", ""),
            ("1.41 oz", "fail"),
            ("0.03 kg", "fail"),
            ("0.499 kg", "fail"),
            ("0.501 kg", "fail"),
            ("1000 g", "fail"),
            ("0.999 kg", "fail"),
        ]
    ),
    # CPLR s. 25: three figures.
    *(
        Case("CA-QUANTITY-FIGURES", quantity(text), level, "CPLR s. 25", says=text)
        for text, level in [
            ("30 g", ""),
            ("28.5 g", ""),
            ("28,5 g", ""),
            ("30.0 g", ""),
            ("123 g", ""),
            ("85.2 g", ""),
            ("28.35 g", "fail"),
            ("123.4 g", "fail"),
            ("85.15 g", "fail"),
        ]
    ),
    # CPLR s. 26: a zero before the decimal point.
    Case("CA-QUANTITY-ZERO", quantity("0.45 g"), "", "CPLR s. 26"),
    Case("CA-QUANTITY-ZERO", quantity(".45 g"), "fail", "CPLR s. 26"),
    *(
        Case("CA-QUANTITY-SYMBOL", quantity(text), level, GUIDE, says=text)
        for text, level in [
            ("30 g", ""),
            ("1 kg", ""),
            ("30 grams / grammes", ""),
            ("30 g.", "warn"),
            ("30 gms", "warn"),
            ("30 gm", "warn"),
            ("30 G", "warn"),
            ("1 Kg", "warn"),
        ]
    ),
    Case("CA-QUANTITY-SPACE", quantity("30\u202fg"), "", GUIDE),
    Case("CA-QUANTITY-SPACE", quantity("30g"), "warn", GUIDE),
    Case("CA-QUANTITY-WORDS", quantity("40 g"), "", GUIDE),
    Case("CA-QUANTITY-WORDS", quantity("Net weight / Poids net 40 g"), "", GUIDE),
    Case("CA-QUANTITY-WORDS", quantity("Net weight 40 g"), "warn", GUIDE),
    Case("CA-QUANTITY-WORDS", quantity("Poids net 40 g"), "warn", GUIDE),
    Case("CA-QUANTITY-UNIT-WORDS", quantity("40 grams / grammes"), "", "CPLR s. 6(2)"),
    Case("CA-QUANTITY-UNIT-WORDS", quantity("40 grams"), "fail", "CPLR s. 6(2)"),
    Case("CA-QUANTITY-UNIT-WORDS", quantity("40 grammes"), "fail", "CPLR s. 6(2)"),
    # CPLA s. 7(2)(a): the words are drafting from that text.
    *(
        Case("CA-QUANTITY-QUALIFIED", quantity(text), level, "CPLA s. 7(2)(a)", says=text)
        for text, level in [
            ("40 g", ""),
            ("approx. 40 g", "fail"),
            ("about 40 g", "fail"),
            ("environ 40 g", "fail"),
            ("~40 g", "fail"),
            ("± 40 g", "fail"),
            ("40 g min.", "fail"),
            ("40 g en moyenne", "fail"),
        ]
    ),
    Case(
        "CA-QUANTITY-QUALIFIED",
        GOOD.put("back", "claim", "each about 40 g", "en"),
        "fail",
        "CPLA s. 7(2)(a)",
    ),
    Case(
        "CA-QUANTITY-QUALIFIED",
        GOOD.put("back", "claim", "all about honey", "en"),
        "",
        "CPLA s. 7(2)(a): no quantity there",
    ),
    Case(
        "CA-QUANTITY-QUALIFIED",
        quantity("approx. 40 g"),
        "fail",
        "CPLA s. 7: present wording from 2015-02-26",
        on=D(2015, 2, 26),
    ),
    Case(
        "CA-QUANTITY-QUALIFIED",
        quantity("approx. 40 g"),
        "",
        "CPLA s. 7: present wording from 2015-02-26",
        on=D(2015, 2, 25),
    ),
    Case("CA-QUANTITY-TRUE", GOOD, "", "CPLA s. 7(1), (3)"),
    Case("CA-QUANTITY-TRUE", GOOD.instead("net-quantity", "40.1 g"), "fail", "CPLA s. 7(1)"),
    Case("CA-QUANTITY-TRUE", GOOD.instead("net-quantity", "1.5 oz"), "fail", "CPLA s. 7(1)"),
    # Five per cent is labelkit's own limit: 42 g against 40 g is 5 %, 43 g is 7.5 %.
    # 1 oz = 28.349523125 g (international avoirdupois ounce).
    Case("CA-QUANTITY-OUNCES", quantity("40 g (1.41 oz)"), "", "CPLR ss. 2, 17"),
    Case("CA-QUANTITY-OUNCES", quantity("40 g (2 oz)"), "warn", "CPLA s. 7"),
    Case("CA-QUANTITY-OUNCES", quantity("27 g (1 oz)"), "", "labelkit's 5 %: 4.9998 %"),
    Case("CA-QUANTITY-OUNCES", quantity("26.9 g (1 oz)"), "warn", "labelkit's 5 %: 5.4 %"),
    Case("CA-QUANTITY-OUNCES", quantity("27.2 g (1 oz)"), "", "labelkit's 5 %: 4.2 %"),
    Case(
        "CA-QUANTITY-OUNCES",
        GOOD.put("back", "claim", "1.41 oz", "en"),
        "warn",
        "CPLR s. 17: grouped together",
    ),
    # CPLR s. 14(2): figures by the area of the principal display surface.
    *(
        Case(
            "CA-QUANTITY-FIGURE-HEIGHT",
            figures(mm, *face),
            level,
            "CPLR s. 14(2)",
            says=f"{face[0]} x {face[1]} mm, {mm} mm",
        )
        for mm, face, level in [
            (1.6, ("38", "25"), ""),  # 9.5 cm2
            (1.59, ("38", "25"), "fail"),
            (1.6, ("80", "40"), ""),  # 32 cm2: not more than 32
            (1.59, ("80", "40"), "fail"),
            (1.6, ("80", "40.0125"), "fail"),  # 32.01 cm2
            (1.6, ("80", "40.125"), "fail"),  # 32.1 cm2
            (1.6, ("80", "41"), "fail"),  # 32.8 cm2
            (3.2, ("80", "40.0125"), ""),
            (3.19, ("80", "40.0125"), "fail"),
            (3.2, ("200", "129"), ""),  # 258 cm2
            (3.2, ("200", "129.005"), "fail"),  # 258.01 cm2
            (6.4, ("200", "129.005"), ""),
            (6.39, ("200", "129.005"), "fail"),
            (6.4, ("300", "215"), ""),  # 645 cm2
            (6.4, ("100", "645.01"), "fail"),
            (9.5, ("100", "645.01"), ""),
            (9.49, ("100", "645.01"), "fail"),
            (9.5, ("600", "430"), ""),  # 2 580 cm2
            (9.5, ("100", "2580.01"), "fail"),
            (12.7, ("100", "2580.01"), ""),
            (12.69, ("100", "2580.01"), "fail"),
        ]
    ),
    Case(
        "CA-QUANTITY-FIGURE-HEIGHT",
        GOOD.set("net-quantity", figure=1.6).know(face=PackageFace(60, 60, "round")),  # type: ignore[arg-type]
        "",
        "CPLR ss. 2(1), 14(2): the lid of a tin 60 mm across is 28.27 cm2",
    ),
    Case(
        "CA-QUANTITY-FIGURE-HEIGHT",
        GOOD.set("net-quantity", figure=1.6).know(face=PackageFace(64, 64, "round")),  # type: ignore[arg-type]
        "fail",
        "CPLR ss. 2(1), 14(2): a lid 64 mm across is 32.17 cm2",
    ),
    # 600 is demi-bold in the OpenType specification, OS/2 usWeightClass (from memory).
    Case("CA-QUANTITY-FIGURE-BOLD", GOOD.set("net-quantity", weight=600), "", "CPLR s. 14(2)"),
    Case("CA-QUANTITY-FIGURE-BOLD", GOOD.set("net-quantity", weight=599), "fail", "CPLR s. 14(2)"),
    Case(
        "CA-QUANTITY-FIGURE-BOLD",
        GOOD.put("front", "net-quantity", " net", "en", weight=400),
        "",
        "CPLR s. 14(2): only the numerals",
    ),
    Case("CA-QUANTITY-TEXT-HEIGHT", GOOD.set("net-quantity", o=1.6), "", "CPLR s. 14(4)"),
    Case("CA-QUANTITY-TEXT-HEIGHT", GOOD.set("net-quantity", o=1.59), "fail", "CPLR s. 14(4)"),
    *(
        Case(
            rule,
            GOOD.set("net-quantity", **how),
            level,
            "CPLR s. 14(2), (4), in force 2014-01-29",
            on=on,
        )
        for rule, how in [
            ("CA-QUANTITY-FIGURE-HEIGHT", {"figure": 1.0}),
            ("CA-QUANTITY-FIGURE-BOLD", {"weight": 400}),
            ("CA-QUANTITY-TEXT-HEIGHT", {"o": 1.0}),
        ]
        for on, level in [(D(2014, 1, 28), ""), (D(2014, 1, 29), "fail")]
    ),
    # WCAG 2.2, 1.4.3, ratio 4.5: #767676 on white is 4.54, #777777 is 4.48 (from memory).
    Case("CA-QUANTITY-CONTRAST", GOOD.set("net-quantity", colour="#767676"), "", "WCAG 2.2, 1.4.3"),
    Case(
        "CA-QUANTITY-CONTRAST",
        GOOD.set("net-quantity", colour="#777777"),
        "warn",
        "WCAG 2.2, 1.4.3; CPLA s. 4(2): distinct contrast",
    ),
    Case(
        "CA-QUANTITY-CONTRAST",
        GOOD.know(clear_stock=True, soap_colour="#3a2f25"),
        "warn",
        "CPLA s. 4(2): black on brown soap through clear stock",
    ),
    # CPLA s. 10(b)(i), CPLR s. 13.
    Case("CA-DEALER-PRESENT", GOOD, "", "CPLA s. 10(b)(i)"),
    Case("CA-DEALER-PRESENT", GOOD.without("dealer"), "fail", "CPLA s. 10(b)(i)"),
    Case(
        "CA-DEALER-PRESENT",
        GOOD.instead("dealer", "Somebody Else, Elmvale NB"),
        "fail",
        "CPLA s. 10(b)(i): by or for whom it was made",
    ),
    Case(
        "CA-DEALER-PRESENT",
        GOOD.without("dealer").put("front", "dealer", "FERN HOLLOW SOAPS, Elmvale NB"),
        "",
        "CPLR s. 13: any part but the bottom",
    ),
    *(
        Case("CA-DEALER-ADDRESS", GOOD.instead("dealer", text), level, "guidance, from memory")
        for text, level in [
            ("Fern Hollow Soaps, Elmvale NB", ""),
            ("Fern Hollow Soaps, Elmvale (Nouveau-Brunswick)", ""),
            ("Fern Hollow Soaps, on the quay, Elmvale", "warn"),
            ("Fern Hollow Soaps, fernhollow.example", "warn"),
        ]
    ),
    Case("CA-DEALER-HEIGHT", GOOD.set("dealer", o=1.6), "", "CPLR s. 15"),
    Case("CA-DEALER-HEIGHT", GOOD.set("dealer", o=1.59), "fail", "CPLR s. 15"),
    Case("CA-DEALER-HEIGHT", SMALL.set("dealer", o=0.8), "", "CPLR s. 16"),
    Case("CA-DEALER-HEIGHT", SMALL.set("dealer", o=0.79), "fail", "CPLR s. 16"),
    Case(
        "CA-DEALER-HEIGHT",
        SMALL.face("40", "25.025").set("dealer", o=0.8),
        "fail",
        "CPLR s. 16: 10.01 cm2 is over 10",
    ),
    Case(
        "CA-DEALER-HEIGHT",
        SMALL.face("40", "22.51").set("dealer", o=0.8),
        "",
        "CPLR s. 16: 9.004 cm2 is under 10",
    ),
    # CPLA s. 10(b)(i), CPLR s. 13: a principal place of business; that a box alone is none is a
    # reading of the words.
    *(
        Case(
            "CA-DEALER-BOX",
            GOOD.instead("dealer", f"Fern Hollow Soaps, {text}"),
            level,
            "CPLR s. 13",
            says=text,
        )
        for text, level in [
            ("8 Quay Lane, Elmvale NB", ""),
            ("Elmvale NB E4P 1A1", ""),
            ("PO Box 12, Elmvale NB E4P 1A1", "warn"),
            ("C.P. 12, Elmvale QC", "warn"),
            ("case postale 12, Elmvale QC", "warn"),
            ("PO Box 12, 8 Quay Lane, Elmvale NB", ""),
        ]
    ),
    # CPLR s. 13: on any part of the label except that on the bottom of a container.
    *(
        Case("CA-DEALER-BOTTOM", draft.know(back_is_bottom=bottom), level, "CPLR s. 13", on=on)
        for draft, bottom, level, on in [
            (GOOD, True, "fail", None),
            (GOOD, None, "note", None),
            (GOOD, False, "", None),
            (GOOD.put("front", "dealer", "Fern Hollow Soaps, Elmvale NB"), True, "", None),
            (GOOD.know(label_is_tag=True), True, "", None),
            (GOOD, True, "fail", D(2006, 3, 22)),
            (GOOD, True, "", D(2006, 3, 21)),
        ]
    ),
    # CPLR s. 31(2).
    Case("CA-IMPORTED", GOOD, "", "CPLR s. 31: not for goods made here"),
    Case("CA-IMPORTED", GOOD.know(imported=True), "fail", "CPLR s. 31(2)"),
    Case(
        "CA-IMPORTED",
        GOOD.know(imported=True).put("back", "origin", "Imported by / Importé par"),
        "",
        "CPLR s. 31(2)",
    ),
    Case(
        "CA-IMPORTED",
        GOOD.know(imported=True).put("back", "origin", "Imported by"),
        "fail",
        "CPLR s. 31(2): in both languages",
    ),
    # CR s. 20(a), since 2024-10-09.
    *(
        Case("CA-CONTACT-PRESENT", GOOD.instead("contact", text), level, "CR s. 20(a)", says=text)
        for text, level in [
            ("hello@fernhollow.example", ""),
            ("fernhollow.example", ""),
            ("+1 506 555 0134", ""),
            ("506-555-0134", ""),
            ("write to us", "fail"),
            # CR s. 20(a): or any other information that enables communication.
            ("@fernhollowsoaps", "warn"),
            ("@fernhollowsoaps or hello@fernhollow.example", ""),
        ]
    ),
    Case("CA-CONTACT-PRESENT", GOOD.without("contact"), "fail", "CR s. 20(a)"),
    Case(
        "CA-CONTACT-PRESENT",
        GOOD.without("contact").instead("dealer", "Fern Hollow Soaps, 8 Quay Lane, Elm NB E4P 1A1"),
        "",
        "CR s. 20(a): a postal address",
    ),
    Case(
        "CA-CONTACT-PRESENT",
        GOOD.instead("contact", "Write to hello@fernhollow.example", "en"),
        "fail",
        "CR s. 18(a): both languages",
    ),
    Case("CA-CONTACT-PRESENT", GOOD.without("contact"), "fail", "SOR/2024-63", on=D(2024, 10, 9)),
    Case("CA-CONTACT-PRESENT", GOOD.without("contact"), "", "SOR/2024-63", on=D(2024, 10, 8)),
    # CR ss. 21.2, 21.5.
    Case("CA-LIST-PLACE", GOOD, "", "CR s. 21.2(1)"),
    Case("CA-LIST-PLACE", moved("front"), "", "CR s. 21.2(1): any panel"),
    Case("CA-LIST-PLACE", moved("tag"), "note", "CR s. 21.5(1)(a)"),
    Case("CA-LIST-PLACE", moved("card"), "note", "CR s. 21.5(1)(a)"),
    Case("CA-LIST-PLACE", moved("leaflet"), "note", "CR s. 21.5(3)"),
    Case("CA-LIST-PLACE", website(WEBSITE, "zxx"), "note", "CR s. 21.5(1)(b)"),
    Case("CA-LIST-PLACE", moved("notice"), "fail", "CR s. 21.5: no notice is provided for"),
    Case("CA-LIST-PLACE", GOOD.without("ingredients"), "fail", "CR s. 21.2(1)"),
    # CR s. 21.5(1): only where the package is too small; (3) is about a tag that is impractical.
    *(
        Case("CA-LIST-ROOM", draft.know(list_on_back_mm=height), level, "CR s. 21.5(1)", on=day)
        for draft, height, level, day in [
            (moved("tag"), None, "", None),
            (moved("tag"), Decimal("1.2"), "warn", None),
            (moved("card"), Decimal("1.2"), "warn", None),
            (website(WEBSITE, "zxx"), Decimal("1.2"), "warn", None),
            (moved("leaflet"), Decimal("1.2"), "", None),
            (GOOD, Decimal("1.2"), "", None),
            (moved("tag"), Decimal("1.2"), "warn", D(2024, 10, 9)),
            (moved("tag"), Decimal("1.2"), "", D(2024, 10, 8)),
        ]
    ),
    Case("CA-LIST-PLACE", moved("tag").without("ingredients"), "fail", "CR s. 21.5(1)(a)"),
    Case(
        "CA-LIST-PLACE",
        GOOD.without("ingredients"),
        "fail",
        "CR s. 21.5 as worded from 2024-10-09",
        on=D(2024, 10, 9),
    ),
    Case(
        "CA-LIST-PLACE",
        GOOD.without("ingredients"),
        "",
        "CR s. 21.5 as worded from 2024-10-09",
        on=D(2024, 10, 8),
    ),
    Case("CA-LIST-WEBSITE", website(WEBSITE, "zxx"), "", "CR s. 21.5(1)(b)"),
    Case("CA-LIST-WEBSITE", website(WEBSITE, "en", "fr"), "", "CR ss. 21.5(1)(b), 18(a)"),
    Case("CA-LIST-WEBSITE", website(WEBSITE, "en"), "fail", "CR s. 18(a)"),
    Case("CA-LIST-WEBSITE", website(WEBSITE), "fail", "CR s. 21.5(1)(b)"),
    Case(
        "CA-LIST-WEBSITE",
        website("Ingredients / Ingrédients : scan", "zxx"),
        "fail",
        "CR s. 21.5(1)(b): including its location",
    ),
    Case("CA-LIST-WEBSITE", website(WEBSITE), "fail", "SOR/2024-63", on=D(2024, 10, 9)),
    Case("CA-LIST-WEBSITE", website(WEBSITE), "", "SOR/2024-63", on=D(2024, 10, 8)),
    Case("CA-LIST-HEADING", GOOD, "", "CR s. 18(a)"),
    Case("CA-LIST-HEADING", GOOD.without("ingredients-heading"), "", "none is prescribed"),
    Case("CA-LIST-HEADING", GOOD.without("ingredients-heading", "fr"), "warn", "CR s. 18(a)"),
    # CR s. 21.4(1), (2).
    *(
        Case("CA-LIST-ORDER", order(*shares), level, "CR s. 21.4(1), (2)", says=" ".join(shares))
        for shares, level in [
            (("40", "30", "1.01"), ""),
            (("30", "40"), "fail"),
            (("40", "0.2", "1.0"), ""),  # exactly 1 % is in the free group
            (("40", "1.0", "0.2", "0.9"), ""),
            (("40", "0.9", "1.01"), "fail"),
            (("40", "1.0", "1.01"), "fail"),
            (("40", "1.01", "1.0"), ""),
            (("40", "0.5", "1.5"), "fail"),
            (("40", "1.5", "1.9"), "fail"),
            (("30", "30", "20"), ""),
        ]
    ),
    *(
        Case("CA-LIST-ORDER", colours(*lines), level, "CR s. 21.4(2): colouring agents")
        for lines, level in [
            ((("A", "60"), ("B", "38.5"), ("CI 77491", "1.5")), ""),
            ((("A", "60"), ("B", "37"), ("C", "0.5"), ("CI 77491", "1.5")), ""),
            ((("A", "60"), ("CI 77491", "1.5"), ("B", "38.5")), "fail"),
            ((("A", "60"), ("CI 77491", "20"), ("B", "10")), ""),  # where its weight puts it
            ((("A", "60"), ("B", "39"), ("CI 77491", "0.5"), ("C", "0.5")), ""),
        ]
    ),
    Case(
        "CA-LIST-ORDER",
        GOOD.declare(("A", 90), ("B", "0.5"), ("Parfum", 3, Role.PARFUM)),
        "",
        "CR s. 21.4(3): parfum at the end whatever its share",
    ),
    Case("CA-LIST-PARFUM-LAST", GOOD, "", "CR s. 21.4(3)"),
    Case(
        "CA-LIST-PARFUM-LAST",
        GOOD.declare(("A", 90), ("Parfum", 3, Role.PARFUM), ("B", 2)),
        "fail",
        "CR s. 21.4(3): at the end of the list",
    ),
    Case("CA-LIST-PARFUM-NAME", GOOD, "", "CR s. 21.4(3)"),
    Case(
        "CA-LIST-PARFUM-NAME",
        GOOD.declare(("A", 90), ("Parfum", 3, Role.PARFUM), printed="A, PARFUM"),
        "",
        "CR s. 21.4(3)",
    ),
    Case(
        "CA-LIST-PARFUM-NAME",
        GOOD.declare(("A", 90), ("Parfum", 3, Role.PARFUM), printed="A, Fragrance"),
        "fail",
        "CR s. 21.4(3): the word is parfum",
    ),
    Case(
        "CA-LIST-PARFUM-NAME",
        GOOD.declare(("A", 90), ("Parfum", 3, Role.PARFUM), printed="A, Fragrance (Parfum)"),
        "note",
        "common practice, no source",
    ),
    Case(
        "CA-LIST-AROMA-NAME",
        GOOD.declare(("A", 90), ("Aroma", 3, Role.AROMA)),
        "",
        "CR s. 21.4(3)",
    ),
    Case(
        "CA-LIST-AROMA-NAME",
        GOOD.declare(("A", 90), ("Aroma", 3, Role.AROMA), printed="A, Flavour"),
        "fail",
        "CR s. 21.4(3): the word is aroma",
    ),
    # CR s. 21.2(4) and schedule, items 4, 11, 27.
    *(
        Case("CA-LIST-SCHEDULE", forms(inci, printed), level, f"CR schedule, item {item}")
        for inci, printed, level, item in [
            ("Aqua", "AQUA", "", 4),
            ("Aqua", "WATER/EAU", "", 4),
            ("Aqua", "Aqua/Water/Eau", "", 4),
            ("Aqua", "WATER", "fail", 4),
            ("Aqua", "EAU", "fail", 4),
            ("Aqua", "AQUA (WATER)", "fail", 4),
            ("Mel", "MEL", "", 27),
            ("Mel", "HONEY/MIEL", "", 27),
            ("Mel", "Honey", "fail", 27),
            ("Caprae Lac", "GOAT MILK/LAIT DE CHÈVRE", "", 11),
            ("Caprae Lac", "Goat Milk", "fail", 11),
            ("Olea Europaea Fruit Oil", "Olea Europaea Fruit Oil", "", "none"),
        ]
    ),
    Case(
        "CA-LIST-SCHEDULE", forms("Aqua", "WATER"), "fail", "SOR/2024-63 s. 11", on=D(2024, 10, 9)
    ),
    Case("CA-LIST-SCHEDULE", forms("Aqua", "WATER"), "", "SOR/2024-63 s. 11", on=D(2024, 10, 8)),
    # CR s. 21.2(3): genus and species.
    Case("CA-LIST-BOTANICAL", GOOD, "", "CR s. 21.2(3)"),
    Case(
        "CA-LIST-BOTANICAL",
        GOOD.declare(("Sodium Olivate", 90), ("Oat", 3, Role.BOTANICAL)),
        "fail",
        "CR s. 21.2(3)",
    ),
    # CR s. 21.2(2).
    *(
        Case(
            "CA-LIST-MAY-CONTAIN",
            GOOD.instead("ingredients", f"Sodium Olivate, Aqua{words}"),
            level,
            "CR s. 21.2(2)",
        )
        for words, level in [
            (", CI 77491", ""),
            (", +/- CI 77491", "fail"),
            (", ± CI 77491", "fail"),
            (" (may contain/peut contenir CI 77491)", "fail"),
        ]
    ),
    # CR s. 2(1) "ingredient": not what is gone from the finished product.
    Case("CA-LIST-LYE", GOOD, "", "CR s. 2(1) ingredient"),
    Case(
        "CA-LIST-LYE",
        GOOD.declare(("Olea Europaea Fruit Oil", 70), ("Aqua", 20), ("Sodium Hydroxide", 10)),
        "warn",
        "CR s. 2(1) ingredient",
    ),
    Case("CA-LIST-AS-FORMED", GOOD, "", "CR s. 2(1) ingredient"),
    Case(
        "CA-LIST-AS-FORMED",
        GOOD.declare(*OAT_LIST, style=Style.ADDED),
        "warn",
        "CR s. 2(1) ingredient",
    ),
    Case(
        "CA-LIST-AS-FORMED",
        GOOD.declare(*OAT_LIST, basis=Basis.POURED),
        "warn",
        "CR s. 21.4(1): weight in the product",
    ),
    # CR s. 21.4(4): greater than 0.01 % rinse-off, 0.001 % leave-on; s. 21.4(5): dates.
    *(
        Case(
            "CA-ALLERGENS",
            GOOD.know(rinse_off=rinse_off).allergen("Coumarin", percent),
            level,
            "CR s. 21.4(4)",
            says=f"{percent} %",
        )
        for percent, rinse_off, level in [
            ("0.0100", True, ""),
            ("0.0101", True, "fail"),
            ("0.01000000000000000001", True, "fail"),
            ("0.0095", True, ""),
            ("0.0010", False, ""),
            ("0.0011", False, "fail"),
        ]
    ),
    Case(
        "CA-ALLERGENS",
        GOOD.allergen("Linalool", "0.24"),
        "",
        "CR s. 21.4(4): it is in the list",
    ),
    Case(
        "CA-ALLERGENS",
        GOOD.allergen("Coumarin", "0.05"),
        "",
        "SOR/2024-63: s. 21.4(4) in force on 2026-04-12",
        on=D(2026, 4, 11),
    ),
    Case(
        "CA-ALLERGENS",
        GOOD.allergen("Coumarin", "0.05"),
        "fail",
        "SOR/2024-63: s. 21.4(4) in force on 2026-04-12",
        on=D(2026, 4, 12),
    ),
    Case("CA-ALLERGENS", VANILLIN, "", "Regulation (EU) 2023/1545 added it: another rule"),
    *(
        Case(
            "CA-ALLERGENS-ADDED",
            VANILLIN.know(first_sold_on=first),
            level,
            COUMARIN_ADDED,
            on=on,
            strict=strict,
        )
        for first, on, strict, level in [
            (None, D(2026, 7, 31), False, ""),
            (None, D(2026, 8, 1), False, "warn"),
            (None, D(2026, 8, 1), True, "fail"),
            (D(2026, 8, 1), D(2026, 7, 31), False, ""),
            (D(2026, 7, 31), D(2026, 11, 25), False, ""),
            (D(2026, 8, 1), D(2026, 11, 25), False, "warn"),
        ]
    ),
    *(
        Case(
            "CA-ALLERGENS-ADDED",
            VANILLIN.know(first_sold_on=first),
            level,
            COUMARIN_ADDED,
            on=on,
        )
        for first, on, level in [
            (D(2026, 7, 31), D(2028, 7, 31), ""),
            (D(2026, 7, 31), D(2028, 8, 1), "warn"),
            (D(2026, 8, 1), D(2028, 8, 1), "warn"),
        ]
    ),
    *(
        Case(
            rule,
            GOOD.know(rinse_off=rinse_off, first_sold_on=first).allergen("Vanillin", percent),
            level,
            "CR s. 21.4(4), (5)",
            on=D(2028, 8, 1),
        )
        for rule, first in [
            ("CA-ALLERGENS-ADDED", D(2027, 1, 1)),
            ("CA-ALLERGENS-ADDED", D(2026, 1, 1)),
        ]
        for percent, rinse_off, level in [
            ("0.0100", True, ""),
            ("0.0101", True, "warn"),
            ("0.0095", True, ""),
            ("0.0010", False, ""),
            ("0.0011", False, "warn"),
        ]
    ),
    # CR ss. 24, 18(a).
    Case("CA-DIRECTIONS-LANGUAGES", GOOD, "", "CR s. 24"),
    *(
        Case(
            "CA-DIRECTIONS-LANGUAGES",
            GOOD.put("back", "directions", "Avoid contact with eyes", "en"),
            level,
            "CR ss. 24, 18(a); present wording from 2007-06-14",
            on=on,
        )
        for on, level in [
            (D(2026, 11, 25), "fail"),
            (D(2007, 6, 14), "fail"),
            (D(2007, 6, 13), ""),
        ]
    ),
    Case(
        "CA-DIRECTIONS-LANGUAGES",
        GOOD.put("back", "directions", "Avoid contact with eyes", "en").put(
            "back", "directions", "Éviter le contact avec les yeux", "fr"
        ),
        "",
        "CR s. 18(a)",
    ),
    *(
        Case(rule, GOOD.put("back", "claim", text), level, source, says=text)
        for rule, text, level, source in [
            ("CA-CLAIM-LAW", "Made by hand in Elmvale", "", "CR s. 17"),
            ("CA-CLAIM-LAW", "Complies with the Cosmetic Regulations", "fail", "CR s. 17"),
            ("CA-CLAIM-LAW", "Approuvé par Santé Canada", "fail", "CR s. 17"),
            ("CA-CLAIM-PRESCRIPTION", "Small batch", "", "CR s. 12"),
            ("CA-CLAIM-PRESCRIPTION", "℞ for dry hands", "fail", "CR s. 12"),
            ("CA-CLAIM-DISEASE", "A gentle soap", "", "FDA s. 2 drug"),
            ("CA-CLAIM-DISEASE", "Soothes eczema", "fail", "FDA s. 2 drug"),
            ("CA-CLAIM-DISEASE", "For the Cancer Society", "", "common practice, no source"),
            ("CA-CLAIM-DRUGLIKE", "Six weeks of cure; travail soigné", "", "common practice"),
            ("CA-CLAIM-DISEASE", "Soulage l’eczéma", "fail", "FDA s. 2 drug"),
            ("CA-CLAIM-DRUGLIKE", "A treat for the hands", "", "from memory"),
            ("CA-CLAIM-DRUGLIKE", "Antibacterial soap", "warn", "from memory"),
            ("CA-CLAIM-DRUGLIKE", "Savon antibactérien", "warn", "from memory"),
            ("CA-CLAIM-DRUGLIKE", "Antibakterielle Seife", "warn", "from memory"),
            ("CA-CLAIM-HARMLESS", "A gentle soap", "", "CR s. 21(1)"),
            ("CA-CLAIM-HARMLESS", "Hypoallergénique", "warn", "CR s. 21(1)"),
            ("CA-CLAIM-CONTAINS", "With honey", "", "CPLA s. 7(2)(b): Mel is in the list"),
            ("CA-CLAIM-CONTAINS", "With goat’s milk", "warn", "CPLA s. 7(2)(b)"),
            ("CA-CLAIM-CONTAINS", "Au lait de chèvre", "warn", "CPLA s. 7(2)(b)"),
            ("CA-CLAIM-ORIGIN", "Handmade in Elmvale", "", "guidelines of 2009, from memory"),
            ("CA-CLAIM-ORIGIN", "Made in Canada", "warn", "guidelines of 2009, from memory"),
        ]
    ),
    Case(
        "CA-CLAIM-DISEASE",
        GOOD.put("front", "guest", "Ms Acne"),
        "",
        "common practice, no source: a guest's name is no claim",
    ),
    *(
        Case(
            "CA-CLAIM-CONTAINS",
            GOOD.put("back", "claim", "With goat’s milk"),
            level,
            "CPLA s. 7: present wording from 2015-02-26",
            on=on,
        )
        for on, level in [(D(2015, 2, 25), ""), (D(2015, 2, 26), "warn")]
    ),
    Case("CA-LOT", GOOD, "", "advice; CR and CPLR ask for no lot code"),
    Case("CA-LOT", GOOD.without("lot"), "note", "advice; CR and CPLR ask for no lot code"),
    # What is to be done beside the label is always noted once it is in force.
    *(
        Case(rule, GOOD, level, source, on=on)
        for rule, since, source in [
            ("CA-DUTY-NOTIFY", D(2007, 6, 14), "CR s. 30(1), from 2007-06-14"),
            ("CA-DUTY-AMEND", D(2024, 10, 9), "CR s. 31, SOR/2024-63"),
            ("CA-DUTY-SAFETY", D(2024, 10, 9), "CR s. 29, SOR/2024-63"),
            ("CA-DUTY-MICROBEADS", D(2018, 7, 1), "SOR/2017-111 s. 3: sale, from 2018-07-01"),
        ]
        for on, level in [(since, "note"), (since - dt.timedelta(days=1), "")]
    ),
    Case("CA-DUTY-HOTLIST", GOOD, "note", "Cosmetic Ingredient Hotlist"),
    Case("CA-QUANTITY-TOLERANCE", GOOD, "note", "CPLR s. 38, Schedule I Part III"),
    # Rows that go with every region: labelkit's own advice.
    *(
        Case(rule, draft.set(element, o=mm), level, "labelkit's advice, no law", says=f"{mm} mm")
        for element, draft in [
            ("ingredients", GOOD),
            ("contact", GOOD),
            ("directions", GOOD.put("back", "directions", "Rinse well / Bien rincer")),
            ("list-elsewhere", website(WEBSITE, "zxx")),
        ]
        for rule, mm, level in {
            "ingredients": [
                ("ALL-LEGIBLE-LIST", 1.2, ""),
                ("ALL-LEGIBLE-LIST", 1.19, "note"),
                ("ALL-LEGIBLE-LIST-LEAST", 0.8, ""),
                ("ALL-LEGIBLE-LIST-LEAST", 0.79, "warn"),
            ],
            "contact": [
                ("ALL-LEGIBLE-CONTACT", 1.2, ""),
                ("ALL-LEGIBLE-CONTACT", 1.19, "note"),
                ("ALL-LEGIBLE-CONTACT-LEAST", 0.8, ""),
                ("ALL-LEGIBLE-CONTACT-LEAST", 0.79, "warn"),
            ],
            "directions": [
                ("ALL-LEGIBLE-DIRECTIONS", 1.2, ""),
                ("ALL-LEGIBLE-DIRECTIONS", 1.19, "warn"),
            ],
            "list-elsewhere": [
                ("ALL-LEGIBLE-ELSEWHERE", 1.2, ""),
                ("ALL-LEGIBLE-ELSEWHERE", 1.19, "warn"),
            ],
        }[element]
    ),
    # The stated measuring tolerance of 0.005 mm.
    Case("ALL-LEGIBLE-LIST", GOOD.set("ingredients", o=1.1951), "", "labelkit's tolerance"),
    Case("ALL-LEGIBLE-LIST", GOOD.set("ingredients", o=1.1949), "note", "labelkit's tolerance"),
    Case("ALL-MADE-WHERE", GOOD, "note", "labelkit's own advice"),
    Case("ALL-MADE-WHERE", GOOD.know(made_in="CA"), "", "labelkit's own advice"),
    Case("ALL-MADE-WHERE", GOOD.know(imported=True), "", "labelkit's own advice"),
    Case("CA-IMPORTED", GOOD.know(made_in="NZ"), "", "CPLR s. 31(2): not a Canadian dealer's"),
    Case("ALL-LIST-AGREES", GOOD, "", "every region's ingredient rule"),
    Case(
        "ALL-LIST-AGREES",
        GOOD.declare(("A", 90), ("B", 10), printed="A"),
        "fail",
        "every region's ingredient rule: a name is missing",
    ),
    Case(
        "ALL-LIST-AGREES",
        GOOD.declare(("A", 90), ("B", 10), printed="A, B, C"),
        "fail",
        "every region's ingredient rule: a name too many",
    ),
    *(
        Case(
            "ALL-DURABILITY-OVER",
            GOOD.know(sold_on=D(2027, 6, 19)).put("back", "durability", text),
            level,
            "labelkit's own check: the date until which it keeps",
        )
        for text, level in [
            ("05/2027", "fail"),
            ("18/06/2027", "fail"),
            ("19/06/2027", ""),
            ("06/2027", ""),
        ]
    ),
    *(
        Case(
            "ALL-DURABILITY-KEPT",
            GOOD.know(kept_from=D(2026, 10, 15), durability_months=24).put(
                "back", "durability", text
            ),
            level,
            "Reg. 1182/71 Art. 3(2)(c), from memory: 24 months end on 15 October 2028",
        )
        for text, level in [
            ("11/2028", "fail"),
            ("16/10/2028", "fail"),
            ("10/2028", "warn"),
            ("15/10/2028", ""),
            ("09/2028", ""),
        ]
    ),
    Case("ALL-FACE-HOLDS-LABEL", GOOD, "", "common practice, no source"),
    Case("ALL-FACE-HOLDS-LABEL", GOOD.face("40", "60"), "", "common practice: turned by 90°"),
    Case("ALL-FACE-HOLDS-LABEL", GOOD.face("59", "40"), "warn", "common practice, no source"),
]
