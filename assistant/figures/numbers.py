"""Numbers of a question, in digits and in words, with their units and surroundings, for the figures code."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.shapes import Question, Word
from assistant.units import CM_PER_IN, KG_PER_LB, LB_PER_STONE

_UNITS = {
    "in": "in", "cm": "cm", "m": "m", "ft": "ft", "mm": "mm", "kg": "kg", "lb": "lb", "stone": "stone", "st": "stone", "sec": "s",
    "s": "s", "min": "min", "minute": "min", "percent": "%", "pct": "%", "pc": "%", "rep": "reps", "reps": "reps", "bpm": "bpm",
    "deg": "deg", "degree": "deg", "degrees": "deg", "week": "week", "month": "month", "day": "day", "year": "year", "hour": "hour",
    "stands": "stands", "rises": "stands", "set": "sets", "sets": "sets", "points": "points", "pts": "points", "point": "points",
    "yards": "yd", "yard": "yd", "yds": "yd", "yd": "yd", "mph": "mph", "kmh": "km/h", "kph": "km/h", "fortnight": "fortnight",
    "curls": "curls", "steps": "steps", "mps": "m/s", "times": "times", "newtons": "n", "newton": "n", "kgf": "kg", "hrs": "hour",
    "beats": "bpm", "joules": "j", "knees": "steps", "lifts": "steps", "raises": "steps", "inch": "in", "mtr": "m", "mtrs": "m", "mtres": "m", "meter": "m", "meters": "m", "sessions": "times",
}  # fmt: skip
_SMALL = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
    "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_WORDS = {word: i for i, word in enumerate(_SMALL)} | {word: 20 + 10 * i for i, word in enumerate(_TENS)}
# "10 in March", "26 in her right": the word after tells that "in" is no inch.
_NO_INCH = frozenset(
    {"a", "the", "her", "his", "their", "total", "each", "one", "reserve", "half", "30", "thirty", "under", "my", "all"}
    | {"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november"}
    | {"december", "jan", "feb", "mar", "apr", "jun", "jul", "aug", "sept", "sep", "oct", "nov", "dec", "spring", "autumn"}
    | {"summer", "winter", "week", "weeks", "hand", "last", "ten", "10", "two", "2", "6", "six", "session", "may", "both"}
)  # fmt: skip


@dataclass(frozen=True)
class Number:
    """A number, its unit ('' unknown, 'x' after a times sign) and its place among the words; `width` words long."""

    value: float
    unit: str
    at: int
    spelled: bool = False
    width: int = 1

    @property
    def cm(self) -> float:
        """The value in centimetres; a bare number counts as inches below 13."""
        factor = {"in": CM_PER_IN, "cm": 1.0, "m": 100.0, "mm": 0.1, "ft": 12 * CM_PER_IN, "yd": 91.44}.get(self.unit)
        return self.value * (factor if factor is not None else CM_PER_IN if self.value < 13 else 1.0)

    @property
    def kg(self) -> float:
        """The value in kilograms; a bare number counts as kilograms, newtons as kilogram-force."""
        factor = {"lb": KG_PER_LB, "stone": LB_PER_STONE * KG_PER_LB, "n": 1 / 9.80665}.get(self.unit, 1.0)
        return self.value * factor


def numbers(question: Question) -> list[Number]:
    """All numbers in text order. A year or an ordinal is a number too; callers pick by unit and surroundings."""
    words = question.words
    found: list[Number] = []
    i = 0
    while i < len(words):
        number = _number(words, i) or _worded(words, i)
        if number:
            found.append(number)
        i += number.width if number else 1
    return _joined(words, found)


def _number(words: Sequence[Word], i: int) -> Number | None:
    text = words[i].text
    if text[0] == "x" and text[1:].isdigit():
        return Number(float(text[1:]), "x", i)
    if not text[0].isdigit():
        return None
    try:
        value = float(text.rstrip("%"))
    except ValueError:
        return None
    return Number(value, "%" if text.endswith("%") else _unit(words, i + 1, i), i)


def _worded(words: Sequence[Word], i: int) -> Number | None:
    """'eleven', 'twenty five'; a lone 'one' is too often a pronoun to count."""
    value = _WORDS.get(words[i].text)
    if value is None or value == 1:
        return None
    more = _WORDS.get(words[i + 1].text) if i + 1 < len(words) else None
    width = 2 if value >= 20 and more is not None and 1 <= more <= 9 else 1
    total = value + (more or 0) if width == 2 else value
    return Number(float(total), _unit(words, i + width, i), i, True, width)


def _unit(words: Sequence[Word], after: int, at: int) -> str:
    following = [w.text for w in words[after : after + 3]]
    if not following or words[after].sentence != words[at].sentence:
        return ""
    if following[:2] == ["per", "cent"]:
        return "%"
    measured = following[2:3] in (["in"], ["cm"])  # "8 in, 2 in off": the next number is a length too
    if (
        following[0] == "in"
        and len(following) > 1
        and not measured
        and (following[1] in _NO_INCH or following[1][:3] in ("201", "202"))
    ):
        return ""
    return _UNITS.get(following[0], "")


def _joined(words: Sequence[Word], found: list[Number]) -> list[Number]:
    """Stone and pounds, feet and inches made one number."""
    result: list[Number] = []
    for number in found:
        last = result[-1] if result else None
        close = last is not None and number.at - last.at - last.width <= 1
        if last and close and last.unit == "stone" and number.unit in ("lb", "") and number.value < LB_PER_STONE:
            result[-1] = replace(last, value=last.value + number.value / LB_PER_STONE)
        elif last and close and last.unit == "ft" and number.unit in ("in", "") and number.value < 12:
            result[-1] = replace(last, value=last.value + number.value / 12)
        else:
            result.append(number)
    return result


def around(question: Question, number: Number, before: int = 4, after: int = 3) -> list[str]:
    """The words near a number, in its sentence."""
    words = question.words
    low, high = max(0, number.at - before), min(len(words), number.at + number.width + after)
    sentence = words[number.at].sentence
    return [w.text for w in words[low:high] if w.sentence == sentence]
