"""Short codes of pieces: a batch's name and a number, or letters made from the entry that first laid it on."""

from __future__ import annotations

import re
from typing import Final

ALPHABET: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Thirty-two signs without I, L, O and U, which are taken for 1, 1, 0 and V."""
SIGNS: Final = 6
_READ: Final = str.maketrans("ILO", "110")
_LABEL: Final = re.compile(r"[A-Z0-9]+(?:-[A-Z0-9]+)*\Z", re.ASCII)


def made_code(entry: str) -> str:
    """Return the code of a piece that got none on its label, such as ``7QD4-X2K``.

    Six signs from the hexadecimal digits of ``entry`` (an entry's UUID) and a check sign, so that one wrong sign,
    or two neighbours swapped, is noticed.
    """
    number = int(entry.replace("-", "")[-12:], 16)
    signs = ""
    for _ in range(SIGNS):
        number, rest = divmod(number, 32)
        signs += ALPHABET[rest]
    return f"{signs[:4]}-{signs[4:]}{_check(signs)}"


def _check(signs: str) -> str:
    # weights are all different and odd, so that modulo 32 one wrong sign always shows
    return ALPHABET[sum((2 * i + 1) * ALPHABET.index(s) for i, s in enumerate(signs, 1)) % 32]


def code_is_whole(code: str) -> bool:
    """Say whether a made code agrees with its check sign; a batch's own codes have none and are always whole."""
    plain = tidy(code).replace("-", "")
    if len(plain) != SIGNS + 1 or code.count("-") != 1 or tidy(code).index("-") != 4:
        return True
    if any(s not in ALPHABET for s in plain):
        return True
    return _check(plain[:SIGNS]) == plain[SIGNS]


def tidy(code: str) -> str:
    """Return a code as it is compared: upper case, no blanks."""
    return "".join(code.split()).upper()


def read_made(code: str) -> str:
    """Return a made code with the letters that are easily misread put right: O as 0, I and L as 1."""
    return tidy(code).translate(_READ)


def piece_of(batch: str, number: int) -> str:
    """Return the code of the ``number``-th piece (from 1) of a batch, such as ``B12-3``.

    Raises: ValueError when the number is not above zero or the batch's name cannot stand on a label.
    """
    if number < 1:
        raise ValueError(f"the number of the piece is {number}, wanted one or more.")
    name = tidy(batch)
    if not _LABEL.match(name):
        raise ValueError(f"the batch is named {batch!r}, wanted letters, digits and single dashes.")
    return f"{name}-{number}"


def batch_in(code: str, batches: set[str] | frozenset[str]) -> str | None:
    """Return the batch that a piece's code names, None when it names none of ``batches``."""
    head, _, tail = tidy(code).rpartition("-")
    return head if head in batches and tail.isdigit() else None
