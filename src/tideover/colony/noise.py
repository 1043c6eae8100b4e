"""Counter-based noise: the draw of a member, day and channel is a pure function.

Because nothing is stored or advanced, any number of threads gives the same bytes and
all plans compared for one hive meet exactly the same luck.

The mixing function is splitmix64 (Steele, Lea & Flood 2014, OOPSLA). A standard
normal is approximated by the sum of four uniforms (variance exact, kurtosis 2.7).
"""

from __future__ import annotations

import numba as nb
import numpy as np
from numpy.typing import NDArray

from tideover.colony.lanes import as_float

_M64 = (1 << 64) - 1
GOLDEN = 0x9E3779B97F4A7C15
MIX1 = 0xBF58476D1CE4E5B9
MIX2 = 0x94D049BB133111EB

# Which draw of the day: each has a channel of its own.
INCOME = np.uint64(0)
LAYING = np.uint64(1)
DEATH = np.uint64(2)
QUEEN_FAILS = np.uint64(3)
QUEEN_RAISED = np.uint64(4)
VISIT = np.uint64(7)


def key(seed: int, salt: int) -> int:
    """Return the 64-bit key of a run; a new ``salt`` gives fresh luck to the same members."""
    z = (seed * 0xD1342543DE82EF95 + salt * 0xA0761D6478BD642F + GOLDEN) & _M64
    z = ((z ^ (z >> 30)) * MIX1) & _M64
    z = ((z ^ (z >> 27)) * MIX2) & _M64
    return z ^ (z >> 31)


@nb.njit(forceinline=True)
def bits(key_: np.uint64, members: np.uint64, day: np.uint64, channel: np.uint64) -> np.uint64:  # pragma: no cover
    # Members are a vector (``lanes.members``), the rest is the same for all of them.
    z = members * np.uint64(0x9E3779B97F4A7C15) + (
        key_ + day * np.uint64(0xD1B54A32D192ED03) + channel * np.uint64(0x8CB92BA72F3D8DD7)
    )
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return z ^ (z >> np.uint64(31))


@nb.njit(forceinline=True)
def normal(key_: np.uint64, members: np.uint64, day: np.uint64, channel: np.uint64) -> float:  # pragma: no cover
    z = bits(key_, members, day, channel)
    m = np.uint64(0xFFFF)
    s = (z & m) + ((z >> np.uint64(16)) & m) + ((z >> np.uint64(32)) & m) + (z >> np.uint64(48))
    # Mean of the four 16-bit fields is 2 * 65535; variance of their sum in units of 65536 is 1/3.
    return (as_float(s) - 131070.0) * (1.7320508075688772 / 65536.0)


@nb.njit(forceinline=True)
def uniform(key_: np.uint64, members: np.uint64, day: np.uint64, channel: np.uint64) -> float:  # pragma: no cover
    return as_float(bits(key_, members, day, channel) >> np.uint64(11)) * (1.0 / 9007199254740992.0)


def bits_array(key_: int, members: NDArray[np.uint64], day: int, channel: int | np.uint64) -> NDArray[np.uint64]:
    """Return the same bits as ``bits`` for many members in NumPy, shape (members,)."""
    with np.errstate(over="ignore"):
        z = (
            np.uint64(key_)
            + members * np.uint64(GOLDEN)
            + np.uint64((day * 0xD1B54A32D192ED03) & _M64)
            + np.uint64((int(channel) * 0x8CB92BA72F3D8DD7) & _M64)
        )
        z = (z ^ (z >> np.uint64(30))) * np.uint64(MIX1)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(MIX2)
        return z ^ (z >> np.uint64(31))


def normal_array(key_: int, members: NDArray[np.uint64], day: int, channel: int | np.uint64) -> NDArray[np.float64]:
    """Return the same draws as ``normal`` for many members in NumPy, shape (members,)."""
    z = bits_array(key_, members, day, channel)
    m = np.uint64(0xFFFF)
    s = (z & m) + ((z >> np.uint64(16)) & m) + ((z >> np.uint64(32)) & m) + (z >> np.uint64(48))
    return np.asarray((s.astype(np.float64) - 131070.0) * (1.7320508075688772 / 65536.0))


def uniform_array(key_: int, members: NDArray[np.uint64], day: int, channel: int | np.uint64) -> NDArray[np.float64]:
    """Return the same draws as ``uniform`` for many members in NumPy, shape (members,)."""
    return np.asarray(
        (bits_array(key_, members, day, channel) >> np.uint64(11)).astype(np.float64) * (1.0 / 9007199254740992.0)
    )
