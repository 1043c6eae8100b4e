"""The cold box as a plain object for scripts, and as lines for a terminal."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any, Final

from tideover.desk.coldbox import ColdBoxView, Frozen, OnHive
from tideover.desk.objects import plain
from tideover.patty.ledger.balance import Balance
from tideover.patty.ledger.moves import Account

ACCOUNT_WORDS: Final[dict[Account, str]] = {
    "shelf": "on the shelf",
    "on hive": "on hives",
    "eaten": "gone from hives",
    "in hand": "taken off, not said where",
    "cold box": "in the cold box",
    "discarded": "thrown or given away",
    "not said": "not said what became of it",
    "difference": "weighed twice, differs",
}
"""How the accounts are told."""


def accounts(b: Balance, yard: bool = False) -> list[tuple[str, float]]:
    """The accounts of a balance that hold anything, in words; of a yard, what is 'in hand' came off its hives."""
    words = ACCOUNT_WORDS | ({"in hand": "came off the hives"} if yard else {})
    return [(words[a], g) for a, g in b.held.items() if abs(g) >= 0.5]


def _balance(b: Balance) -> dict[str, Any]:
    return {
        "name": b.name,
        "got_g": round(b.got_g, 3),
        "held_g": {a.replace(" ", "_"): round(g, 3) for a, g in b.held.items()},
        "off_g": round(b.off_g, 3) + 0.0,
    }


def coldbox_object(view: ColdBoxView) -> dict[str, Any]:
    """The whole view; weights in grams, temperatures in degrees Celsius, times with their zone."""
    return {
        "now": view.now.isoformat(),
        "frozen": plain(view.frozen),
        "on_hives": plain(view.on_hives),
        "in_hand": plain(view.in_hand),
        "holes": [
            {
                "code": h.code,
                "text": h.say(lambda g: f"{g:.0f} g"),
                "grams": round(h.grams, 3),
                "at": h.at.isoformat(),
                "yard": h.yard,
                "hive": h.hive,
                "piece": h.piece,
                "correct": h.correct,
                "fixes": [
                    {"label": f.label, "kind": f.kind, "hive": f.hive, "yard": f.yard, "values": dict(f.values),
                     "at": None if f.at is None else f.at.isoformat()}
                    for f in h.fixes
                ],
            }
            for h in view.holes
        ],
        "older_holes": view.older_holes,
        "batches": [
            {
                "name": b.name,
                "origin": b.origin,
                "at": plain(b.at),
                "protein_pct": b.protein_pct,
                "cost": b.cost,
                "keeps_until": plain(b.keeps_until),
                "known": b.known,
                "balance": _balance(b.balance),
            }
            for b in view.batches
        ],
        "yards": [_balance(b) for b in view.yards],
        "everything": _balance(view.everything),
        "traces": plain(view.traces),
    }  # fmt: skip


def moment(when: datetime) -> str:
    """A time as a terminal shows it."""
    return f"{when:%-d %b %H:%M}"


def _frozen_line(f: Frozen, weigh: Callable[[float], str]) -> str:
    goes = f" for {f.hive}" if f.hive else f" (batch {f.batch}, never on a hive)" if f.batch else " (never on a hive)"
    if f.state == "throw away":
        return f"{f.piece}, {weigh(f.grams)}: throw away; {f.why}."
    if f.state == "ready":
        return f"{f.piece}, {weigh(f.grams)}: ready{goes}." + (f" {f.why[:1].upper()}{f.why[1:]}." if f.why else "")
    if f.state == "never" or f.ready_at is None:
        return f"{f.piece}, {weigh(f.grams)}{goes}: {f.why}."
    return f"{f.piece}, {weigh(f.grams)}{goes}: not before {moment(f.ready_at)}."


def _on_line(o: OnHive, weigh: Callable[[float], str]) -> str:
    when = "should have been off" if o.overdue else "off by"
    left = f"{weigh(o.left_g)} left when last seen" if o.seen_at else "not seen since"
    text = f"{o.hive}: {o.piece}, {weigh(o.laid_g)} laid on {moment(o.since)}, {left}; {when} {moment(o.pull_by)}."
    return text + (f" Off now, to be destroyed: {o.suspect}." if o.suspect else "")


def coldbox_lines(view: ColdBoxView, weigh: Callable[[float], str]) -> list[tuple[str, str]]:
    """Lines with their indent; ``weigh`` says grams in the reader's unit."""
    out: list[tuple[str, str]] = [("", f"Cold box, {moment(view.now)}")]
    if view.empty:
        return [*out, ("", "Nothing about patties is written yet; begin with: write batch, or write 'laid on'.")]
    for t in view.traces:
        out.append(("", ""))
        pieces = ", ".join(p.piece for p in t.pieces) or "none"
        out.append(
            ("! ", f"{t.suspect} may have a brood disease. Pieces that touched it: {pieces}. Destroy what is left.")
        )
        for r in t.hives:
            still = "it is still on: take it off and destroy it" if r.still_on else "it is gone"
            out.append(
                ("  ", f"{r.hive} got {r.piece} on {moment(r.at)}; {still}. Look at its brood; nothing goes from it.")
            )

    def part(title: str, lines: list[str], none: str) -> None:
        out.append(("", ""))
        out.append(("", title))
        out.extend(("  ", x) for x in lines or [none])

    part("In the freezer", [_frozen_line(f, weigh) for f in view.frozen], "nothing")
    part("On the hives", [_on_line(o, weigh) for o in view.on_hives], "nothing, as far as is written")
    part("Missing in the books", [h.say(weigh) for h in view.holes], "nothing: every gram written is somewhere")
    part(
        "Batches",
        [
            f"{b.name or 'without a batch'}: {weigh(b.balance.got_g)}; "
            + ", ".join(f"{weigh(g)} {word}" for word, g in accounts(b.balance))
            for b in view.batches
        ],
        "none written",
    )
    part(
        "Yards",
        [
            f"{b.name}: {weigh(b.got_g)} laid on; " + ", ".join(f"{weigh(g)} {word}" for word, g in accounts(b, True))
            for b in view.yards
            if b.got_g
        ],
        "nothing laid on",
    )
    return out
