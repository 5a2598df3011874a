"""All the rules' cases, of every region."""

from __future__ import annotations

import canada_cases
import claim_cases
import french_cases
import region_cases
from rule_labels import Case


def all_cases() -> list[Case]:
    return [*canada_cases.CASES, *claim_cases.CASES, *french_cases.CASES, *region_cases.CASES]
