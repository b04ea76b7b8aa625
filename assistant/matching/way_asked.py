"""From where to where a question asks for a way: states on the ladders on both sides of its "to"."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Axis, Ladder
from assistant.shapes import Question, Span
from assistant.units import CM_PER_IN

Levels = dict[str, str]
_TOWARDS = (
    "to",
    "towards",
    "toward",
    "into",
    "onto",
    "until",
    "till",
    "wants",
    "want",
    "goal",
    "aim",
    "reach",
    "then",
    "end",
)
_NOUNS = {
    "height": ("step", "box", "stair", "riser"), "pad": ("pad", "foam", "floor"), "ramp": ("ramp", "wedge"),
    "seat": ("seat", "chair", "stool", "box"),
}  # fmt: skip
_NEAR = 4
_CLOSE_CM = 1.0
_DENIED = 3
_NO = ("no", "without", "havent", "dont", "lack", "lacking", "missing", "not", "isnt", "minus", "arent")


def asked_way(question: Question, rulebase: Rulebase) -> tuple[str, Levels, str, Levels] | None:
    """(movement, present levels, movement to reach, levels to reach), or None when no goal is told.

    Levels before the dividing word ("to", "goal", ...) are the present ones, those after it the goal. A step, pad or
    seat in inches or centimetres is the rung within 1 cm of it.
    """
    subjects = rulebase.knowledge.subjects
    movements = [m for m in question.movements if subjects[m].ladder is not None]
    if not movements:
        return None
    named = {m.id: m.span for m in question.mentions if m.kind == "movement"}
    origin, target = movements[0], movements[-1] if len(movements) > 1 else movements[0]
    ladder = subjects[target].ladder
    if ladder is None:
        return None
    told = sorted(_told(question, rulebase, target, ladder))
    covered = {i for low, high in named.values() for i in range(low, high)}
    split = _split(question, [at for at, _, _ in told], covered)
    here = {axis: level for at, axis, level in reversed(told) if at < split}
    goal = {axis: level for at, axis, level in told if at >= split}
    goal = {axis: level for axis, level in goal.items() if origin != target or here.get(axis) != level}
    if origin != target:
        return origin, {}, target, goal
    return (origin, here, target, goal) if goal else None


def missing_kit(question: Question, rulebase: Rulebase) -> list[str]:
    """Kit that is not there. "no poles" as the level to reach is none of that, nor is kit far from the denying word."""
    levels: list[Span] = []
    for number, spans in question.hits.items():
        if any(kind == "level" and owner.endswith("/support/none") for kind, owner in rulebase.lexicon.owners[number]):
            levels += spans
    found = []
    for mention in question.mentions:
        if mention.kind != "equipment" or mention.sense != "denied":
            continue
        inside = [span for span in levels if span[0] <= mention.span[0] < span[1]]
        elsewhere = [span for span in levels if span not in inside]
        before = [word.text for word in question.words[max(0, mention.span[0] - _DENIED) : mention.span[0]]]
        if any(word in _NO for word in before) and not (inside and not elsewhere):
            found.append(mention.id)
    return list(dict.fromkeys(found))


def _told(question: Question, rulebase: Rulebase, movement: str, ladder: Ladder) -> Iterator[tuple[int, str, str]]:
    """(place, axis, level) for every level named and every measured rung."""
    for number, spans in question.hits.items():
        for kind, owner in rulebase.lexicon.owners[number]:
            if kind == "level" and owner.startswith(f"{movement}/"):
                _, axis, level = owner.split("/")
                found = ladder.axis(axis)
                if found and not _measured(found):
                    yield from ((span[0], axis, level) for span in spans)
    valued = [axis for axis in ladder.axes if _measured(axis)]
    for at, cm in _lengths(question):
        axis = _axis_near(question, at, valued)
        level = _rung(axis, cm) if axis else ""
        if axis and level:
            yield at, axis.id, level


def _measured(axis: Axis) -> bool:
    return bool(axis.unit) and any(level.value is not None for level in axis.levels)


def _lengths(question: Question) -> Iterator[tuple[int, float]]:
    """Lengths in words of the question as (place, cm); a bare number before "to 8 in" shares its unit."""
    words = [word.text for word in question.words]
    unit = ""
    for i in range(len(words) - 1, -1, -1):
        if not words[i].replace(".", "", 1).isdigit():
            continue
        own = words[i + 1] if i + 1 < len(words) and words[i + 1] in ("in", "cm") else ""
        shared = unit if words[i + 1 : i + 2] == ["to"] else ""
        unit = own or shared
        if unit:
            yield i, float(words[i]) * (CM_PER_IN if unit == "in" else 1.0)


def _axis_near(question: Question, at: int, axes: list[Axis]) -> Axis | None:
    forms = [set(word.forms) for word in question.words]
    around = sorted((abs(i - at), i) for i in range(max(0, at - 2), min(len(forms), at + _NEAR)))
    for _, i in around:
        for axis in axes:
            if forms[i] & set(_NOUNS.get(axis.id, ())):
                return axis
    return axes[0] if len(axes) == 1 else None


def _rung(axis: Axis, cm: float) -> str:
    scale = CM_PER_IN if axis.unit == "in" else 1.0
    close = [(abs((lv.value or 0.0) * scale - cm), lv.id) for lv in axis.levels if lv.value is not None]
    best = min(close, default=(99.0, ""))
    return best[1] if best[0] <= _CLOSE_CM else ""


def _split(question: Question, places: list[int], covered: set[int]) -> int:
    """The place of the dividing word: the first one with a level after it, after any level before it; 0 when none is."""
    words = [word.text for word in question.words]
    dividing = [i for i, word in enumerate(words) if word in _TOWARDS and i not in covered]
    both = [i for i in dividing if any(p < i for p in places) and any(p > i for p in places)]
    return both[0] if both else 0
