"""The two parts of a proof: what the customer signs, and what the maker keeps."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

from labelkit.common.frozen import dataclass
from labelkit.common.messages import Said
from labelkit.compose.fingerprint import make_job_code
from labelkit.compose.job import Job
from labelkit.job.prepare import preflight_job
from labelkit.job.unwritten import WithoutUnwritten, drop_unwritten_names
from labelkit.report.captions import LANGUAGES, Captions
from labelkit.report.findings import load_finding_words
from labelkit.report.phrasebook import LanguageError, choose_locale
from labelkit.report.proof_customer import CustomerProof
from labelkit.report.proof_maker import MakerProof
from labelkit.report.reader import Reader, describe_partly_english
from labelkit.rules.findings import Report

PNG_DPI = 600
CUSTOMER, MAKER = "customer", "maker"


@dataclass(frozen=True, slots=True)
class Proof:
    """A proof as PDF bytes, and the preflight that decides which parts it has."""

    report: Report
    parts: dict[str, bytes]
    """By whom they are for; nothing for the customer of a label that is not fit."""
    fallbacks: tuple[Said, ...]
    """Lines that tell where it is not as it was to be: in another language, without a guest."""
    notes: tuple[str, ...] = ()
    """What there is to know of the guests' names before they are signed for."""


def draw_proof(job: Job, language: str | None = None, leave_out_unwritten: bool = False) -> Proof:
    """Draws both parts of a job's proof in one of its languages.

    A label that is not fit, or cannot be set at all, has the maker's part alone, which says why.
    With ``leave_out_unwritten`` guests whose names cannot be set have labels without a name, and
    the customer's part says whose; the code is that of the whole order all the same.
    """
    code, unwritten = make_job_code(job), WithoutUnwritten(job)
    if leave_out_unwritten:
        unwritten = drop_unwritten_names(job)
        job = unwritten.job
    report = preflight_job(job)
    captions = choose_captions(job, language)
    findings = load_finding_words(job.regions, captions.language)
    parts: dict[str, bytes] = {}
    if report.verdict == "pass":
        stream = io.BytesIO()
        CustomerProof(stream, job, captions, code, unwritten.names).draw()
        parts[CUSTOMER] = stream.getvalue()
    stream = io.BytesIO()
    MakerProof(stream, job, job.fitting, report, captions, findings, code).draw()
    parts[MAKER] = stream.getvalue()
    said = ((finding.region, finding.message) for finding in report.findings)
    told = (
        *_make_reader(job, language).stand_in(Said("captions"), LANGUAGES),
        *describe_partly_english(findings.speech, said),
    )
    notes = (findings.message(f) for f in report.findings if f.element == "guest")
    return Proof(report, parts, (*told, *unwritten.told), tuple(notes))


def render_png_pages(data: bytes, folder: Path, stem: str, dpi: int) -> dict[Path, bytes]:
    """The pages of a PDF as PNG files, by the path each would have in ``folder``."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    pages: dict[Path, bytes] = {}
    for index, page in enumerate(document, start=1):
        stream = io.BytesIO()
        page.render(scale=dpi / 72).to_pil().save(stream, "PNG", dpi=(dpi, dpi))
        pages[folder / f"{stem}-{index}.png"] = stream.getvalue()
    return pages


def choose_captions(job: Job, language: str | None) -> Captions:
    """The captions asked for, or those of the language the files state, as for the quote that goes
    with the proof, or of the label's first that there are any in.

    LanguageError for a language without captions.
    """
    used = _make_reader(job, language).language(LANGUAGES)
    if used not in LANGUAGES:
        raise LanguageError(used, LANGUAGES)
    captions = replace(LANGUAGES[used], locale=choose_locale(used, *job.regions))
    return captions.suit(job.spec.event.kind)


def _make_reader(job: Job, language: str | None) -> Reader:
    """Who reads the quote as well, and what the label says."""
    return Reader(language, job.spec.plan.language, job.spec.languages)
