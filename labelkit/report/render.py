"""The one Jinja2 environment of the reports, and the findings in each of their formats."""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Any

from labelkit.rules.findings import Finding, Level, Report

LEVEL_WORDS = {Level.FAIL: "FAIL", Level.WARN: "warn", Level.NOTE: "note"}


@lru_cache(maxsize=1)
def environment() -> Any:
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


def render(template: str, **values: Any) -> str:
    """A template of ``labelkit/report/templates`` with its values."""
    return str(environment().get_template(template).render(**values))


def findings_text(report: Report, problems_only: bool = False) -> str:
    """The findings for a terminal; with ``problems_only`` the notes are left out."""
    shown = [f for f in report.findings if not problems_only or f.level is not Level.NOTE]
    return render("findings.txt.j2", report=report, findings=shown, words=LEVEL_WORDS)


def findings_html(report: Report, title: str) -> str:
    """The findings as one self-contained page."""
    return render("findings.html.j2", report=report, title=title, words=LEVEL_WORDS)


def findings_json(report: Report) -> str:
    """The findings as a JSON object with ``verdict``, ``on``, ``regions`` and ``findings``."""
    value = {
        "verdict": report.verdict,
        "on": report.on.isoformat(),
        "regions": list(report.regions),
        "findings": [_finding(f) for f in report.findings],
    }
    return json.dumps(value, ensure_ascii=False, indent=2)


def _finding(finding: Finding) -> dict[str, str]:
    return {
        "rule": finding.rule,
        "region": finding.region,
        "panel": finding.panel,
        "element": finding.element,
        "level": str(finding.level),
        "message": finding.message,
        "measured": finding.measured,
        "required": finding.required,
        "unit": finding.unit,
        "citation": finding.citation,
        "provenance": finding.provenance,
        "remedy": finding.remedy,
    }
