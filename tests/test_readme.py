"""What the README says is what there is."""

from __future__ import annotations

from pathlib import Path

from readme_tables import coverage_table

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")


def test_the_coverage_table_is_that_of_the_tables() -> None:
    assert coverage_table() in README, "make it again: python tests/readme_tables.py"


def test_the_readme_opens_with_the_job_and_says_what_it_is_not() -> None:
    first = README.split("\n\n")[1]
    assert first.startswith("A soap maker")
    assert "not legal advice" in README


def test_every_file_the_readme_shows_exists() -> None:
    root = Path(__file__).parent.parent
    pictures = [part.split(")")[0] for part in README.split("](")[1:]]
    for target in pictures:
        if "://" not in target:
            assert (root / target).exists(), target
