"""Lists and mappings that are kept as text and parsed where they are looked at, so that start-up stays short."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Generic, TypeVar, overload

T = TypeVar("T")


class LazyList(Sequence[T], Generic[T]):
    """A list of texts, each parsed once when first asked for."""

    def __init__(self, raw: Sequence[str], parse: Callable[[str], T]) -> None:
        self._raw, self._parse = raw, parse
        self._made: dict[int, T] = {}

    def __len__(self) -> int:
        return len(self._raw)

    @overload
    def __getitem__(self, index: int) -> T: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[T]: ...
    def __getitem__(self, index: int | slice) -> T | Sequence[T]:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        if index not in self._made:
            self._made[index] = self._parse(self._raw[index])
        return self._made[index]


class LazyMap(Mapping[str, T], Generic[T]):
    """A mapping of texts, each parsed once when first asked for."""

    def __init__(self, raw: Mapping[str, str], parse: Callable[[str], T]) -> None:
        self._raw, self._parse = raw, parse
        self._made: dict[str, T] = {}

    def __len__(self) -> int:
        return len(self._raw)

    def __iter__(self) -> Iterator[str]:
        return iter(self._raw)

    def __contains__(self, key: object) -> bool:
        return key in self._raw

    def __getitem__(self, key: str) -> T:
        if key not in self._made:
            self._made[key] = self._parse(self._raw[key])
        return self._made[key]


class WordSet:
    """A set of words kept as one block of text."""

    def __init__(self, block: str) -> None:
        self._block = f"\n{block}\n"

    def __contains__(self, word: object) -> bool:
        return f"\n{word}\n" in self._block
