"""Start of the command line: ``tideover --help`` against an empty Python.

Protocol: best of seven fresh processes each; the baseline is ``python -c pass`` in the same run.
"""

from __future__ import annotations

import subprocess
import sys
import time
from typing import Any


def _seconds(*words: str) -> float:
    found = []
    for _ in range(7):
        began = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL)
        found.append(time.perf_counter() - began)
    return min(found)


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    empty, helped = _seconds("-c", "pass"), _seconds("-m", "tideover.cli", "--help")
    return {
        "rows": [{"case": "python -c pass", "seconds": empty}, {"case": "tideover --help", "seconds": helped}],
        "ratios": {"help to empty python": helped / empty},
    }
