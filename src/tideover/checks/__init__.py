"""Outside checks: published values beside ours, the very objects the tests assert on.

What lives here: what a check is and how one is registered (``base``), and one module per subject. A check
that counts is observed in the world and not an input. ``outside_checks`` imports every module of the room and
runs what they register. May import every room below it. Start reading at ``base``.
"""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules

from tideover.checks.base import Check, outside, run_all

__all__ = ["Check", "outside", "outside_checks"]


def outside_checks(prefix: str = "") -> list[Check]:
    """Run every check whose key starts with ``prefix``, in order of key."""
    for module in iter_modules(__path__):
        import_module(f"{__name__}.{module.name}")
    return run_all(prefix)
