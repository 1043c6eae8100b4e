"""Which entries stand: a fold over entries that gives the same for any order of arrival.

An entry, everything that corrects or withdraws it, and everything that corrects or
withdraws those, form one *thread*. Within a thread the entries are put in one order:

1. nothing comes before what it supersedes (its time is taken as no earlier than
   the time of everything it builds on, so a slow clock cannot undo a correction);
2. then by the time written down (``recorded_at``, else ``at``);
3. then by the number of entries it builds on, its own written time and its id.

The last word holds. If it is an ordinary entry, that one stands and all before it
are *corrected*. If it is a withdrawal, the newest entry before it is *withdrawn*
and the thread has no effect; a withdrawal of a withdrawal puts the thread back. A
correction recorded after a withdrawal brings the thread back as corrected; two
corrections of one entry leave the later one standing. Entries naming an entry that
has not arrived belong to one thread all the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC

from tideover.records.entries import Entry, State

WITHDRAW = "withdraw"


@dataclass(frozen=True, slots=True)
class Word:
    """What the fold needs of one entry; ``written`` is any value that sorts by time."""

    id: str
    kind: str
    supersedes: str | None
    written: str


def word_of(entry: Entry) -> Word:
    """Return the fold's view of an entry."""
    return Word(
        entry.id, entry.kind, entry.supersedes, entry.written_at.astimezone(UTC).isoformat(timespec="microseconds")
    )


def threads(words: Mapping[str, Word]) -> list[list[Word]]:
    """Group words into threads (connected through ``supersedes``)."""
    parent: dict[str, str] = {}

    def find(x: str) -> str:
        root = x
        while parent.setdefault(root, root) != root:
            root = parent[root]
        while parent[x] != root:
            parent[x], x = root, parent[x]
        return root

    for w in words.values():
        a = find(w.id)
        if w.supersedes is not None:
            parent[find(w.supersedes)] = a
    grouped: dict[str, list[Word]] = {}
    for w in words.values():
        grouped.setdefault(find(w.id), []).append(w)
    return list(grouped.values())


def _order(thread: list[Word]) -> list[Word]:
    by_id = {w.id: w for w in thread}
    known: dict[str, tuple[str, int]] = {}
    for w in thread:
        chain: list[Word] = []
        on_chain: set[str] = set()
        at: Word | None = w
        while at is not None and at.id not in known and at.id not in on_chain:
            chain.append(at)
            on_chain.add(at.id)
            at = by_id.get(at.supersedes) if at.supersedes else None
        if at is not None and at.id in on_chain:  # entries superseding one another in a ring: equal rank
            ring = chain[next(i for i, c in enumerate(chain) if c.id == at.id) :]
            latest = max(c.written for c in ring)
            known.update({c.id: (latest, len(ring) - 1) for c in ring})
            chain = chain[: len(chain) - len(ring)]
        for c in reversed(chain):
            under = known.get(c.supersedes) if c.supersedes else None
            known[c.id] = (max(c.written, under[0]), under[1] + 1) if under else (c.written, 0)
    return sorted(thread, key=lambda w: (*known[w.id], w.written, w.id))


def fold(words: Iterable[Word]) -> dict[str, State]:
    """Return the state of every entry: stands, corrected or withdrawn."""
    by_id = {w.id: w for w in words}
    states: dict[str, State] = {}
    for thread in threads(by_id):
        if len(thread) == 1:
            states[thread[0].id] = "stands"
            continue
        ordered = _order(thread)
        current: Word | None = None
        out = False
        for w in ordered:
            states[w.id] = "corrected"
            if w.kind != WITHDRAW:
                current, out = w, False
            else:
                aimed = by_id.get(w.supersedes) if w.supersedes else None
                out = not (aimed is not None and aimed.kind == WITHDRAW)
        if ordered[-1].kind == WITHDRAW:
            states[ordered[-1].id] = "stands"
        if current is not None:
            states[current.id] = "withdrawn" if out else "stands"
    return states
