"""Eight members at a time: a vector of numbers, one per member, that compiled code handles as one number.

A compiler turns loops over members into vector instructions only where it can prove a great deal; a type of our own
asks for them outright. Arithmetic, comparisons, ``min`` and ``max`` are written as for plain numbers, ``where`` takes
the place of ``if``, and ``rows`` gives a small table of vectors on the stack. Every member meets the same operations in
the same order, so a result does not depend on the lane it was worked out in. Where a processor's registers are narrower
than a vector the compiler uses several.

To the type checker a vector is a float and a vector of answers a bool, since the sums read the same for one member.
"""

# The registrations follow Numba's extension interface: a type, its data model, typing rules and lowerings.
# mypy: disable-error-code="no-untyped-call,import-untyped"
from __future__ import annotations

import math
import operator
from collections.abc import Callable
from typing import Any, Final

import numpy as np
from llvmlite import ir
from numba.core import types
from numba.core.typing.templates import ConcreteTemplate, infer_global, signature
from numba.extending import intrinsic, lower_builtin, models, overload, register_model
from numpy.typing import NDArray

WIDTH: Final = 8
"""Members in a vector; 64 bytes, a cache line, and the widest register of common processors."""
BYTES: Final = 8 * WIDTH
_ALONE: Final = 8
"""Bytes at which a number of an array lies, wherever the array begins."""
_ROOT_HALF: Final = 0x3FE6A09E667F3BCD
"""The bits of sqrt(1/2)."""

_DOUBLE: Final = ir.DoubleType()
_LONG: Final = ir.IntType(64)
_INT: Final = ir.IntType(32)
_VECTOR: Final = ir.VectorType(_DOUBLE, WIDTH)
_WHOLE: Final = ir.VectorType(_LONG, WIDTH)
_MASK: Final = ir.VectorType(ir.IntType(1), WIDTH)


class LanesType(types.Type):
    """The compiled type of one float64 per member."""

    def __init__(self) -> None:
        super().__init__(name="Lanes")


class BitsType(types.Type):
    """The compiled type of one uint64 per member."""

    def __init__(self) -> None:
        super().__init__(name="LaneBits")


class MaskType(types.Type):
    """The compiled type of one yes or no per member."""

    def __init__(self) -> None:
        super().__init__(name="LaneMask")


class RowsType(types.Type):
    """The compiled type of a table of vectors on the stack."""

    def __init__(self) -> None:
        super().__init__(name="LaneRows")


LANES, BITS, MASK, ROWS = LanesType(), BitsType(), MaskType(), RowsType()


def _model(kind: type, held: ir.Type) -> None:
    class Model(models.PrimitiveModel):
        def __init__(self, dmm: Any, fe_type: Any) -> None:
            super().__init__(dmm, fe_type, held)

    register_model(kind)(Model)


_model(LanesType, _VECTOR)
_model(BitsType, _WHOLE)
_model(MaskType, _MASK)
_model(RowsType, ir.PointerType(_VECTOR))


def _spread(builder: Any, value: Any, vector: ir.Type) -> Any:
    """The same scalar in every lane; vectors pass."""
    if value.type == vector:
        return value
    one = builder.insert_element(ir.Constant(vector, ir.Undefined), value, ir.Constant(_INT, 0))
    zeros = ir.Constant(ir.VectorType(_INT, WIDTH), [0] * WIDTH)
    return builder.shuffle_vector(one, ir.Constant(vector, ir.Undefined), zeros)


