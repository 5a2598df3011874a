"""The proof a customer signs: every panel at actual size and enlarged, with what was measured."""

from __future__ import annotations

import io
from dataclasses import dataclass, replace
from pathlib import Path

from labelkit.job import Job, preflight
from labelkit.proof_sheet import ProofSheet
from labelkit.report.captions import LANGUAGES, Captions
from labelkit.report.findings import wording
from labelkit.report.phrasebook import LanguageError, locale_for
from labelkit.report.reader import Reader, partly_english
from labelkit.rules.findings import Report

PNG_DPI = 600


@dataclass(frozen=True, slots=True)
class Proof:
    """A finished proof as PDF bytes, and the preflight it shows."""

    data: bytes
    report: Report
    fallbacks: tuple[str, ...]
    """Lines that tell where it is not in the language it was to be in."""
    notes: tuple[str, ...] = ()
    """What there is to know of the guests' names before they are signed for."""


def make_proof(job: Job, language: str | None = None) -> Proof:
    """Draws the proof of a job in one of its languages; FitError if the label cannot be set."""
    report = preflight(job)
    stream = io.BytesIO()
    captions = captions_for(job, language)
    findings = wording(job.regions, captions.language)
    ProofSheet(stream, job, report, captions, findings).draw()
    said = ((finding.region, finding.message) for finding in report.findings)
    told = (
        *_reader(job, language).stand_in("captions", LANGUAGES),
        *partly_english(findings.speech, said),
    )
    notes = (findings.message(f) for f in report.findings if f.element == "guest")
    return Proof(stream.getvalue(), report, told, tuple(notes))


def png_pages(data: bytes, folder: Path, stem: str = "proof") -> dict[Path, bytes]:
    """The pages of a PDF as PNG files at PNG_DPI, by the path each would have in ``folder``."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    pages: dict[Path, bytes] = {}
    for index, page in enumerate(document, start=1):
        stream = io.BytesIO()
        page.render(scale=PNG_DPI / 72).to_pil().save(stream, "PNG", dpi=(PNG_DPI, PNG_DPI))
        pages[folder / f"{stem}-{index}.png"] = stream.getvalue()
    return pages


def captions_for(job: Job, language: str | None) -> Captions:
    """The captions asked for, or those of the language the files state, as for the quote that goes
    with the proof, or of the label's first that there are any in.

    LanguageError for a language without captions.
    """
    used = _reader(job, language).language(LANGUAGES)
    if used not in LANGUAGES:
        raise LanguageError(used, LANGUAGES)
    return replace(LANGUAGES[used], locale=locale_for(used, *job.regions))


def _reader(job: Job, language: str | None) -> Reader:
    """The customer, who reads the quote as well, and what the label says."""
    return Reader(language, job.spec.plan.language, job.spec.languages)
