"""Both sides of the rows on claims. Phrases by the hundred are in claim_phrases.toml."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from rule_labels import Case, Draft, american, antipodean, british, canadian, declared, european

from labelkit.formula.declaration import AllergenShare
from labelkit.order.evidence import Evidence

D = dt.date
CA, US, BE, GB, AU = canadian(), american(), european(), british(), antipodean()
PLAIN = (("Sodium Olivate", "70"), ("Aqua", "21"), ("Glycerin", "9"))


def says(draft: Draft, text: str, element: str = "claim", language: str = "en") -> Draft:
    return draft.put("back", element, text, language)


def of(draft: Draft, text: str, *lines: tuple[str, str]) -> Draft:
    """A phrase on a label whose piece is of these lines."""
    return says(draft.know(declaration=declared(lines)), text)


def proven(draft: Draft, text: str, claim: str) -> Draft:
    """A phrase with what the maker keeps to prove a claim."""
    kept = Evidence(claim, "letters of four suppliers", D(2026, 3, 2), "proof/letters.pdf")
    return says(draft.know(evidence=(kept,)), text)


def fats(olive: str) -> Draft:
    """80 % olive oil, said of a piece with so much of it among its fats."""
    rest = str(100 - Decimal(olive))
    return of(CA, "80 % olive oil", ("Sodium Olivate", olive), ("Sodium Cocoate", rest))


def both(
    rule: str, draft: Draft, fine: str, wrong: str, level: str, source: str, region: str
) -> list[Case]:
    return [
        Case(rule, says(draft, text), found, source, (region,), says=text)
        for text, found in ((fine, ""), (wrong, level))
    ]


def since(rule: str, text: str, day: D, level: str, source: str) -> list[Case]:
    """A row's first day, and the one before."""
    return [
        Case(rule, says(CA, text), found, source, on=on)
        for on, found in ((day, level), (day - dt.timedelta(days=1), ""))
    ]


