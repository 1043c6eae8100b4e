"""What stands on each account, for one batch, one yard or all: grams in are grams out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from tideover.patty.ledger.fold import Ledger
from tideover.patty.ledger.moves import ACCOUNTS, Account, Move


@dataclass(frozen=True)
class Balance:
    """Grams on every account of a part of the ledger.

    For a batch or for all, ``got_g`` is what was bought or mixed; for a yard, what was laid on hives there. ``held``
    says where it is: its values sum to ``got_g``. For a yard 'in hand' is what came off its hives.
    """

    name: str
    got_g: float
    held: Mapping[Account, float]

    @property
    def off_g(self) -> float:
        """What is not where it should be [g]: zero when everything balances."""
        return self.got_g - sum(self.held.values())

    @property
    def open_g(self) -> float:
        """Grams that the entries do not explain: not said, weighing twice, in hand."""
        return (
            abs(self.held.get("not said", 0.0)) + abs(self.held.get("difference", 0.0)) + self.held.get("in hand", 0.0)
        )


def _sums(ledger: Ledger, wanted: Callable[[Move], bool]) -> dict[Account, float]:
    held: dict[Account, float] = dict.fromkeys(ACCOUNTS, 0.0)
    for m in ledger.moves:
        if wanted(m):
            held[m.out_of] -= m.grams
            held[m.into] += m.grams
    return held


def _tidy(held: dict[Account, float]) -> dict[Account, float]:
    return {a: g if abs(g) > 1e-6 else 0.0 for a, g in held.items()}


def of_batch(ledger: Ledger, name: str) -> Balance:
    """The balance of one batch; '' is what was laid on without naming a batch."""
    held = _sums(ledger, lambda m: m.batch == name)
    got = -held.pop("source")
    return Balance(name, got, _tidy(held))


def of_all(ledger: Ledger) -> Balance:
    """The balance of everything."""
    held = _sums(ledger, lambda m: True)
    got = -held.pop("source")
    return Balance("all", got, _tidy(held))


def of_yard(ledger: Ledger, yard: str) -> Balance:
    """The balance of the hives of one yard: laid on, and where it went from there."""
    here = [m for m in ledger.moves if m.yard == yard and "on hive" in (m.out_of, m.into)]
    got = 0.0
    held: dict[Account, float] = {a: 0.0 for a in ACCOUNTS if a not in ("source", "shelf", "cold box", "discarded")}
    for m in here:
        if m.into == "on hive":
            held["on hive"] += m.grams
            # back from 'eaten' or 'not said' is a correction, from 'difference' a weighing; the rest was laid on
            if m.out_of in ("eaten", "not said", "difference"):
                held[m.out_of] -= m.grams
            else:
                got += m.grams
        else:
            held["on hive"] -= m.grams
            held[m.into] += m.grams
    return Balance(yard, got, _tidy(held))


def eaten_by_hive(ledger: Ledger) -> dict[str, float]:
    """Grams gone from each hive: eaten, or carried out as crumbs."""
    eaten: dict[str, float] = {}
    for m in ledger.moves:
        if "eaten" in (m.out_of, m.into) and m.hive is not None:
            eaten[m.hive] = eaten.get(m.hive, 0.0) + (m.grams if m.into == "eaten" else -m.grams)
    return eaten
