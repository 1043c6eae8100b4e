"""Every gate by its code: its place in the order, what it forbids, what it forces, what it asks.

The order is safety and law first, then wrong diagnosis, then whether feeding is of use
(a synthesis of published advice and common practice; no published algorithm ranks these).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from tideover.plan.call import Action

Of = Literal["hive", "visit"]
_FEED: Final[frozenset[Action]] = frozenset({"lay on", "give sugar"})
_LAY: Final[frozenset[Action]] = frozenset({"lay on"})
_JOIN: Final[frozenset[Action]] = frozenset({"unite", "move the yard"})
_NONE: Final[frozenset[Action]] = frozenset()


@dataclass(frozen=True)
class GateKind:
    """What a gate of one code means for the call.

    ``forbids`` are the actions it blocks, ``forces`` the action it puts first, ``before`` the
    actions it stands before (empty: it stands before every call). A gate ``of`` the visit rules
    how and when to go, never what to do at the hive.
    """

    code: str
    forbids: frozenset[Action] = _NONE
    forces: Action | None = None
    before: frozenset[Action] = _NONE
    of: Of = "hive"


_KINDS: Final = (
    # safety and law
    GateKind("brood-disease", _LAY | _JOIN, "see to the cause first"),
    GateKind("beetle-report", _LAY | _JOIN | {"take off"}, "see to the cause first"),
    GateKind("hive-dead", _FEED | {"unite", "give water"}, "see to the cause first"),
    GateKind("suspect-piece-on", _LAY | _JOIN, "take off"),
    GateKind("dead-bees", _LAY | _JOIN, "see to the cause first"),
    GateKind("fire-ban", of="visit"),
    GateKind("heat", of="visit"),
    GateKind("fire-weather", of="visit"),
    GateKind("beetle-larvae", _LAY, "take off"),
    GateKind("beetle-larvae-comb", _LAY, "see to the cause first"),
    GateKind("beetle-movement", _JOIN),
    GateKind("pull-by-past", forces="take off"),
    GateKind("honey-boxes-on", _FEED),
    GateKind("suspect-piece-eaten", _JOIN),
    GateKind("yard-suspect", _JOIN),
    # wrong diagnosis
    GateKind("honey-short-boxes-on", forces="see to the cause first"),
    GateKind("honey-short", forces="give sugar"),
    GateKind("laying-workers", _LAY, "see to the cause first"),
    GateKind("no-queen", forces="see to the cause first"),
    GateKind("disease-not-looked", forces="look again", before=_LAY),
    GateKind("wings-and-brood", forces="see to the cause first", before=_LAY),
    GateKind("wings"),
    GateKind("dry-larvae"),
    GateKind("brood-pause", forces="look again", before=_LAY),
    GateKind("eggs-once"),
    GateKind("mites-high"),
    GateKind("mites-near"),
    GateKind("mites-unknown"),
    GateKind("robbing"),
    GateKind("robbing-risk"),
    GateKind("honey-unsure"),
    # of use?
    GateKind("pollen-coming", _LAY, "leave", before=_LAY),
    GateKind("pollen-coming-unsure"),
    GateKind("stop-date"),
    GateKind("pull-by-due"),
    GateKind("patty-left"),
    GateKind("patty-hard"),
    GateKind("low-confidence", forces="look again"),
    GateKind("look-old"),
)

KINDS: Final[dict[str, GateKind]] = {k.code: k for k in _KINDS}
"""Gate kinds by code, in their order."""

ORDER: Final[dict[str, int]] = {k.code: i for i, k in enumerate(_KINDS)}
