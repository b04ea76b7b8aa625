"""Numbers of a question with their units and surroundings, for the figures code."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.shapes import Question, Word
from assistant.units import CM_PER_IN, KG_PER_LB, LB_PER_STONE

_UNITS = {
    "in": "in", "cm": "cm", "m": "m", "ft": "ft", "mm": "mm", "kg": "kg", "lb": "lb", "stone": "stone", "st": "stone", "sec": "s",
    "s": "s", "min": "min", "percent": "%", "rep": "reps", "reps": "reps", "bpm": "bpm", "deg": "deg", "degrees": "deg",
    "week": "week", "month": "month", "day": "day", "year": "year", "hour": "hour", "stands": "stands", "set": "sets",
    "sets": "sets", "points": "points", "pts": "points", "yards": "yd", "mph": "mph", "fortnight": "fortnight", "curls": "curls", "steps": "steps",
    "mps": "m/s", "times": "times", "newtons": "n", "metres": "m",
}  # fmt: skip


@dataclass(frozen=True)
class Number:
    """A number, its unit ('' unknown) and its place among the words."""

    value: float
    unit: str
    at: int

    @property
    def cm(self) -> float:
        """The value in centimetres; a bare number counts as inches below 13."""
        factor = {"in": CM_PER_IN, "cm": 1.0, "m": 100.0, "mm": 0.1, "ft": 12 * CM_PER_IN}.get(self.unit)
        return self.value * (factor if factor is not None else CM_PER_IN if self.value < 13 else 1.0)

    @property
    def kg(self) -> float:
        """The value in kilograms; a bare number counts as kilograms."""
        return self.value * {"lb": KG_PER_LB, "stone": LB_PER_STONE * KG_PER_LB}.get(self.unit, 1.0)


def numbers(question: Question) -> list[Number]:
    """All numbers in text order. A year or an ordinal is a number too; callers pick by unit and surroundings."""
    return [n for i, word in enumerate(question.words) if (n := _number(question.words, i)) is not None]


def _number(words: Sequence[Word], i: int) -> Number | None:
    text = words[i].text
    if not text[0].isdigit():
        return None
    percent = text.endswith("%")
    try:
        value = float(text.rstrip("%"))
    except ValueError:
        return None
    if percent:
        return Number(value, "%", i)
    following = [w.text for w in words[i + 1 : i + 3]]
    if following and following[0] in _UNITS and words[i + 1].sentence == words[i].sentence:
        if (
            following[0] == "in"
            and len(following) > 1
            and following[1] in ("a", "the", "her", "his", "their", "june", "march", "total", "each", "one", "reserve")
        ):
            return Number(value, "", i)
        return Number(value, _UNITS[following[0]], i)
    if following[:2] == ["per", "cent"]:
        return Number(value, "%", i)
    return Number(value, "", i)


def around(question: Question, number: Number, before: int = 4, after: int = 3) -> list[str]:
    """The words near a number, in its sentence."""
    words = question.words
    low, high = max(0, number.at - before), min(len(words), number.at + after + 1)
    sentence = words[number.at].sentence
    return [w.text for w in words[low:high] if w.sentence == sentence]
