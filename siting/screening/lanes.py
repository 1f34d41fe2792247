"""Eight cells at once: a value of 8 doubles for numba, with the few operations that the search needs.

Every operation is the processor's own IEEE one on each of the eight, so a cell's numbers are the same alone or in
company, and on every instruction set: nothing is contracted or reordered.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable

from llvmlite import ir
from numba import njit, types
from numba.core import cgutils
from numba.extending import intrinsic, models, overload, register_model

WIDE = 8
_VECTOR = ir.VectorType(ir.DoubleType(), WIDE)


class LanesType(types.Type):
    """Eight doubles in one register."""

    def __init__(self):
        super().__init__(name="Lanes8xf64")


lanes = LanesType()


@register_model(LanesType)
class LanesModel(models.PrimitiveModel):
    """LLVM's <8 x double>."""

    def __init__(self, manager, fe_type):
        super().__init__(manager, fe_type, _VECTOR)


@intrinsic
def pointer(typing, array):
    """The bare memory of a contiguous array.

    Numba counts who holds an array at each call of a function, which would cost more than the search itself: kernels
    hand bare memory on, and the outermost function holds the arrays.
    """

    def generate(context, builder, signature, args):
        return context.make_array(signature.args[0])(context, builder, args[0]).data

    return types.CPointer(array.dtype)(array), generate


def address(builder, args):
    """The address of an element of bare memory."""
    return builder.gep(args[0], [args[1]])


def _splat(builder, value):
    """One double in all eight places."""
    nothing, first = ir.Constant(_VECTOR, ir.Undefined), ir.Constant(ir.IntType(32), 0)
    mask = ir.Constant(ir.VectorType(ir.IntType(32), WIDE), [0] * WIDE)
    return builder.shuffle_vector(builder.insert_element(nothing, value, first), nothing, mask)


@intrinsic
def load(typing, array, index):
    """Eight neighbours in float64 memory from this index on."""

    def generate(context, builder, signature, args):
        pointer = builder.bitcast(address(builder, args), _VECTOR.as_pointer())
        return builder.load(pointer, align=8)

    return lanes(array, types.intp), generate


@intrinsic
def store(typing, array, index, value):
    """Writes the eight into float64 memory from this index on."""

    def generate(context, builder, signature, args):
        pointer = builder.bitcast(address(builder, args), _VECTOR.as_pointer())
        builder.store(args[2], pointer, align=8)
        return context.get_dummy_value()

    return types.void(array, types.intp, lanes), generate


@intrinsic
def at(typing, array, index):
    """One element of bare memory."""

    def generate(context, builder, signature, args):
        return builder.load(address(builder, args))

    return array.dtype(array, types.intp), generate


@intrinsic
def put(typing, array, index, value):
    """Writes one element of bare memory."""

    def generate(context, builder, signature, args):
        builder.store(args[2], address(builder, args))
        return context.get_dummy_value()

    return types.void(array, types.intp, array.dtype), generate


@intrinsic
def splat(typing, value):
    """One double in all eight places."""

    def generate(context, builder, signature, args):
        return _splat(builder, args[0])

    return lanes(types.float64), generate


def _two(make: Callable) -> Callable:
    """An operation of two values of eight."""

    def typed(typing, left, right):
        def generate(context, builder, signature, args):
            return make(builder, *args)

        return lanes(lanes, lanes), generate

    return intrinsic(typed)


_add, _subtract = _two(lambda b, x, y: b.fadd(x, y)), _two(lambda b, x, y: b.fsub(x, y))
_multiply, _divide = _two(lambda b, x, y: b.fmul(x, y)), _two(lambda b, x, y: b.fdiv(x, y))
_larger = _two(lambda b, x, y: b.select(b.fcmp_ordered(">", y, x), y, x))
_smaller = _two(lambda b, x, y: b.select(b.fcmp_ordered("<", y, x), y, x))


def _operator(symbol: Callable, made: Callable) -> None:
    """Lets numba write a + b for eight, and with a double beside it."""

    @overload(symbol)
    def both(left, right):
        if isinstance(left, LanesType) and isinstance(right, LanesType):
            return lambda left, right: made(left, right)
        if isinstance(left, LanesType) and isinstance(right, types.Float):
            return lambda left, right: made(left, splat(right))
        if isinstance(left, types.Float) and isinstance(right, LanesType):
            return lambda left, right: made(splat(left), right)
        return None


for _symbol, _made in ((operator.add, _add), (operator.sub, _subtract), (operator.mul, _multiply), (operator.truediv, _divide)):
    _operator(_symbol, _made)


@intrinsic
def _fused(typing, left, right, added):
    """left * right + added, rounded once where the processor can: only for bounds, never for a result."""

    def generate(context, builder, signature, args):
        function = cgutils.get_or_insert_function(builder.module, ir.FunctionType(_VECTOR, [_VECTOR] * 3), f"llvm.fmuladd.v{WIDE}f64")
        return builder.call(function, args)

    return lanes(lanes, lanes, lanes), generate


