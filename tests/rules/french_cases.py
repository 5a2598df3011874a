"""Both sides of Québec's rows on French: whose words they are, which come first, and marks."""

from __future__ import annotations

import datetime as dt

from rule_labels import Case, Draft, canadian

D = dt.date
QC = canadian()
MARK = "Fern Hollow Handmade Oat Soap"
WITH_MARK = QC.put("front", "brand", MARK)
FRENCH = "Savon à l’avoine, fait à la main"


def qc(rule: str, draft: Draft, level: str, source: str, on: dt.date | None = None) -> Case:
    return Case(rule, draft, level, source, ("CA-QC",), on)


def alike(element: str, text: str, language: str = "zxx") -> Draft:
    return QC.put("front", element, text, language)


CASES = [
    *(
        qc("CA-QC-FRENCH", alike(element, text, language), level, source)
        for element, text, language, level, source in [
            ("claim", "Made with love", "zxx", "fail", "Charter s. 51: given once, and English"),
            ("thanks", "Thank you", "fr", "fail", "Charter s. 51: given as French, and English"),
            ("scent", "Lavender", "zxx", "fail", "Charter s. 51: a scent is an inscription"),
            ("scent", "Savon handmade", "fr", "fail", "Charter s. 51: every word of it"),
            ("scent", "Patchouli", "zxx", "", "both languages have the word"),
            ("thanks", "Merci / Thank you", "zxx", "", "Charter s. 51: both are there"),
            ("names", "The Lighthouse Supper", "zxx", "warn", "Charter s. 51: a title in English"),
            ("names", "Lavender & Honey", "zxx", "", "common practice: it may be two people"),
            ("names", "Le Souper du phare", "fr", "", "Charter s. 51"),
            ("place", "Saltmarsh Bay", "zxx", "", "a place keeps its name"),
        ]
    ),
    qc(
        "CA-QC-FRENCH",
        alike("thanks", "Thank you", "en").put("front", "thanks", "Merci", "fr"),
        "",
        "Charter s. 51: other languages may be added",
    ),
    *(
        qc(
            "CA-QC-PROMINENCE",
            QC.without("identity").put("front", "identity", english, "en")
            .put("front", "identity", french, "fr"),
            level,
            "Charter s. 51: capitals beside small letters stand out",
        )
        for english, french, level in [
            ("SOAP", "Savon", "fail"), ("SOAP", "SAVON", ""), ("Soap", "SAVON", ""),
        ]
    ),
    *(
        qc(
            "CA-QC-PLACE",
            QC.without("identity")
            .put("front", "identity", first, one)
            .put("front", "identity", second, other),
            level,
            "common practice, no source: the first place is the better one",
        )
        for first, one, second, other, level in [
            ("Soap", "en", "Savon", "fr", "note"), ("Savon", "zxx", "Soap", "en", ""),
        ]
    ),
    qc("CA-QC-MARKS", QC, "", "Charter s. 51.1"),
    qc("CA-QC-MARKS", QC.put("front", "brand", "Fern Hollow"), "", "Charter s. 51.1"),
    qc("CA-QC-MARKS", WITH_MARK, "warn", "Charter s. 51.1, second-hand: no French for “Handmade”"),
    qc(
        "CA-QC-MARKS",
        WITH_MARK.put("front", "claim", FRENCH, "fr"),
        "",
        "Charter s. 51.1: on the product in French",
    ),
    *(
        qc(
            "CA-QC-MARKS",
            QC.put("front", "brand", MARK, capital=capital, weight=weight).put(
                "front", "claim", FRENCH, "fr"
            ),
            "warn",
            "R9 as amended: the English of a mark may not prevail",
        )
        for capital, weight in [(9.0, 400), (3.6, 900)]
    ),
    qc(
        "CA-QC-MARKS",
        QC.know(dealer_name=MARK).put("front", "brand", MARK),
        "",
        "R9 as amended: the name of the firm is left out of it",
    ),
    *(
        qc("CA-QC-MARKS", WITH_MARK, level, "in force from 2025-06-01", on)
        for on, level in [(D(2025, 5, 31), ""), (D(2025, 6, 1), "warn")]
    ),
    *(
        qc("CA-QC-MARKS", WITH_MARK.know(kept_from=made), level, "R9 as amended, transition", on)
        for made, on, level in [
            (D(2025, 5, 31), D(2027, 5, 31), "note"),
            (D(2025, 5, 31), D(2027, 6, 1), "warn"),
            (D(2025, 6, 1), D(2027, 5, 31), "warn"),
        ]
    ),
]  # fmt: skip
