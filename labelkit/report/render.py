"""The one Jinja2 environment of the reports."""

from __future__ import annotations

from functools import lru_cache
from typing import Any


@lru_cache(maxsize=1)
def make_environment() -> Any:
    """Templates shipped with labelkit, sandboxed, HTML escaped where the template is HTML."""
    from jinja2 import PackageLoader, StrictUndefined, select_autoescape
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    return ImmutableSandboxedEnvironment(
        loader=PackageLoader("labelkit.report", "templates"),
        autoescape=select_autoescape(["html.j2", "html"]),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def render_template(template: str, **values: Any) -> str:
    """A template of ``labelkit/report/templates`` with its values."""
    return str(make_environment().get_template(template).render(**values))