@njit
def fused(left, right, added):
    """Eight times a double, plus eight: as `_fused`."""
    return _fused(left, splat(right), added)


@intrinsic
def _root(typing, value):
    """Eight square roots."""

    def generate(context, builder, signature, args):
        function = cgutils.get_or_insert_function(builder.module, ir.FunctionType(_VECTOR, [_VECTOR]), f"llvm.sqrt.v{WIDE}f64")
        return builder.call(function, args)

    return lanes(lanes), generate


def _bits(compare: str) -> Callable:
    """A comparison of eight with eight: bit i of the result tells of cell i; never true of NaN."""

    def typed(typing, left, right):
        def generate(context, builder, signature, args):
            found = builder.fcmp_ordered(compare, *args)
            return builder.zext(builder.bitcast(found, ir.IntType(WIDE)), ir.IntType(64))

        return types.int64(lanes, lanes), generate

    return intrinsic(typed)


_less, _equal = _bits("<"), _bits("==")


@intrinsic
def _choose(typing, bits, yes, no):
    """`yes` where the bit is set, else `no`."""

    def generate(context, builder, signature, args):
        mask = builder.bitcast(builder.trunc(args[0], ir.IntType(WIDE)), ir.VectorType(ir.IntType(1), WIDE))
        return builder.select(mask, args[1], args[2])

    return lanes(types.int64, lanes, lanes), generate


# The operations that rules are written in: of one double in plain Python and in numba, and of eight in numba. One text
# of a rule is compiled for both, so that a cell's number is the same alone and among eight.


def root(value):
    """Square root."""
    return math.sqrt(value)


def larger(left, right):
    """`right` where it is larger, else `left`: NaN on the right is passed over."""
    return right if right > left else left


def smaller(left, right):
    """`right` where it is smaller, else `left`: NaN on the right is passed over."""
    return right if right < left else left


def less(left, right):
    """Where left < right: a bit for each cell; never true of NaN."""
    return 1 if left < right else 0


def equal(left, right):
    """Where both are the same: a bit for each cell; never true of NaN."""
    return 1 if left == right else 0


def choose(bits, yes, no):
    """`yes` where the bit is set, else `no`."""
    return yes if bits & 1 else no


def like(value, number):
    """The number, as often as the value holds cells."""
    return number


def fetch(array, index, value):
    """Element `index` of an array that holds one double, or eight, for each index."""
    return array[index]


def keep(array, index, value):
    """Writes one double, or eight, as element `index` of such an array."""
    array[index] = value


def cells(array, index, value):
    """Element `index` of a raster, or it and its seven neighbours to the right."""
    return array[index]


@overload(root)
def _root_of(value):
    return (lambda value: _root(value)) if isinstance(value, LanesType) else (lambda value: math.sqrt(value))


def _of_two(plain: Callable, made: Callable, scalar: Callable) -> None:
    """Compiles an operation of two values for eight, or for one double."""

    @overload(plain)
    def typed(left, right):
        return (lambda left, right: made(left, right)) if isinstance(left, LanesType) else scalar


_of_two(larger, _larger, lambda left, right: right if right > left else left)
_of_two(smaller, _smaller, lambda left, right: right if right < left else left)
_of_two(less, _less, lambda left, right: 1 if left < right else 0)
_of_two(equal, _equal, lambda left, right: 1 if left == right else 0)


@overload(choose)
def _choose_of(bits, yes, no):
    if isinstance(yes, LanesType):
        return lambda bits, yes, no: _choose(bits, yes, no)
    return lambda bits, yes, no: yes if bits & 1 else no


@overload(like)
def _like_of(value, number):
    return (lambda value, number: splat(number)) if isinstance(value, LanesType) else (lambda value, number: number)


@overload(fetch)
def _fetch_of(array, index, value):
    if isinstance(value, LanesType):
        return lambda array, index, value: load(array, WIDE * index)
    return lambda array, index, value: at(array, index)


@overload(keep)
def _keep_of(array, index, value):
    if isinstance(value, LanesType):
        return lambda array, index, value: store(array, WIDE * index, value)
    return lambda array, index, value: put(array, index, value)


@overload(cells)
def _cells_of(array, index, value):
    if isinstance(value, LanesType):
        return lambda array, index, value: load(array, index)
    return lambda array, index, value: at(array, index)


@intrinsic
def largest(typing, value):
    """The largest of the eight, a double; there must be no NaN."""

    def generate(context, builder, signature, args):
        most = builder.extract_element(args[0], ir.Constant(ir.IntType(32), 0))
        for place in range(1, WIDE):
            one = builder.extract_element(args[0], ir.Constant(ir.IntType(32), place))
            most = builder.select(builder.fcmp_ordered(">", one, most), one, most)
        return most

    return types.float64(lanes), generate
