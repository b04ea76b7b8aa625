"""Lengths of kit in a question: pads, ramps, steps and seats, with bare numbers that share a unit."""

from __future__ import annotations

import re

from assistant.figures.ask import Ask
from assistant.figures.numbers import Number

_HALF_INCH = re.compile(r"\bhalf (?:an? )?(?:in|inch)\b")
_FASTEST = 4
_EACH, _SPANS = (["a"], ["each"], ["every"], ["per"]), (["week"], ["fortnight"], ["month"], ["session"])
_LINKS = ("to", "down", "pad", "or", "versus", "vs", "and", "over", "by", "up")


def sizes(ask: Ask, longest: float = 40.0) -> list[Number]:
    """Lengths that are no stature, in text order; a bare number up to `longest` next to one shares its unit."""
    given = [n for n in ask.units("in", "cm", "mm") if n.cm < 120]
    half = _HALF_INCH.search(" ".join(w.text for w in ask.question.words))
    if half:
        at = half.string[: half.start()].count(" ")
        given = sorted([*given, Number(0.5, "in", at)], key=lambda n: n.at)
    given = sorted([*given, *_rates(ask)], key=lambda n: n.at)
    if not given:
        return []
    unit = given[0].unit
    bare = [
        n
        for n in ask.units("")
        if n.value <= longest and any(abs(n.at - g.at) <= 5 for g in given) and _joined(ask, n, given)
    ]
    return sorted([*given, *[Number(n.value, unit, n.at) for n in bare]], key=lambda n: n.at)


def _rates(ask: Ask) -> list[Number]:
    """'1 in a week': an inch a week, where 'in a' would otherwise be no unit."""
    found = []
    for n in ask.units(""):
        after = ask.words_between(n.at + n.width, n.at + n.width + 3)
        if n.value <= _FASTEST and after[:1] == ["in"] and after[1:2] in _EACH and after[2:3] in _SPANS:
            found.append(Number(n.value, "in", n.at))
    return found


def _joined(ask: Ask, number: Number, given: list[Number]) -> bool:
    """'6 down to 4 in', '6 to 4 in': the bare number before a measure."""
    after = next((g for g in given if g.at > number.at), None)
    between = ask.words_between(number.at + number.width, after.at) if after else ["-"]
    return bool(between) and all(w in _LINKS for w in between)
