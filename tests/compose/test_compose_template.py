"""Field text of layouts: words go in, nothing else comes out."""

from __future__ import annotations

import pytest

from labelkit.compose.element_words import Wording
from labelkit.compose.template import TemplateError, render_field_text
from labelkit.model.runs import NEUTRAL

WORDS = {
    "place": (Wording(NEUTRAL, "Anse-aux-Brumes"),),
    "date": (Wording("en", "June 19, 2027"), Wording("fr", "19 juin 2027")),
    "net-quantity": (Wording(NEUTRAL, "40\u00a0g"),),
}


def test_a_template_is_rendered_in_each_language() -> None:
    assert (
        render_field_text("{{ place }}, {{ date }}", WORDS, "fr") == "Anse-aux-Brumes, 19 juin 2027"
    )
    assert render_field_text("{{ place|upper }}", WORDS, "en") == "ANSE-AUX-BRUMES"
    assert render_field_text("{{ net_quantity }}", WORDS, "en") == "40 g"


@pytest.mark.parametrize(
    "template",
    [
        "{{ nothing }}",
        "{{ place.__class__ }}",
        "{{ ''.__class__.__mro__ }}",
        "{% include '/etc/hostname' %}",
        "{% import 'os' as os %}",
        "{{ place * 100000000 }}",
        "{{ range(10) }}",
        "{{ lipsum() }}",
        "{{ cycler }}",
        "{{ place ",
        "{% for x in date %}",
        "x" * 501,
    ],
)
def test_a_template_cannot_reach_further(template: str) -> None:
    with pytest.raises(TemplateError) as caught:
        render_field_text(template, WORDS, "en")
    assert "\n" not in str(caught.value)