def _operation(functions: tuple[Any, ...], kind: types.Type, scalar: types.Type, vector: ir.Type, result: types.Type,
               emit: Any) -> None:  # fmt: skip
    """Register one two-sided operation for vector with vector, vector with scalar and scalar with vector."""
    sides = [(kind, kind), (kind, scalar), (scalar, kind)]

    def lower(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        return emit(builder, *(_spread(builder, a, vector) for a in args))

    for function in functions:
        cases = [signature(result, *pair) for pair in sides]
        infer_global(function)(type("_Case", (ConcreteTemplate,), {"cases": cases}))
        for pair in sides:
            lower_builtin(function, *pair)(lower)


def _number(functions: tuple[Any, ...], emit: Any, result: types.Type = LANES) -> None:
    _operation(functions, LANES, types.float64, _VECTOR, result, emit)


_number((operator.add, operator.iadd), lambda b, x, y: b.fadd(x, y))
_number((operator.sub, operator.isub), lambda b, x, y: b.fsub(x, y))
_number((operator.mul, operator.imul), lambda b, x, y: b.fmul(x, y))
_number((operator.truediv, operator.itruediv), lambda b, x, y: b.fdiv(x, y))
_number((min,), lambda b, x, y: b.select(b.fcmp_ordered("<", x, y), x, y))
_number((max,), lambda b, x, y: b.select(b.fcmp_ordered(">", x, y), x, y))
for _function, _sign in ((operator.lt, "<"), (operator.le, "<="), (operator.gt, ">"), (operator.ge, ">=")):
    _number((_function,), lambda b, x, y, sign=_sign: b.fcmp_ordered(sign, x, y), MASK)


def _bits(functions: tuple[Any, ...], emit: Any) -> None:
    _operation(functions, BITS, types.uint64, _WHOLE, BITS, emit)


_bits((operator.add, operator.iadd), lambda b, x, y: b.add(x, y))
_bits((operator.mul, operator.imul), lambda b, x, y: b.mul(x, y))
_bits((operator.xor, operator.ixor), lambda b, x, y: b.xor(x, y))
_bits((operator.and_, operator.iand), lambda b, x, y: b.and_(x, y))
_bits((operator.rshift, operator.irshift), lambda b, x, y: b.lshr(x, y))
_operation((operator.and_, operator.iand), MASK, types.boolean, _MASK, MASK, lambda b, x, y: b.and_(x, y))
_operation((operator.or_, operator.ior), MASK, types.boolean, _MASK, MASK, lambda b, x, y: b.or_(x, y))


@infer_global(operator.getitem)
class _Get(ConcreteTemplate):
    cases = (signature(LANES, ROWS, types.intp),)


@infer_global(operator.setitem)
class _Set(ConcreteTemplate):
    cases = (signature(types.none, ROWS, types.intp, LANES), signature(types.none, ROWS, types.intp, types.float64))


@lower_builtin(operator.getitem, ROWS, types.intp)
def _get(context: Any, builder: Any, sig: Any, args: Any) -> Any:
    return builder.load(builder.gep(args[0], [args[1]]), align=BYTES)


@lower_builtin(operator.setitem, ROWS, types.intp, LANES)
@lower_builtin(operator.setitem, ROWS, types.intp, types.float64)
def _set(context: Any, builder: Any, sig: Any, args: Any) -> None:
    table, row, value = args
    builder.store(_spread(builder, value, _VECTOR), builder.gep(table, [row]), align=BYTES)


def _lanes(typing: Any, value: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        return _spread(builder, args[0], _VECTOR)

    return LANES(types.float64), emit


def _where(typing: Any, answer: Any, yes: Any, no: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        return builder.select(args[0], *(_spread(builder, a, _VECTOR) for a in args[1:]))

    return LANES(MASK, *(LANES if side is LANES else types.float64 for side in (yes, no))), emit


def _some(typing: Any, answer: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        together = ir.IntType(WIDTH)
        return builder.icmp_unsigned("!=", builder.bitcast(args[0], together), ir.Constant(together, 0))

    return types.boolean(MASK), emit


def _rows(typing: Any, number: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        with builder.goto_entry_block():
            table = builder.alloca(ir.ArrayType(_VECTOR, number.literal_value))
            table.align = BYTES
            return builder.bitcast(table, ir.PointerType(_VECTOR))

    return ROWS(number), emit


def _place(builder: Any, args: Any) -> Any:
    table, row, lane = args
    numbers = builder.bitcast(table, ir.PointerType(_DOUBLE))
    return builder.gep(numbers, [builder.add(builder.mul(row, ir.Constant(_LONG, WIDTH)), lane)])


def _take(typing: Any, table: Any, row: Any, lane: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        return builder.load(_place(builder, args))

    return types.float64(ROWS, types.intp, types.intp), emit


def _pick(typing: Any, a: Any, members: Any, column: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        array = context.make_array(sig.args[0])(context, builder, args[0])
        columns = builder.extract_value(array.shape, 1)
        found = ir.Constant(_VECTOR, ir.Undefined)
        for lane in range(WIDTH):
            row = builder.extract_element(args[1], ir.Constant(_INT, lane))
            number = builder.load(builder.gep(array.data, [builder.add(builder.mul(row, columns), args[2])]))
            found = builder.insert_element(found, number, ir.Constant(_INT, lane))
        return found

    return LANES(a, BITS, types.intp), emit


def _members(typing: Any, who: Any, first: Any, last: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        array = context.make_array(sig.args[0])(context, builder, args[0])
        found = ir.Constant(_WHOLE, ir.Undefined)
        for lane in range(WIDTH):
            at = builder.add(args[1], ir.Constant(_LONG, lane))
            at = builder.select(builder.icmp_signed("<", at, args[2]), at, args[2])
            number = builder.load(builder.gep(array.data, [at]))
            found = builder.insert_element(found, number, ir.Constant(_INT, lane))
        return found

    return BITS(who, types.intp, types.intp), emit


def _as_float(typing: Any, bits: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        return builder.uitofp(args[0], _VECTOR)

    return LANES(BITS), emit


def _power(typing: Any, shifted: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        whole = builder.add(builder.bitcast(args[0], _WHOLE), ir.Constant(_WHOLE, [1023] * WIDTH))
        return builder.bitcast(builder.shl(whole, ir.Constant(_WHOLE, [52] * WIDTH)), _VECTOR)

    return LANES(LANES), emit


def _load(typing: Any, a: Any, first: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        array = context.make_array(sig.args[0])(context, builder, args[0])
        at = builder.bitcast(builder.gep(array.data, [args[1]]), ir.PointerType(_VECTOR))
        return builder.load(at, align=_ALONE)

    return LANES(a, types.intp), emit


def _store(typing: Any, a: Any, first: Any, value: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        array = context.make_array(sig.args[0])(context, builder, args[0])
        at = builder.bitcast(builder.gep(array.data, [args[1]]), ir.PointerType(_VECTOR))
        builder.store(args[2], at, align=_ALONE)
        return context.get_dummy_value()

    return types.none(a, types.intp, LANES), emit


def _above(builder: Any, number: Any) -> tuple[Any, Any]:
    """The bits of numbers, and the powers of two they stand above a number in [sqrt(1/2), sqrt(2)), plus 1024."""
    bits = builder.bitcast(number, _WHOLE)
    from_root = builder.add(bits, ir.Constant(_WHOLE, [(1024 << 52) - _ROOT_HALF] * WIDTH))
    return bits, builder.lshr(from_root, ir.Constant(_WHOLE, [52] * WIDTH))


def _powers(typing: Any, number: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        powers = builder.bitcast(
            builder.or_(_above(builder, args[0])[1], ir.Constant(_WHOLE, [0x4330 << 48] * WIDTH)), _VECTOR
        )
        return builder.fsub(powers, ir.Constant(_VECTOR, [2.0**52 + 1024.0] * WIDTH))

    return LANES(LANES), emit


def _remains(typing: Any, number: Any) -> Any:
    def emit(context: Any, builder: Any, sig: Any, args: Any) -> Any:
        bits, powers = _above(builder, args[0])
        lifted = builder.shl(
            builder.sub(powers, ir.Constant(_WHOLE, [1024] * WIDTH)), ir.Constant(_WHOLE, [52] * WIDTH)
        )
        return builder.bitcast(builder.sub(bits, lifted), _VECTOR)

    return LANES(LANES), emit


def _inlined(lower: Any, **options: bool) -> Any:
    return intrinsic(**options)(lower) if options else intrinsic(lower)


lanes: Callable[[float], float] = _inlined(_lanes)
"""One number for every member."""
where: Callable[[bool, float, float], float] = _inlined(_where)
"""The second or the third, member by member, as the first says yes or no."""
some: Callable[[bool], bool] = _inlined(_some)
"""Whether the answer is yes for at least one member."""
rows: Callable[[int], list[float]] = _inlined(_rows, prefer_literal=True)
"""A table of so many vectors (a constant), not yet filled; it lives as long as the function that asks for it."""
take: Callable[[list[float], int, int], float] = _inlined(_take)
"""One member's number out of a row of a table: (table, row, lane)."""
members: Callable[[NDArray[np.intp], int, int], np.uint64] = _inlined(_members)
"""The members a vector is of, from one place of a list on, and past the last place that one again: (list, first place,
last place)."""
pick: Callable[[NDArray[np.float64], np.uint64, int], float] = _inlined(_pick)
"""A column of an array for the rows of some members: (array, members, column)."""
load: Callable[[NDArray[np.float64], int], float] = _inlined(_load)
"""A vector of the numbers of a row that lie one after another, from one place on: (row, first place)."""
store: Callable[[NDArray[np.float64], int, float], None] = _inlined(_store)
"""Write a vector over the numbers of a row from one place on: (row, first place, vector)."""
powers: Callable[[float], float] = _inlined(_powers)
"""The n of x = 2^n m with m in [sqrt(1/2), sqrt(2)), for x positive and normal."""
remains: Callable[[float], float] = _inlined(_remains)
"""The m of the same."""
as_float: Callable[[np.uint64], float] = _inlined(_as_float)
"""64-bit whole numbers as floats."""
two_to: Callable[[float], float] = _inlined(_power)
"""2 to the whole number left in the low bits of a float to which ``SHIFT`` was added."""

# e^x = 2^n e^r with n whole and |r| <= ln 2 / 2, e^r by its series to the thirteenth power (the next term is below
# 5e-18); adding and taking off SHIFT rounds to the nearest whole number, left in the low bits; ln 2 in two parts.
SHIFT: Final = 1.5 * 2.0**52
_PER_LN2: Final = 1.0 / math.log(2.0)
_LN2_HIGH: Final = float.fromhex("0x1.62e42fee00000p-1")
_LN2_LOW: Final = float.fromhex("0x1.a39ef35793c76p-33")
_SERIES: Final = tuple(1.0 / math.factorial(n) for n in range(14))


def exp(x: float) -> float:
    """e to the power x, to 2 units in the last place for x from -700 to 700; beyond, the value at that end."""
    return math.exp(min(700.0, max(-700.0, x)))


@overload(exp, strict=False)
def _exp(x: Any) -> Any:
    c0, c1, c2, c3, c4, c5, c6, c7, c8, c9, c10, c11, c12, c13 = _SERIES

    def compiled(x: Any) -> Any:
        y = min(max(x, -700.0), 700.0)
        t = y * _PER_LN2 + SHIFT
        n = t - SHIFT
        r = (y - n * _LN2_HIGH) - n * _LN2_LOW
        r2 = r * r
        r4 = r2 * r2
        low = (c0 + c1 * r) + (c2 + c3 * r) * r2 + ((c4 + c5 * r) + (c6 + c7 * r) * r2) * r4
        high = (c8 + c9 * r) + (c10 + c11 * r) * r2 + (c12 + c13 * r) * r4
        return (low + high * (r4 * r4)) * two_to(t)

    return compiled if isinstance(x, LanesType) else None


_THIRDS: Final = tuple(2.0 / (2 * n + 3) for n in range(11))


def log(x: float) -> float:
    """The logarithm of a positive normal number, to 2 units in the last place."""
    return math.log(x)


@overload(log, strict=False)
def _log(x: Any) -> Any:
    # log x = n ln 2 + log(1 + f), and with s = f / (2 + f) the series of 2 artanh s, whose twelfth term is below 2e-17;
    # written about f, so that what is lost near 1 is lost of a small number.
    c0, c1, c2, c3, c4, c5, c6, c7, c8, c9, c10 = _THIRDS

    def compiled(x: Any) -> Any:
        n = powers(x)
        f = remains(x) - 1.0
        s = f / (f + 2.0)
        w = s * s
        w2 = w * w
        w4 = w2 * w2
        low = (c0 + c1 * w) + (c2 + c3 * w) * w2 + ((c4 + c5 * w) + (c6 + c7 * w) * w2) * w4
        rest = w * (low + ((c8 + c9 * w) + c10 * w2) * (w4 * w4))
        half = 0.5 * f * f
        return n * _LN2_HIGH - ((half - (s * (half + rest) + n * _LN2_LOW)) - f)

    return compiled if isinstance(x, LanesType) else None
