"""What was asked for lately is kept, and no more of it than was said."""

from __future__ import annotations

from labelkit.common.recent import RecentResults


def test_what_nobody_asked_for_longest_goes_first() -> None:
    recent = RecentResults[str](2)
    recent.keep(("a", 1), "first")
    recent.keep(("b", 2), "second")
    assert recent.recall(("a", 1)) == "first"
    assert recent.keep(("c", 3), "third") == "third"
    assert recent.recall(("b", 2)) is None
    assert recent.recall(("a", 1)) == "first"
    assert recent.recall(("c", 3)) == "third"
