"""Many small texts in one block of bytes, each decoded where it is looked at, so that opening costs the same for any size.

A block is a line with the length of the contents table, the table as JSON, and the sections. A list is its offsets and its
texts; a table is a list of `key US value` with a hash index beside it. Numbers are unsigned, 32 bits, little-endian.
"""

from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Iterator, Mapping, Sequence

from assistant.shaping import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

_US = "\x1f"
_ONE, _TWO = struct.Struct("<I"), struct.Struct("<2I")
Section = Sequence[str] | Mapping[str, str]


def build(sections: Mapping[str, Section], values: Mapping[str, Any]) -> bytes:
    """One block of lists and tables of texts, and of JSON values, which are decoded at once when it is opened."""
    contents: dict[str, list[int]] = {}
    body = bytearray()
    for name, section in sections.items():
        if isinstance(section, Mapping):
            keys = [key.encode() for key in section]
            at = _add_texts(body, [f"{key}{_US}{value}" for key, value in section.items()])
            contents[name] = [at, len(keys), _add_slots(body, keys)]
        else:
            contents[name] = [_add_texts(body, section), len(section)]
    head = json.dumps({"contents": contents, "values": values}, separators=(",", ":")).encode()
    return b"%d\n" % len(head) + head + bytes(body)


def _add_texts(body: bytearray, texts: Sequence[str]) -> int:
    at = len(body)
    offsets = [at + 4 * (len(texts) + 1)]
    encoded = [text.encode() for text in texts]
    for text in encoded:
        offsets.append(offsets[-1] + len(text))
    body += struct.pack(f"<{len(offsets)}I", *offsets) + b"".join(encoded)
    return at


def _add_slots(body: bytearray, keys: Sequence[bytes]) -> int:
    slots: list[list[int]] = [[] for _ in range(max(1, len(keys)))]
    for number, key in enumerate(keys):
        slots[zlib.crc32(key) % len(slots)].append(number)
    at, starts, order = len(body), [0], [number for slot in slots for number in slot]
    for slot in slots:
        starts.append(starts[-1] + len(slot))
    body += struct.pack(f"<{len(starts) + len(order)}I", *starts, *order)
    return at


class Pack:
    """An opened block."""

    def __init__(self, data: bytes) -> None:
        length, _, _ = data[:20].partition(b"\n")
        start = len(length) + 1
        end = start + int(length)
        head = json.loads(data[start:end])
        self._data, self._base, self._contents = data, end, head["contents"]
        self.values: Mapping[str, Any] = head["values"]

    def texts(self, name: str) -> Texts:
        """A list of texts; raises KeyError."""
        at, count = self._contents[name]
        return Texts(self._data, self._base, at, count)

    def table(self, name: str) -> Table:
        """A table of texts; raises KeyError."""
        at, count, slots = self._contents[name]
        return Table(Texts(self._data, self._base, at, count), self._data, self._base + slots)


class Texts(Sequence[str]):
    """A list of texts in a block."""

    def __init__(self, data: bytes, base: int, at: int, count: int) -> None:
        self._data, self._base, self._at, self._count = data, base, base + at, count

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(self._count))]
        start, end = self.span(range(self._count)[index])
        return self._data[start:end].decode()

    def span(self, index: int) -> tuple[int, int]:
        """Where in the block a text stands."""
        start, end = _TWO.unpack_from(self._data, self._at + 4 * index)
        return self._base + start, self._base + end


class Table(Mapping[str, str]):
    """A mapping of texts in a block, in the order in which it was built."""

    def __init__(self, texts: Texts, data: bytes, slots: int) -> None:
        self._texts, self._data, self._slots = texts, data, slots
        self._order = slots + 4 * (max(1, len(texts)) + 1)

    def __len__(self) -> int:
        return len(self._texts)

    def __iter__(self) -> Iterator[str]:
        return (text.partition(_US)[0] for text in self._texts)

    def _find(self, key: str) -> tuple[int, int] | None:
        """Where in the block the value of a key stands."""
        name = key.encode("utf-8", "surrogatepass")
        slot = zlib.crc32(name) % max(1, len(self._texts))
        first, last = _TWO.unpack_from(self._data, self._slots + 4 * slot)
        name += b"\x1f"
        for place in range(first, last):
            start, end = self._texts.span(_ONE.unpack_from(self._data, self._order + 4 * place)[0])
            if self._data.startswith(name, start):
                return start + len(name), end
        return None

    def __contains__(self, key: object) -> bool:
        return isinstance(key, str) and self._find(key) is not None

    def __getitem__(self, key: str) -> str:
        found = self._find(key)
        if found is None:
            raise KeyError(key)
        return self._data[found[0] : found[1]].decode()

    def get(self, key: str, default: Any = None) -> Any:
        """The value of a key, or the default."""
        found = self._find(key)
        return default if found is None else self._data[found[0] : found[1]].decode()
