"""What is used in coarse steps of one byte, for 64 cells at once: a first bound of what an azimuth uses."""

from __future__ import annotations

from collections.abc import Callable

from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic, models, register_model

from siting.screening.compiled import part
from siting.screening.lanes import WIDE, address, choose, lanes, less, like, smaller

BLOCK = 64  # cells whose bytes are looked at together
# Steps of a utilisation: PER_ONE to 1, then coarser; a value above 1 is always over the step of 1.
PER_ONE, ABOVE_ONE, MOST = 200.0, 5.0, 254.0
NO_GROUND = 255
_BYTES = ir.VectorType(ir.IntType(8), BLOCK)
_EIGHT = ir.VectorType(ir.IntType(8), WIDE)


class BytesType(types.Type):
    """Sixty-four bytes in one register."""

    def __init__(self):
        super().__init__(name="Bytes64")


block = BytesType()


@register_model(BytesType)
class BytesModel(models.PrimitiveModel):
    """LLVM's <64 x i8>."""

    def __init__(self, manager, fe_type):
        super().__init__(manager, fe_type, _BYTES)


@part
def step_of(used):
    """The step that a utilisation reaches, not yet rounded down: where one is no less than another its step is none less."""
    above = smaller(like(used, MOST), (used - 1.0) * ABOVE_ONE + (PER_ONE + 1.0))
    return choose(less(like(used, 1.0), used), above, used * PER_ONE)


def _memory(kind: ir.VectorType) -> Callable:
    """The place of bytes in uint8 memory."""
    return lambda builder, args: builder.bitcast(address(builder, args), kind.as_pointer())


_block_at, _eight_at = _memory(_BYTES), _memory(_EIGHT)


@intrinsic
def load_block(typing, array, index):
    """Sixty-four neighbours in uint8 memory from this index on."""

    def generate(context, builder, signature, args):
        return builder.load(_block_at(builder, args), align=1)

    return block(array, types.intp), generate


@intrinsic
def store_block(typing, array, index, value):
    """Writes sixty-four bytes into uint8 memory from this index on."""

    def generate(context, builder, signature, args):
        builder.store(args[2], _block_at(builder, args), align=1)
        return context.get_dummy_value()

    return types.void(array, types.intp, block), generate


@intrinsic
def store_steps(typing, array, index, value):
    """Writes eight steps, rounded down, into uint8 memory from this index on."""

    def generate(context, builder, signature, args):
        whole = builder.fptosi(args[2], ir.VectorType(ir.IntType(32), WIDE))
        builder.store(builder.trunc(whole, _EIGHT), _eight_at(builder, args), align=1)
        return context.get_dummy_value()

    return types.void(array, types.intp, lanes), generate


@intrinsic
def higher(typing, left, right):
    """The higher byte of each two."""

    def generate(context, builder, signature, args):
        return builder.select(builder.icmp_unsigned(">", *args), *args)

    return block(block, block), generate


@intrinsic
def not_above(typing, value, most):
    """The bytes that are not above a number, as the bits of a uint64."""

    def generate(context, builder, signature, args):
        nothing, first = ir.Constant(_BYTES, ir.Undefined), ir.Constant(ir.IntType(32), 0)
        one = builder.insert_element(nothing, builder.trunc(args[1], ir.IntType(8)), first)
        limit = builder.shuffle_vector(one, nothing, ir.Constant(ir.VectorType(ir.IntType(32), BLOCK), [0] * BLOCK))
        return builder.bitcast(builder.icmp_unsigned("<=", args[0], limit), ir.IntType(BLOCK))

    return types.uint64(block, types.int64), generate


@intrinsic
def eight_not_above(typing, array, index, other, place):
    """Which of eight bytes are not above those of another place, as bits."""

    def generate(context, builder, signature, args):
        left, right = (builder.load(_eight_at(builder, pair), align=1) for pair in (args[:2], args[2:]))
        found = builder.bitcast(builder.icmp_unsigned("<=", left, right), ir.IntType(WIDE))
        return builder.zext(found, ir.IntType(64))

    return types.int64(array, types.intp, other, types.intp), generate


@intrinsic
def which(typing, value):
    """The bytes that are not nought, as the bits of a uint64."""

    def generate(context, builder, signature, args):
        found = builder.icmp_unsigned("!=", args[0], cgutils.get_null_value(_BYTES))
        return builder.bitcast(found, ir.IntType(BLOCK))

    return types.uint64(block), generate
