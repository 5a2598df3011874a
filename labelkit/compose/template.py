"""Field text in layouts: Jinja2 in a sandbox that reaches words and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from labelkit.errors import LabelkitError
from labelkit.fields import Wording, Wordings
from labelkit.runs import NEUTRAL

MAX_TEMPLATE = 500
MAX_TEXT = 2000


class TemplateError(LabelkitError):
    """A layout's template that cannot be used."""


@lru_cache(maxsize=1)
def _environment() -> Any:
    """No loader (so no includes, no files), no globals, no multiplication of text."""
    from jinja2 import StrictUndefined
    from jinja2.exceptions import SecurityError
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    class Sandbox(ImmutableSandboxedEnvironment):
        intercepted_binops = frozenset({"*", "**", "%"})

        def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
            raise SecurityError(f"{operator!r} is not allowed in field text")

    environment = Sandbox(undefined=StrictUndefined, autoescape=False)
    environment.globals.clear()
    return environment


def rendered(template: str, words: Wordings, language: str) -> str:
    """The template's text in one language; every element is a name with underscores.

    ``"{{ place }}, {{ date }}"`` gives the place and date as written in ``language``. Raises
    TemplateError, in one line, for anything the sandbox or Jinja2 refuses.
    """
    from jinja2 import TemplateError as JinjaError

    if len(template) > MAX_TEMPLATE:
        raise TemplateError(f"field text {template[:20]!r}…: over {MAX_TEMPLATE} characters")
    try:
        text = str(_environment().from_string(template).render(_values(words, language)))
    except (JinjaError, TypeError, ValueError, ArithmeticError, RecursionError) as error:
        reason = " ".join(str(error).split()) or type(error).__name__
        raise TemplateError(f"field text {template!r}: {reason}") from error
    if len(text) > MAX_TEXT:
        raise TemplateError(f"field text {template!r}: makes over {MAX_TEXT} characters")
    return " ".join(text.split())


def _values(words: Wordings, language: str) -> Mapping[str, str]:
    return {
        element.replace("-", "_"): _in(texts, language) for element, texts in words.items() if texts
    }


def _in(texts: tuple[Wording, ...], language: str) -> str:
    """The wording in a language, else the neutral one, else the first there is."""
    by_language = {w.language: w.text for w in texts}
    return by_language.get(language) or by_language.get(NEUTRAL) or texts[0].text
