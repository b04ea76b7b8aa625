"""Askers that count or choose kit and blocks: pads of a stack, the box nearest a stair, total load of the sets, weeks of balance work."""

from __future__ import annotations

import math

from assistant.figures.ask import CUSTOM, Ask
from assistant.figures.numbers import Number
from assistant.figures.sizes import sizes
from assistant.shapes import Figure
from assistant.units import length, plain

LESINSKI = "lesinski-2015-balance-training"
_THICKEST, _STACK = 20.0, 60.0
_OTHER_COUNT = ("rungs", "weeks", "week", "sessions", "reps", "rep", "sets", "months")
_LOADS = ("kg", "lb")


def pad_count(ask: Ask) -> list[Figure]:
    """How many pads, mats or blocks of one thickness make a stack of a given height."""
    if not ask.now("pad-count") or ask.said(*_OTHER_COUNT):
        return []
    found = sorted([*sizes(ask), *_inch_each(ask)], key=lambda n: n.cm)
    if len(found) < 2:
        return []
    each, stack = found[0], found[-1]
    if not 0 < each.cm <= _THICKEST or not each.cm < stack.cm <= _STACK:
        return []
    count = math.ceil(round(stack.cm / each.cm, 3))
    unit = stack.unit or each.unit
    made = count * each.cm
    rest = "" if abs(made - stack.cm) < 0.1 else (
        f" That stands {length(made, unit)} high; {count - 1} stand{'s' if count == 2 else ''} {length(made - each.cm, unit)}."
    )  # fmt: skip
    sentence = (
        f"{count} pads of {length(each.cm, unit)} make the {length(stack.cm, unit)} stack.{rest} "
        "Foam sinks: measure with the knee on it and add one if it sits low."
    )
    inputs = {"each_cm": each.cm, "stack_cm": stack.cm}
    return [Figure("pad-count", float(count), "pads", CUSTOM, sentence, None, inputs)]


def _inch_each(ask: Ask) -> list[Number]:
    """'1 in each': an inch each, where 'in each' would otherwise be no unit."""
    bare = [n for n in ask.units("") if n.value <= 8]
    return [
        Number(n.value, "in", n.at)
        for n in bare
        if ask.words_between(n.at + n.width, n.at + n.width + 2) == ["in", "each"]
    ]


def nearest_step(ask: Ask) -> list[Figure]:
    """The client's own stair in both units, and which of the studio's boxes comes nearest to it."""
    if not ask.now("nearest-size"):
        return []
    found = [n for n in ask.numbers if n.unit in ("in", "cm", "mm", "") and n.value != ask.age and n.cm <= _STACK]
    given = next((n for n in found if n.unit), None)
    if given is None:
        return []
    named = next(
        (n for n in found if n.unit and ask.near(n, "stair", "stairs", "riser", "home", before=5, after=3)), given
    )
    others = [n for n in found if n is not named]
    if not others:
        return []
    unit = next((n.unit for n in reversed(others) if n.unit), "")
    boxes = sorted((Number(n.value, n.unit or unit, n.at) for n in others), key=lambda n: n.cm)
    near = min(boxes, key=lambda n: abs(n.cm - named.cm))
    gap = near.cm - named.cm
    tail = (
        "the same height" if abs(gap) < 0.3 else
        f"{length(abs(gap), near.unit or 'cm')} {'higher' if gap > 0 else 'lower'} than the stair"
    )  # fmt: skip
    extra = " Practise the last bit on the stair itself, rail in hand." if gap < -0.3 else ""
    sentence = f"The stair is {length(named.cm, named.unit)}; the nearest box is {length(near.cm, near.unit or 'cm')}, {tail}.{extra}"
    inputs = {"stair_cm": named.cm, "box_cm": near.cm}
    return [Figure("step-height", named.cm, "cm", CUSTOM, sentence, None, inputs)]


def volume_load(ask: Ask) -> list[Figure]:
    """Sets x repetitions x load, and what the total is good for."""
    last = ask.last("volume-load")
    follow = last is not None and ask.short and bool(ask.numbers)
    if not ask.now("volume-load") and not follow:
        return []
    weights = ask.units(*_LOADS)
    counts = [n for n in ask.units("sets", "reps", "x", "", "times") if n.value != ask.age and n.value == int(n.value)]
    unit = weights[0].unit if weights else "kg"
    if last is not None and follow and len(counts) < 2:
        told = {n.unit: n.value for n in counts}
        weights = weights or [n for n in ask.units("") if ask.near(n, "with", "at", before=1, after=0)]
        sets, reps = told.get("sets", last.inputs["sets"]), told.get("reps", last.inputs["reps"])
        load = weights[0].value if weights else last.inputs["load"]
        unit = weights[0].unit if weights and weights[0].unit else last.unit
    elif len(counts) >= 2 and (weights or len(counts) >= 3):
        sets = next((n.value for n in counts if n.unit == "sets"), counts[0].value)
        reps = next(n.value for n in counts[:2] if n.value != sets or n is counts[1])
        load = weights[0].value if weights else counts[2].value
    else:
        return []
    if not 1 <= sets <= 20 or not 1 <= reps <= 100:
        return []
    total = sets * reps * load
    sentence = (
        f"{plain(sets)} sets x {plain(reps)} reps x {plain(load)} {unit} = {plain(total)} {unit} of volume load. Compare it only with "
        "the same lift at the same depth and support, week against week; it tells nothing of effort."
    )
    inputs = {"sets": sets, "reps": reps, "load": load}
    return [Figure("volume-load", total, unit, CUSTOM, sentence, None, inputs)]


def balance_block(ask: Ask) -> list[Figure]:
    """Weeks, sessions and minutes of the balance blocks that gained most in healthy people of 65 and over."""
    if not ask.now("balance-block"):
        return []
    sentence = (
        "Balance blocks that gained most in healthy older people: 11 to 12 weeks, 3 sessions a week, 31 to 45 minutes each, 91 to "
        "120 minutes a week. Afterwards keep some going: gains fade."
    )
    return [
        Figure("balance-weeks", 11.5, "weeks", (LESINSKI,), sentence, (11.0, 12.0)),
        Figure("balance-sessions", 3.0, "sessions", (LESINSKI,)),
        Figure("balance-minutes-week", 105.5, "min", (LESINSKI,), "", (91.0, 120.0)),
    ]
