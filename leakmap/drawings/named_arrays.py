"""A head and named arrays as bytes, and the arrays back where they lie: nothing is copied, nothing worked out.

Layout, little-endian: a mark of four bytes that says what it is, the length of the head (uint32), the head (JSON,
UTF-8, filled up with spaces), then the arrays, each at a multiple of eight bytes. The head names each array
with its type and shape, in their order.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from typing import Any, Final, TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[Any]

_ARRAYS: Final = "arrays"
_TYPES: Final = ("<f8", "<i8", "<i4", "|u1")
_STEP: Final = 8
_BEFORE: Final = 8  # bytes of the mark and of the head's length


def put_together(mark: bytes, head: Mapping[str, Any], arrays: Mapping[str, Array]) -> bytes:
    """A head and arrays as bytes; the same ones always give the same bytes.

    Args:
        mark: Four bytes.
        head: What JSON can hold; floats come back bit for bit.
        arrays: Of float64, int64, int32 or uint8.
    """
    flat = {name: np.ascontiguousarray(array, _type_of(array)) for name, array in arrays.items()}
    listed = [(name, array.dtype.str, array.shape) for name, array in flat.items()]
    text = json.dumps({**head, _ARRAYS: listed}, ensure_ascii=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % _STEP)
    parts = [mark, struct.pack("<I", len(text)), text]
    for array in flat.values():
        parts += (array.tobytes(), b"\0" * (-array.nbytes % _STEP))
    return b"".join(parts)


def taken_apart(mark: bytes, data: bytes) -> tuple[dict[str, Any], dict[str, Array]]:
    """The head, and the arrays as they lie in the bytes: they cannot be written.

    Raises:
        ValueError: The bytes have another mark, or are not whole.
    """
    if data[: len(mark)] != mark:
        raise ValueError("another mark")
    try:
        (length,) = struct.unpack_from("<I", data, len(mark))
        head = json.loads(data[_BEFORE : _BEFORE + length])
        at, arrays = _BEFORE + length, {}
        for name, kind, shape in head.pop(_ARRAYS):
            arrays[name] = _array_at(data, at, kind, shape)
            at += arrays[name].nbytes + -arrays[name].nbytes % _STEP
    except (struct.error, LookupError, TypeError, AttributeError) as error:
        raise ValueError("not whole") from error
    return head, arrays


def _type_of(array: Array) -> str:
    kind = array.dtype.newbyteorder("<").str
    assert kind in _TYPES, f"no array of {kind} is kept"
    return kind


def _array_at(data: bytes, at: int, kind: str, shape: list[int]) -> Array:
    if kind not in _TYPES or any(size < 0 for size in shape):
        raise ValueError("an array of another sort")
    count = int(np.prod(shape, dtype=np.int64))
    return np.frombuffer(data, kind, count, at).reshape(shape) if count else np.zeros(shape, kind)
