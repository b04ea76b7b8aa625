"""Many small texts in one block of bytes, each decoded where it is looked at, so that opening costs the same for any size.

A block is a line with the length of the contents table, the table as JSON, and the sections. A list is its offsets and its
texts. A table is the offsets of its slots and the records in each: `key US value`, parted by RS. Numbers are unsigned, 32
bits, little-endian.
"""

from __future__ import annotations

import json
import struct
import zlib
from collections.abc import Iterator, Mapping, Sequence

from assistant.shaping import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    Section = Sequence[str] | Mapping[str, str]
    Read = Callable[[int, int], bytes]

_US, _RS = b"\x1f", b"\x1e"
_TWO = struct.Struct("<2I")
_FIRST = 64  # bytes in which the line with the length ends


def build(sections: Mapping[str, Section], values: Mapping[str, Any]) -> bytes:
    """One block of lists and tables of texts, and of JSON values, which are decoded at once when it is opened."""
    contents: dict[str, list[int]] = {}
    body = bytearray()
    for name, section in sections.items():
        contents[name] = [len(body), len(section)]
        if isinstance(section, Mapping):
            slots: list[list[bytes]] = [[] for _ in range(max(1, len(section)))]
            for key, value in section.items():
                slots[_slot(key.encode(), len(slots))].append(key.encode() + _US + value.encode())
            _add(body, [_RS.join(records) for records in slots])
        else:
            _add(body, [text.encode() for text in section])
    head = json.dumps({"contents": contents, "values": values}, separators=(",", ":")).encode()
    return b"%d\n" % len(head) + head + bytes(body)


def _add(body: bytearray, pieces: Sequence[bytes]) -> None:
    offsets = [len(body) + 4 * (len(pieces) + 1)]
    for piece in pieces:
        offsets.append(offsets[-1] + len(piece))
    body += struct.pack(f"<{len(offsets)}I", *offsets) + b"".join(pieces)


def _slot(key: bytes, slots: int) -> int:
    return zlib.crc32(key) % slots


class Pack:
    """An opened block; `read` gives the bytes from one place to another. Raises ValueError or KeyError when it is none."""

    def __init__(self, read: Read) -> None:
        length, _, _ = read(0, _FIRST).partition(b"\n")
        start = len(length) + 1
        end = start + int(length)
        head = json.loads(read(start, end))
        self._read, self._base, self._contents = read, end, head["contents"]
        self.values: Mapping[str, Any] = head["values"]

    def texts(self, name: str) -> Texts:
        """A list of texts; raises KeyError."""
        return Texts(self._pieces(name), self._contents[name][1])

    def table(self, name: str) -> Table:
        """A table of texts; raises KeyError."""
        return Table(self._pieces(name), self._contents[name][1])

    def _pieces(self, name: str) -> Callable[[int], bytes]:
        """Gives the pieces of a section by number."""
        read, base = self._read, self._base
        at = base + self._contents[name][0]

        def piece(number: int) -> bytes:
            start, end = _TWO.unpack(read(at + 4 * number, at + 4 * number + 8))
            return read(base + start, base + end) if start < end else b""

        return piece


class Texts(Sequence[str]):
    """A list of texts in a block."""

    def __init__(self, piece: Callable[[int], bytes], count: int) -> None:
        self._piece, self._count = piece, count

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(self._count))]
        return self._piece(range(self._count)[index]).decode()


class Table(Mapping[str, str]):
    """A mapping of texts in a block; its keys come in no order that means anything."""

    def __init__(self, piece: Callable[[int], bytes], count: int) -> None:
        self._piece, self._count = piece, count
        self._slots = max(1, count)

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[str]:
        for slot in range(self._slots):
            records = self._piece(slot)
            if records:
                yield from (record.partition(_US)[0].decode() for record in records.split(_RS))

    def _find(self, key: str) -> bytes | None:
        name = key.encode("utf-8", "surrogatepass")
        records = self._piece(_slot(name, self._slots))
        if not records:
            return None
        name += _US
        for record in records.split(_RS):
            if record.startswith(name):
                return record[len(name) :]
        return None

    def __contains__(self, key: object) -> bool:
        return isinstance(key, str) and self._find(key) is not None

    def __getitem__(self, key: str) -> str:
        found = self._find(key)
        if found is None:
            raise KeyError(key)
        return found.decode()

    def get(self, key: str, default: Any = None) -> Any:
        """The value of a key, or the default."""
        found = self._find(key)
        return default if found is None else found.decode()
