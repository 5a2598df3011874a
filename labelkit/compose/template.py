"""Field text in layouts: Jinja2 in a sandbox that reaches words and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from labelkit.common.errors import LabelkitError
from labelkit.common.messages import Said, Verbatim
from labelkit.compose.element_words import Wording, Wordings
from labelkit.model.runs import ELEMENTS, NEUTRAL

MAX_TEMPLATE = 500
MAX_TEXT = 2000
FILTERS = frozenset({"upper", "lower", "title", "capitalize", "trim", "default"})
"""None of them makes a text much longer."""
NODES = (
    "Template", "Output", "TemplateData", "Name", "Const", "Filter", "Concat", "If", "CondExpr",
    "Test", "Compare", "Operand", "And", "Or", "Not",
)  # fmt: skip
"""What a template may be made of: no loops, assignments, calls, attributes or arithmetic, so that
a stranger's layout can neither reach out nor take for ever."""


class TemplateError(LabelkitError):
    """A layout's template that cannot be used."""


@lru_cache(maxsize=1)
def _make_sandbox() -> Any:
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


def render_field_text(template: str, words: Wordings, language: str) -> str:
    """The template's text in one language; every element is a name with underscores.

    ``"{{ place }}, {{ date }}"`` gives the place and date as written in ``language``. Raises
    TemplateError, in one line, for anything the sandbox or Jinja2 refuses.
    """
    from jinja2 import TemplateError as JinjaError

    if len(template) > MAX_TEMPLATE:
        raise TemplateError(
            Said(
                "field text {field}…: over {most} characters",
                field=Verbatim(template[:20]),
                most=MAX_TEMPLATE,
            )
        )
    try:
        _check_template(template)
        text = str(_make_sandbox().from_string(template).render(_collect_values(words, language)))
    except (JinjaError, TypeError, ValueError, ArithmeticError, RecursionError) as error:
        reason = Said(" ".join(str(error).split()) or type(error).__name__)
        raise TemplateError(
            Said("field text {field}: {reason}", field=Verbatim(template), reason=reason)
        ) from error
    if len(text) > MAX_TEXT:
        raise TemplateError(
            Said(
                "field text {field}: makes over {most} characters",
                field=Verbatim(template),
                most=MAX_TEXT,
            )
        )
    return " ".join(text.split())


def _check_template(template: str) -> None:
    """SecurityError for the first part of a template that is not one of NODES or FILTERS."""
    from jinja2 import nodes
    from jinja2.exceptions import SecurityError

    for node in _make_sandbox().parse(template).find_all(nodes.Node):
        kind = type(node).__name__
        if kind not in NODES or (isinstance(node, nodes.Filter) and node.name not in FILTERS):
            what = f"filter {node.name!r}" if isinstance(node, nodes.Filter) else kind.lower()
            raise SecurityError(f"{what} is not allowed in field text")
        if isinstance(node, nodes.Name) and node.name.replace("_", "-") not in ELEMENTS:
            raise SecurityError(f"{node.name!r} is no element of a label")


def _collect_values(words: Wordings, language: str) -> Mapping[str, str]:
    return {
        element.replace("-", "_"): _pick_wording(texts, language)
        for element, texts in words.items()
        if texts
    }


def _pick_wording(texts: tuple[Wording, ...], language: str) -> str:
    """The wording in a language, else the neutral one, else the first there is."""
    by_language = {w.language: w.text for w in texts}
    return by_language.get(language) or by_language.get(NEUTRAL) or texts[0].text
