"""Dataclasses that cost next to nothing at start-up: the methods of a class are written when one is first made.

The standard decorator writes and compiles up to six methods for each class, and its module imports `inspect`; together
that is a third of the time of a short run. A type checker sees the standard decorator; at run time `dataclasses.fields`,
`replace` and `asdict` work as ever.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass as dataclass
    from dataclasses import field as field
    from dataclasses import replace as replace
    from typing import Any
else:

    def dataclass(cls=None, /, *, frozen=False):
        """Make a class of the fields its annotations name, as `dataclasses.dataclass` does."""
        return _shaped(cls, frozen) if cls is not None else lambda each: _shaped(each, frozen)

    def field(*, default=None, default_factory=None, repr=True):
        """A field with a default made anew for each object, or one that its `repr` leaves out."""
        return _Field(default, default_factory, repr)

    def replace(item, **changes):
        """A copy with some fields changed."""
        return type(item)(**{name: getattr(item, name) for name in item.__match_args__} | changes)


_FACTORY: Any = object()


class _Field:
    def __init__(self, default: Any, factory: Callable[[], Any] | None, shown: bool) -> None:
        self.default, self.factory, self.shown = default, factory, shown


class _Fields:
    """What the standard module asks a dataclass for, made from a standard twin of the class when it asks."""

    def __init__(self, names: dict[str, Any], given: dict[str, Any]) -> None:
        self.names, self.given = names, given

    def __get__(self, item: Any, owner: type) -> Any:
        import dataclasses

        space: dict[str, Any] = {"__annotations__": self.names, "__module__": owner.__module__}
        for name, value in self.given.items():
            if isinstance(value, _Field) and value.factory is not None:
                space[name] = dataclasses.field(default_factory=value.factory, repr=value.shown)
            elif isinstance(value, _Field):
                space[name] = dataclasses.field(default=value.default, repr=value.shown)
            else:
                space[name] = value
        fields = dataclasses.dataclass(type(owner.__name__, (), space)).__dataclass_fields__  # type: ignore[attr-defined]
        owner.__dataclass_fields__ = fields  # type: ignore[attr-defined]
        return fields


def _shaped(cls: Any, frozen: bool) -> Any:
    names = dict(cls.__annotations__)
    given = {name: cls.__dict__[name] for name in names if name in cls.__dict__}
    for name, value in given.items():
        if isinstance(value, _Field):
            if value.factory is None:
                setattr(cls, name, value.default)
            else:
                delattr(cls, name)
    cls.__match_args__ = tuple(names)  # type: ignore[misc]
    cls.__dataclass_fields__ = _Fields(names, given)

    made: list[Any] = []

    def first(self: Any, *args: Any, **kwargs: Any) -> None:
        if made or not _filled(self, args, kwargs, given):
            cls.__init__ = _written(cls.__qualname__, tuple(names), given, frozen)
            cls.__init__(self, *args, **kwargs)
        made.append(None)

    cls.__init__, cls.__eq__ = first, _equal
    if "__repr__" not in cls.__dict__:
        cls.__repr__ = _shown(given)
    cls.__hash__ = _hashed if frozen else None
    if frozen:
        cls.__setattr__ = cls.__delattr__ = _refused
    return cls


def _filled(item: Any, args: tuple[Any, ...], kwargs: dict[str, Any], given: dict[str, Any]) -> bool:
    """Fill the first object of a class, for which no `__init__` is worth writing; False when the arguments do not fit."""
    names = item.__match_args__
    values = dict(zip(names, args))  # noqa: B905 - checked below
    if len(args) > len(names) or not kwargs.keys().isdisjoint(values):
        return False
    values |= kwargs
    for name, value in given.items():
        if name not in values:
            of_field = isinstance(value, _Field)
            values[name] = value.factory() if of_field and value.factory else value.default if of_field else value
    if values.keys() != set(names):
        return False
    for name in names:
        object.__setattr__(item, name, values[name])
    return True


def _written(owner: str, names: tuple[str, ...], given: dict[str, Any], frozen: bool) -> Any:
    """The `__init__` of a class."""
    space: dict[str, Any] = {"_FACTORY": _FACTORY, "_set": object.__setattr__}
    head, body = ["self"], []
    for name in names:
        value = given.get(name, _FACTORY)
        made = isinstance(value, _Field) and value.factory is not None
        if name in given:
            space[f"_{name}"] = value.factory if made else value.default if isinstance(value, _Field) else value
        head.append(name if name not in given else f"{name}=_FACTORY" if made else f"{name}=_{name}")
        told = f"_{name}() if {name} is _FACTORY else {name}" if made else name
        body.append(f" _set(self, {name!r}, {told})" if frozen else f" self.{name} = {told}")
    exec(f"def __init__({', '.join(head)}):\n" + "\n".join(body or [" pass"]), space)
    init = space["__init__"]
    init.__qualname__ = f"{owner}.__init__"
    return init


def _values(item: Any) -> tuple[Any, ...]:
    return tuple(getattr(item, name) for name in item.__match_args__)


def _equal(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    for name in self.__match_args__:  # most unequal ones differ in their first fields
        mine, its = getattr(self, name), getattr(other, name)
        if mine is not its and mine != its:
            return False
    return True


def _hashed(self: Any) -> int:
    return hash(_values(self))


def _shown(given: dict[str, Any]) -> Callable[[Any], str]:
    hidden = {name for name, value in given.items() if isinstance(value, _Field) and not value.shown}

    def __repr__(self: Any) -> str:
        told = (f"{name}={getattr(self, name)!r}" for name in self.__match_args__ if name not in hidden)
        return f"{type(self).__qualname__}({', '.join(told)})"

    return __repr__


def _refused(self: Any, name: str, value: Any = None) -> None:
    from dataclasses import FrozenInstanceError

    raise FrozenInstanceError(f"cannot change field {name!r}")
