"""The light dataclasses behave like the standard ones, of which every check here takes a twin."""

from __future__ import annotations

import dataclasses

import pytest

from assistant import shaping


def _pair(**options: bool) -> tuple[type, type]:
    """The same class by the light and by the standard decorator."""

    def made(decorate, field) -> type:  # type: ignore[no-untyped-def]
        class Point:
            x: int
            y: int = 2
            tags: list[str] = field(default_factory=list)
            hidden: int = field(default=0, repr=False)

        Point.__qualname__ = "Point"
        return decorate(Point, **options)  # type: ignore[no-any-return]

    return made(shaping.dataclass, shaping.field), made(dataclasses.dataclass, dataclasses.field)


@pytest.mark.parametrize("frozen", [False, True])
def test_made_shown_compared_and_copied_alike(frozen: bool) -> None:
    light, standard = _pair(frozen=frozen)
    for args, names in (((1,), {}), ((1, 3, ["a"]), {}), ((), {"x": 5, "hidden": 7})):
        one, other = light(*args, **names), standard(*args, **names)
        assert repr(one) == repr(other)
        assert dataclasses.asdict(one) == dataclasses.asdict(other)
        assert one == light(*args, **names) and one != light(99) and one != other
        assert (
            repr(dataclasses.replace(one, y=8))
            == repr(shaping.replace(one, y=8))
            == repr(dataclasses.replace(other, y=8))
        )
    assert light(1).tags is not light(1).tags
    assert [f.name for f in dataclasses.fields(light)] == [f.name for f in dataclasses.fields(standard)]


@pytest.mark.parametrize(("args", "names"), [((), {}), ((1, 2, [], 0, 9), {}), ((1,), {"z": 1}), ((1,), {"x": 1})])
def test_wrong_arguments_are_refused(args: tuple[int, ...], names: dict[str, int]) -> None:
    for kind in _pair():
        with pytest.raises(TypeError):
            kind(*args, **names)


def test_frozen_ones_do_not_change_and_can_be_keys() -> None:
    light, _ = _pair(frozen=True)
    point = light(1, tags=())
    with pytest.raises(dataclasses.FrozenInstanceError):
        point.x = 2
    assert {point: "a"}[light(1, tags=())] == "a"
    with pytest.raises(TypeError):
        hash(_pair()[0](1))
