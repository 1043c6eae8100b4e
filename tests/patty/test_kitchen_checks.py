"""The outside checks of the kitchen: each agrees, or its difference is known and said."""

from __future__ import annotations

import pytest

from tideover.checks import kitchen as _registers
from tideover.checks.base import Check, run_all

CHECKS = [c for c in run_all("kitchen.") if _registers]
KNOWN_TO_DIFFER = {"kitchen.aw_sloan_labuza_fructose": "found to hold 21 g"}


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.key)
def test_outside_check(check: Check) -> None:
    """Ours agrees with the published value, whose source stands in the check."""
    if check.key in KNOWN_TO_DIFFER:
        assert check.verdict == "differs"
        assert KNOWN_TO_DIFFER[check.key] in check.note
    else:
        assert check.verdict == "agrees", f"{check.ours} against {check.expected} ({check.tolerance}), {check.source}"


def test_there_are_enough_that_count() -> None:
    """At least ten were observed in the world and are no inputs."""
    assert sum(c.kind == "observed" and not c.used_as_input and not c.practice for c in CHECKS) >= 10