CASES = [
    # -- Canada ------------------------------------------------------------------------------------
    *both(
        "CA-CLAIM-FREE", CA, "Palm oil free", "Fragrance free", "fail", "CPLA s. 7(2)(b)", "CA"
    ),
    Case("CA-CLAIM-FREE", of(CA, "Unscented", *PLAIN), "", "CPLA s. 7(2)(b): it is"),
    Case("CA-CLAIM-FREE", says(CA, "100 % olive oil"), "fail", "CPLA s. 7(2)(b): three fats"),
    Case("CA-CLAIM-FREE", of(CA, "100 % olive oil", *PLAIN), "", "CPLA s. 7(2)(b): one fat"),
    Case("CA-CLAIM-FREE", fats("75"), "", "labelkit's own tolerance: 1 point and 5 %"),
    Case("CA-CLAIM-FREE", fats("74.9"), "fail", "labelkit's own tolerance: 1 point and 5 %"),
    Case("CA-CLAIM-FREE", fats("85"), "", "labelkit's own tolerance: 1 point and 5 %"),
    Case("CA-CLAIM-FREE", fats("85.1"), "fail", "labelkit's own tolerance: 1 point and 5 %"),
    Case(
        "CA-CLAIM-FREE",
        says(
            CA.know(
                declaration=declared(
                    PLAIN, allergens=(AllergenShare("Linalool", Decimal("0.001")),)
                )
            ),
            "Allergen-free",
        ),
        "fail",
        "CPLA s. 7(2)(b): under the threshold of naming it is there all the same",
    ),
    Case(
        "CA-CLAIM-FREE",
        says(CA, "Sans parfum", "names", "fr"),
        "fail",
        "CPLA s. 7(2)(b): wherever it stands",
    ),
    Case(
        "CA-CLAIM-FREE",
        says(CA, "Ohne Parfum", language="de"),
        "warn",
        "CPLA s. 7(2)(b), in words known from memory",
    ),
    *since("CA-CLAIM-FREE", "Fragrance free", D(2015, 2, 26), "fail", "CPLA s. 7: 2015-02-26"),
    *both(
        "CA-CLAIM-UNPROVEN", CA, "With oats", "Organic oats", "warn", "CPLA s. 7(2)(c)", "CA"
    ),
    *since("CA-CLAIM-UNPROVEN", "Organic", D(2015, 2, 26), "warn", "CPLA s. 7: 2015-02-26"),
    *both(
        "CA-CLAIM-PERFORMANCE", CA, "Hay and honey", "Clinically proven", "warn",
        "Competition Act s. 74.01(1)(b)", "CA",
    ),
    *both(
        "CA-CLAIM-ENVIRONMENT", CA, "Wrapped in paper", "Eco-friendly", "warn",
        "Competition Act s. 74.01(1)(b.1)", "CA",
    ),
    *since(
        "CA-CLAIM-ENVIRONMENT", "Eco-friendly", D(2024, 6, 20), "warn",
        "Competition Act s. 74.01(1)(b.1): 2024-06-20",
    ),
    *both(
        "CA-CLAIM-ANIMALS", CA, "Animals welcome", "Not tested on animals", "warn",
        "FDA s. 16.3", "CA",
    ),
    *since(
        "CA-CLAIM-ANIMALS", "Cruelty-free", D(2023, 12, 22), "warn", "FDA s. 16.3: 2023-12-22"
    ),
    *(
        Case("CA-CLAIM-ANIMALS", proven(CA, text, claim), level, "FDA s. 16.3: with evidence")
        for text, claim, level in [
            ("Not tested on animals", "not tested on animals", "note"),
            ("Non testé sur les animaux", "Not tested on animals", "note"),
            ("Not tested on animals", "hypoallergenic", "warn"),
        ]
    ),
    Case("CA-CLAIM-UNPROVEN", proven(CA, "Gluten-free", "Sans gluten"), "note", "CPLA s. 7(2)(c)"),
    Case("CA-CLAIM-UNPROVEN", proven(CA, "Nut-free", "Sans gluten"), "warn", "CPLA s. 7(2)(c)"),
    Case(
        "CA-CLAIM-FREE",
        proven(CA, "Fragrance free", "Fragrance free"),
        "fail",
        "CPLA s. 7(2)(b): no evidence makes it true",
    ),
    *both(
        "CA-CLAIM-PEST", CA, "With cedar", "Insect repellent", "warn",
        "Pest Control Products Act s. 2, from memory", "CA",
    ),
    Case(
        "CA-CLAIM-DISEASE", says(CA, "Soothes itchy skin"), "fail",
        "FDA s. 2 drug: an abnormal physical state and its symptoms",
    ),
    Case(
        "CA-CLAIM-DISEASE", says(CA, "Psoriasis Society", "names"), "",
        "common practice, no source: the name of a society is no claim",
    ),
    Case("CA-CLAIM-DRUGLIKE", says(CA, "SPF 15"), "warn", "FDA s. 2 drug, from memory"),
    Case("CA-CLAIM-CONTAINS", says(CA, "Goat milk soap", "brand"), "warn", "CPLA s. 7(2)(b)"),
    Case(
        "CA-CLAIM-CONTAINS", says(CA, "With love from Ada & Olive"), "",
        "common practice, no source: a name",
    ),
    # -- the United States -------------------------------------------------------------------------
    *both("US-CLAIM-FREE", US, "Palm oil free", "Fragrance free", "fail", "21 USC 362(a)", "US"),
    *both("US-CLAIM-CONTAINS", US, "With honey", "Goat milk soap", "warn", "21 CFR 701.1", "US"),
    *both("US-CLAIM-SUN", US, "A gentle soap", "SPF 15", "warn", "21 CFR 700.35, memory", "US"),
    *both("US-CLAIM-PEST", US, "A gentle soap", "Bug repellent", "warn", "7 USC 136(u)", "US"),
    *both("US-CLAIM-EVIDENCE", US, "With oats", "Cruelty-free", "warn", "15 USC 45(a)", "US"),
    *both(
        "US-CLAIM-ENVIRONMENT", US, "Wrapped in paper", "Eco-friendly", "warn", "16 CFR 260.4", "US"
    ),
    *both("US-CLAIM-ORGANIC", US, "With oats", "Organic", "warn", "7 CFR 205, memory", "US"),
    # -- Europe, Great Britain, Australia, New Zealand ---------------------------------------------
    *both("EU-CLAIM-FALSE", BE, "Au miel", "Sans parfum", "warn", "(EU) No 655/2013", "BE"),
    *both("EU-CLAIM-EVIDENCE", BE, "Au miel", "Bio", "warn", "(EU) No 655/2013", "BE"),
    *both(
        "EU-CLAIM-ANIMALS", BE, "Au miel", "Ohne Tierversuche", "warn",
        "(EC) No 1223/2009 Art. 20(3), memory", "BE",
    ),
    *both("EU-CLAIM-ENVIRONMENT", BE, "Au miel", "Biodégradable", "warn", "(EU) 2024/825", "BE"),
    *(
        case
        for draft, region in ((GB, "GB"), (AU, "AU"), (AU, "NZ"))
        for row, wrong in (("FALSE", "Fragrance free"), ("EVIDENCE", "Hypoallergenic"))
        for case in both(
            f"{region}-CLAIM-{row}", draft, "With honey", wrong, "warn", "from memory", region
        )
    ),
]  # fmt: skip
