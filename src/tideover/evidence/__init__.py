"""Looks to likelihoods, assimilation, forecasts.

``words`` and ``seen`` hold what may be seen; ``predict`` what a member would show; ``keeper`` how a keeper
counts; ``scatters`` how what is written strays and ``likelihood`` how well it and members agree; ``happenings``
what events do to a colony and ``unseen`` what may have befallen it; ``beginning`` colonies before anything was
seen; ``moving`` resampling, moves and wandering; ``shapes`` the laws that moves keep;
``known`` a hive as known; ``walk`` the way from entry to entry; ``assimilate`` carries one hive through its season;
``combs`` reads looks comb by comb; ``yard`` lets the hives of a yard share what they say of the land;
``sky`` brings the yard's past and futures as drivers.

What may be used from outside is named in ``__all__`` (``assimilate.assimilate`` has its module's name and is imported
from there); docs/api.md shows it at work. Names are loaded when asked for, since the kernels are slow to load.

May import: figures, colony, comb, forage, beetle, patty. Start reading at ``assimilate``.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from tideover.evidence.beginning import starting
    from tideover.evidence.known import Assimilated
    from tideover.evidence.likelihood import Item, look_items
    from tideover.evidence.predict import Shown, shown
    from tideover.evidence.seen import BoxSpec, HiveCase, Place, Seen
    from tideover.evidence.sky import Sky, ahead

__all__ = [
    "Assimilated", "BoxSpec", "HiveCase", "Item", "Place", "Seen", "Shown", "Sky", "ahead", "look_items", "shown",
    "starting",
]  # fmt: skip

_HOME: Final = {
    "known": ("Assimilated",),
    "likelihood": ("Item", "look_items"),
    "predict": ("Shown", "shown"),
    "seen": ("BoxSpec", "HiveCase", "Place", "Seen"),
    "sky": ("Sky", "ahead"),
    "beginning": ("starting",),
}


def __getattr__(name: str) -> Any:
    for module, names in _HOME.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{module}"), name)
    raise AttributeError(f"{__name__} has no {name!r}; its public names are {', '.join(__all__)}.")


def __dir__() -> list[str]:
    return sorted(__all__)
