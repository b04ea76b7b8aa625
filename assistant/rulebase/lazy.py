"""Lists and mappings that are kept as text and parsed where they are looked at, so that start-up stays short."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from assistant.shaping import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any, TypeVar

    T = TypeVar("T")
_UNSEEN: Any = object()
_MISSES = 20_000  # names looked for in vain that are remembered


class LazyList(Sequence["T"]):
    """A list of texts, each parsed once when first asked for."""

    def __init__(self, raw: Sequence[str], parse: Callable[[str], T]) -> None:
        self._raw, self._parse = raw, parse
        self._made: dict[int, T] = {}

    def __len__(self) -> int:
        return len(self._raw)

    def __getitem__(self, index: Any) -> Any:
        try:
            return self._made[index]
        except (KeyError, TypeError):
            if isinstance(index, slice):
                return [self[i] for i in range(*index.indices(len(self)))]
        made = self._made[index] = self._parse(self._raw[index])
        return made


class LazyMap(Mapping[str, "T"]):
    """A mapping of texts, each parsed once when first asked for; `names` gives the order of its keys. No value is None."""

    def __init__(self, raw: Mapping[str, str], parse: Callable[[str], T], names: Sequence[str] | None = None) -> None:
        self._raw, self._parse = raw, parse
        self._names = raw if names is None else names
        self._made: dict[str, T | None] = {}
        self._most = len(raw) + _MISSES

    def __len__(self) -> int:
        return len(self._raw)

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __contains__(self, key: object) -> bool:
        return isinstance(key, str) and self.get(key) is not None

    def __getitem__(self, key: str) -> T:
        made: T | None = self.get(key)
        if made is None:
            raise KeyError(key)
        return made

    def get(self, key: str, default: Any = None) -> Any:
        """The value of a key, or the default."""
        made = self._made.get(key, _UNSEEN)
        if made is _UNSEEN:
            text = self._raw.get(key)
            if len(self._made) > self._most:
                self._made.clear()
            made = self._made[key] = None if text is None else self._parse(text)
        return default if made is None else made
