"""Gates, plans compared, the call.

``call`` is the shape of an answer; ``settings`` the keeper's thresholds with their sources;
``situation`` what stands written, folded; ``gates*`` what must be known before feeding may be
said; ``options``, ``compare`` and ``decide`` the plans and the choice between them; ``ground`` runs
them once, member by member; ``verdict`` holds gates and bigger changes over the choice and
``settle`` does both on a ground; ``drivers`` and ``wording`` give reasons; ``advise`` puts a
call together; ``cards`` answers for looks not made yet.

What may be used from outside is named in ``__all__`` (``advise.advise`` and ``options.options`` have their modules'
names and are imported from there); docs/api.md shows it at work. Names are loaded when asked for, since the kernels
are slow to load.

May import: figures, colony, beetle, comb, forage, patty, evidence. Start reading at ``advise``.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from tideover.plan.advise import Advice, YardAhead
    from tideover.plan.call import Call, Interval, Runway
    from tideover.plan.compare import Ahead, Outcome, first_of, outcome, runway
    from tideover.plan.decide import Choice, choose, margin_bees
    from tideover.plan.options import Option
    from tideover.plan.settings import Settings

__all__ = [
    "Advice", "Ahead", "Call", "Choice", "Interval", "Option", "Outcome", "Runway", "Settings", "YardAhead", "choose",
    "first_of", "margin_bees", "outcome", "runway",
]  # fmt: skip

_HOME: Final = {
    "advise": ("Advice", "YardAhead"),
    "call": ("Call", "Interval", "Runway"),
    "compare": ("Ahead", "Outcome", "first_of", "outcome", "runway"),
    "decide": ("Choice", "choose", "margin_bees"),
    "options": ("Option",),
    "settings": ("Settings",),
}


def __getattr__(name: str) -> Any:
    for module, names in _HOME.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{module}"), name)
    raise AttributeError(f"{__name__} has no {name!r}; its public names are {', '.join(__all__)}.")


def __dir__() -> list[str]:
    return sorted(__all__)
