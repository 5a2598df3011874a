"""The proof as one page to send: no script, nothing from elsewhere, true on paper as well."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from labelkit.common.frozen import dataclass
from labelkit.compose.fingerprint import make_job_code
from labelkit.compose.job import Job
from labelkit.desk.rooms import name_element
from labelkit.desk.words import Words
from labelkit.job.api import Checked
from labelkit.job.proof import choose_captions
from labelkit.model.runs import ELEMENTS, NEUTRAL, list_element_texts
from labelkit.report.phrasebook import choose_locale, load_phrases
from labelkit.report.proof_suite import describe_view, describe_views
from labelkit.report.render import render_template
from labelkit.report.speech import Speech
from labelkit.report.wrapped_drawing import draw_view_svg
from labelkit.report.wrapped_piece import make_views

UNREAD = frozenset({"separator", "draft-mark", "guest"})


@dataclass(frozen=True, slots=True)
class ProofPage:
    code: str
    html: str


def make_proof_page(checked: Checked, language: str) -> ProofPage:
    """What a customer reads, ticks and answers, in her language."""
    job, say = checked.job, Words(language)
    spec, code = job.spec, make_job_code(job)
    speech = Speech(say.language, choose_locale(say.language, *job.regions))
    phrases = load_phrases("plan", say.language, *job.regions)
    mail = next((line for line in spec.maker.contact if "@" in line), "")
    title = phrases.of(spec.event.names)
    html = render_template(
        "proof.html.j2",
        say=say,
        language=say.language,
        code=code,
        title=title,
        date=phrases.date(spec.event.date, "full"),
        place=phrases.of(spec.event.place),
        maker=spec.maker.name,
        panels=[
            {
                "name": speech.term("panel", panel.name),
                "svg": panel.draw_svg(f"{panel.name}-"),
                "small": panel.draw_svg(f"{panel.name}-small-"),
                "width": panel.panel.width_mm,
                "height": panel.panel.height_mm,
                "words": list(_list_words(panel.panel, speech)),
            }
            for panel in checked.panels
            if panel.panel is not None
        ],
        soap=spec.product.soap_colour if job.facts.clear_stock else None,
        looks=_draw_looks(job, language),
        guests=list(spec.event.guest_names),
        count=spec.event.guests,
        mail=_make_mail_address(mail, title, code, say) if mail else "",
        address=mail,
    )
    return ProofPage(code, html)


def _draw_looks(job: Job, language: str) -> dict[str, Any] | None:
    """The wrapped piece from its sides, as the PDF proof draws it, with what is said of it; None
    where it is not drawn."""
    words = choose_captions(job, language)
    names = job.spec.event.guest_names
    views = make_views(job, names[0] if names else "")
    if not views:
        return None
    wrap = "paper" if views[0].in_paper else "film"
    return {
        "title": words.looks,
        "told": describe_views(views, 1.0, words, wrap, words.looks_printed),
        "views": [
            {
                "svg": draw_view_svg(view, f"look{number}-"),
                "caption": describe_view(view, words),
                "width": view.width_mm,
            }
            for number, view in enumerate(views)
        ],
    }


def _list_words(panel: Any, speech: Speech) -> Any:
    """Every element's words, to be read one by one."""
    for element in dict.fromkeys(run.element for run in panel.runs):
        if element in UNREAD or element not in ELEMENTS:
            continue
        for text in list_element_texts(panel, element):
            yield {
                "element": name_element(element, speech),
                "language": "" if text.language == NEUTRAL else text.language,
                "text": text.text,
            }


def _make_mail_address(address: str, title: str, code: str, say: Words) -> str:
    subject = f"{say('Proof')}: {title} ({code})"
    body = say("I have read both sides and approve the proof with the code {code}.").format(
        code=code
    )
    return f"mailto:{quote(address, safe='@.+-')}?subject={quote(subject)}&body={quote(body)}"
