"""The colony as a daily stochastic process: kernels, parameters, ensemble.

An ensemble is two plain arrays: ``state`` (members, ``layout.STATE``) and ``params``
(members, ``layout.PARAMS``). ``kernel.run`` steps every member through the days of a
``Weather``; ``reference.step`` is the same day written readably in NumPy.

What may be used from outside is named in ``__all__`` (``establish.establish`` has its module's name and is imported
from there); docs/api.md shows it at work. Names are loaded when asked for, since the kernels are slow to load.

May import: ``figures``. Start reading at ``layout`` (what a member is made of),
then ``reference`` (what happens on a day), then ``kernel``.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from tideover.colony.ensemble import LIMITS, MILESTONES, Ensemble, Run, run
    from tideover.colony.layout import CONST_NAMES, LEDGER_NAMES, OUT_NAMES, PARAM_NAMES
    from tideover.colony.parameters import central, constants, draw
    from tideover.colony.weather import Feeding, Weather

__all__ = [
    "CONST_NAMES", "LEDGER_NAMES", "LIMITS", "MILESTONES", "OUT_NAMES", "PARAM_NAMES", "Ensemble", "Feeding", "Run",
    "Weather", "central", "constants", "draw", "run",
]  # fmt: skip

_HOME: Final = {
    "ensemble": ("LIMITS", "MILESTONES", "Ensemble", "Run", "run"),
    "layout": ("CONST_NAMES", "LEDGER_NAMES", "OUT_NAMES", "PARAM_NAMES"),
    "parameters": ("central", "constants", "draw"),
    "weather": ("Feeding", "Weather"),
}


def __getattr__(name: str) -> Any:
    for module, names in _HOME.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{module}"), name)
    raise AttributeError(f"{__name__} has no {name!r}; its public names are {', '.join(__all__)}.")


def __dir__() -> list[str]:
    return sorted(__all__)
