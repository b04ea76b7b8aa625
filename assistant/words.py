"""The question in cleaned form: lower case, one spelling, units set apart, sentences and clauses counted."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping

from assistant.shapes import Word

_QUOTES = str.maketrans(
    {
        "’": "'",
        "‘": "'",
        "`": "'",
        "´": "'",
        "“": '"',
        "”": '"',
        "″": '"',
        "′": "'",
        "–": "-",
        "—": " - ",
        "½": ".5",
        "¼": ".25",
        "¾": ".75",
        "°": " deg ",
        "×": "x",
        "→": " to ",
    }
)
_NUMBERS = {
    name: str(i)
    for i, name in enumerate(
        ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
    )
} | {
    "fifteen": "15",
    "twenty": "20",
    "thirty": "30",
    "forty": "40",
    "fifty": "50",
    "sixty": "60",
    "seventy": "70",
    "eighty": "80",
    "ninety": "90",
}
_UNIT = (
    r"inches|inch|ins?|cms?|centimetres?|centimeters?|mm|feet|foot|ft|kgs?|kilos?|lbs?|pounds?|stones?|st|reps?|sets?|"
    r"seconds?|secs?|minutes?|mins?|hours?|hrs?|days?|weeks?|wks?|months?|mths?|years?|yrs?|metres?|meters?|yards?"
)
_UNIT_NAMES = {
    "inches": "in",
    "inch": "in",
    "ins": "in",
    "cms": "cm",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
    "feet": "ft",
    "foot": "ft",
    "kgs": "kg",
    "kilo": "kg",
    "kilos": "kg",
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
    "stones": "stone",
    "secs": "sec",
    "seconds": "sec",
    "second": "sec",
    "minutes": "min",
    "minute": "min",
    "mins": "min",
    "hours": "hour",
    "hrs": "hour",
    "hr": "hour",
    "wks": "week",
    "wk": "week",
    "mths": "month",
    "mth": "month",
    "yrs": "year",
    "yr": "year",
    "years": "year",
    "months": "month",
    "weeks": "week",
    "days": "day",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
}
_FEET = re.compile(r"(\d)\s*'\s*(\d{1,2}(?:\.\d+)?)\s*(?:\"|''|in(?:ch(?:es)?|s)?\b)?")
_FEET_GLUED = re.compile(r"\b([4-7])\s*(?:ft|foot)\s?(\d{1,2})\b")
_AGE_SEX = re.compile(r"\b([4-9]\d|10[0-5])\s?([MF])\b(?!\s+(?:walk|in|up)\b)")
_PERCENT = re.compile(r"(\d)\s+%")
_LONE_PERCENT = re.compile(r"(?<!\d)%")
_INCH_MARK = re.compile(r"(\d)\s*(?:\"|'')")
_GLUED = re.compile(rf"\b(\d+(?:\.\d+)?)\s*-?\s*({_UNIT})\b")
_WORDED = re.compile(rf"\b({'|'.join(_NUMBERS)})[\s-]+(?!foot|feet)({_UNIT})\b")
_TENS = {"twenty": 2, "thirty": 3, "forty": 4, "fifty": 5, "sixty": 6, "seventy": 7, "eighty": 8, "ninety": 9}
_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_COMPOUND = re.compile(rf"\b({'|'.join(_TENS)})[\s-]+({'|'.join(_ONES)})\b")
_AGED = re.compile(rf"\b(aged?)\s+({'|'.join(_TENS)})\b")
_TENS_OF_FEET = re.compile(rf"\b({'|'.join(_TENS)})\s+(?=feet\b)")
_TIMES = re.compile(r"\b(\d+)\s*x\s*(\d+)")
_COMMA_DECIMAL = re.compile(r"(?<=\d),(?=\d{1,2}\s*(?:m|cm|kg|s|sec|in)\b)")
_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}\b)")
_TOKEN = re.compile(r"\d+(?:\.\d+)?%?|\.\d+|[a-z]+(?:\d+[a-z]*)*|[^\s\w]|\w+")
_END = {".", "?", "!", ";"}
_PAUSE = {",", ":", "-", "(", ")"}


def tidy(text: str) -> str:
    """Lower-case text with quotes, units and fractions in one form; words and stops stay where they are."""
    if not text.isascii():
        text = unicodedata.normalize("NFKC", text.translate(_QUOTES))
        if not text.isascii():
            text = "".join(c for c in unicodedata.normalize("NFKD", text) if unicodedata.category(c) != "Mn")
    text = _AGE_SEX.sub(lambda m: f"{m[1]} year old {'male' if m[2] == 'M' else 'female'}", text)
    text = f" {text.translate(_QUOTES).lower()} "
    text = re.sub(r"[-=]+>", " to ", re.sub(r"\bper cent\b", "percent", text))
    text = _COMPOUND.sub(lambda m: f"{_TENS[m[1]]}{_ONES.index(m[2]) + 1}", text)
    text = _AGED.sub(lambda m: f"{m[1]} {_TENS[m[2]]}0", text)
    text = _TENS_OF_FEET.sub(lambda m: f"{_TENS[m[1]]}0 ", text)
    text = _LONE_PERCENT.sub(" percent ", _PERCENT.sub(r"\1%", text))
    text = re.sub(r"\bm/s(?:ec)?\b", "mps", text)
    text = _FEET.sub(r"\1 ft \2 in", text)
    text = _FEET_GLUED.sub(r"\1 ft \2", text)
    text = _INCH_MARK.sub(r"\1 in ", text)
    text = _THOUSANDS.sub("", _COMMA_DECIMAL.sub(".", text))
    text = _TIMES.sub(r"\1 x \2", text)
    text = _WORDED.sub(lambda m: f"{_NUMBERS[m[1]]} {_UNIT_NAMES.get(m[2], m[2])}", text)
    text = _GLUED.sub(lambda m: f"{m[1]} {_UNIT_NAMES.get(m[2], m[2])}", text)
    text = re.sub(r"(?<=[a-z])'(?=[a-z])", "", text)
    text = text.replace("'", " ")
    text = re.sub(r"(?<=[a-z0-9])-(?=[a-z0-9])", " ", text)
    text = re.sub(r"\b([a-z])/([a-z])\b", r"\1\2", text)
    return re.sub(r"(?<=[a-z])/(?=[a-z])", " ", text)


def forms(word: str) -> tuple[str, ...]:
    """The word and its plain singulars."""
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        if word.endswith("ies") and len(word) > 4:
            return (word, word[:-1], word[:-3] + "y")
        if word.endswith("es"):
            return (word, word[:-1], word[:-2])
        return (word, word[:-1])
    return (word,)


def words_of(
    text: str, mend: Callable[[str], str] = lambda w: w, spelled: Mapping[str, str] | None = None
) -> tuple[Word, ...]:
    """Split a question into words; `spelled` rewrites whole words (it may yield several), `mend` repairs the unknown."""
    result: list[Word] = []
    sentence = clause = 0
    for match in _TOKEN.finditer(tidy(text)):
        typed = match[0]
        if not (typed[0].isalnum() or (typed[0] == "." and len(typed) > 1)):
            if typed in _END and result:
                sentence, clause = sentence + 1, clause + 1
            elif typed in _PAUSE and result:
                clause += 1
            continue
        if typed[0] == ".":
            typed = "0" + typed
        plain = typed
        if not typed[0].isdigit():
            plain = (spelled or {}).get(typed) or typed
            if plain == typed:
                plain = mend(typed)
                plain = (spelled or {}).get(plain) or plain
        for piece in plain.split():
            result.append(Word(piece, typed, sentence, clause, forms(piece), match.start()))
    return tuple(result)
