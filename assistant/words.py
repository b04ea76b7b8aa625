"""The question in cleaned form: lower case, one spelling, units set apart, sentences and clauses counted."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping

from assistant.regex import Rule
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
        "⅛": ".125",
        "⅜": ".375",
        "⅝": ".625",
        "⅞": ".875",
        "°": " deg ",
        "×": "x",
        "→": " to ",
    }
)
# Letters of other scripts that look Latin, as some keyboards and copied texts mix them in: "сhest" with a Cyrillic с.
_LOOK_ALIKE = str.maketrans(
    "аеорсхуіѕјһԁԛԝкмтвнАВЕКМНОРСТХУІЅЈαεορντικυΑΒΕΖΗΙΚΜΝΟΡΤΥΧıłøŁØ",
    "aeopcxyisjhdqwkmtbhABEKMHOPCTXYISJaeopvtikuABEZHIKMNOPTYXiloLO",
)
_LONG_NUMBER = Rule(
    r"\d{10,}", digits=10
)  # no measure has so many digits; the searches for numbers would be slow on them
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
_FEET = Rule(r"(\d)\s*'\s*(\d{1,2}(?:\.\d+)?)\s*(?:\"|''|in(?:ch(?:es)?|s)?\b)?", "'", digits=2)
_FEET_GLUED = Rule(r"\b([4-7])\s*(?:ft|foot)\s?(\d{1,2})\b", "ft,foot", digits=2)
_AGE_SEX = Rule(r"\b([4-9]\d|10[0-5])\s?([MF])\b(?!\s+(?:walk|in|up)\b)", "M,F", digits=2)
_PERCENT = Rule(r"(\d)\s+%", "%", digits=1)
_LONE_PERCENT = Rule(r"(?<!\d)%", "%")
_INCH_MARK = Rule(r"(\d)\s*(?:\"|'')", "\",''", digits=1)
_GLUED = Rule(rf"\b(\d+(?:\.\d+)?)\s*-?\s*({_UNIT})\b", digits=1)
_WORDED = Rule(rf"\b({'|'.join(_NUMBERS)})[\s-]+(?!foot|feet)({_UNIT})\b", ",".join(_NUMBERS))
_TENS = {"twenty": 2, "thirty": 3, "forty": 4, "fifty": 5, "sixty": 6, "seventy": 7, "eighty": 8, "ninety": 9}
_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_COMPOUND = Rule(rf"\b({'|'.join(_TENS)})[\s-]+({'|'.join(_ONES)})\b", ",".join(_TENS))
_AGED = Rule(rf"\b(aged?)\s+({'|'.join(_TENS)})\b", "age")
_TENS_OF_FEET = Rule(rf"\b({'|'.join(_TENS)})\s+(?=feet\b)", "feet")
_TIMES = Rule(r"\b(\d+)\s*x\s*(\d+)", "x", digits=2)
_COMMA_DECIMAL = Rule(r"(?<=\d),(?=\d{1,2}\s*(?:m|cm|kg|s|sec|in)\b)", digits=2)
_THOUSANDS = Rule(r"(?<=\d),(?=\d{3}\b)", digits=4)
_TOKEN = re.compile(r"\d+(?:\.\d+)?%?|\.\d+|[a-z]+(?:\d+[a-z]*)*|[^\s\w]|\w+")
_ARROW = Rule(r"[-=]+>", ">")
_PER_CENT = Rule(r"\bper cent\b", "per cent")
_SPEED = Rule(r"\bm/s(?:ec)?\b", "m/s")
_APOSTROPHE = Rule(r"(?<=[a-z])'(?=[a-z])", "'")
_HYPHEN = Rule(r"(?<=[a-z0-9])-(?=[a-z0-9])", "-")
_LETTERS = Rule(r"\b([a-z])/([a-z])\b", "/")
_SLASH = Rule(r"(?<=[a-z])/(?=[a-z])", "/")
# "7 1/4", "1/2 in": fractions of a carpenter's rule; "7 ½" has become "7 .5".
_FRACTION = Rule(
    r"(?<![\d./])(?:(\d{1,3})(?: and | |-)(?=\d))?([1-9]|1[0-5])/(2|4|8|16)\b(?!/|\s*(?:10|g)\b)(\s*(?:in\b|inch|ins\b|\"))?",
    "/",
    digits=2,
)
_SPACED_FRACTION = Rule(r"(\d) (\.(?:5|25|75|125|375|625|875)\b)", " .", digits=2)
_END = {".", "?", "!", ";"}
_PAUSE = {",", ":", "-", "(", ")"}


def tidy(text: str) -> str:
    """Lower-case text with quotes, units and fractions in one form; words and stops stay where they are."""
    if not text.isascii():
        text = unicodedata.normalize("NFKC", text.translate(_QUOTES)).translate(_LOOK_ALIKE)
        if not text.isascii():
            text = "".join(c for c in unicodedata.normalize("NFKD", text) if unicodedata.category(c) != "Mn")
    text = _AGE_SEX.sub(lambda m: f"{m[1]} year old {'male' if m[2] == 'M' else 'female'}", text)
    text = _LONG_NUMBER.sub(lambda m: m[0][:9], f" {text.translate(_QUOTES).lower()} ")
    text = _ARROW.sub(" to ", _PER_CENT.sub("percent", text))
    text = _COMPOUND.sub(lambda m: f"{_TENS[m[1]]}{_ONES.index(m[2]) + 1}", text)
    text = _AGED.sub(lambda m: f"{m[1]} {_TENS[m[2]]}0", text)
    text = _TENS_OF_FEET.sub(lambda m: f"{_TENS[m[1]]}0 ", text)
    text = _LONE_PERCENT.sub(" percent ", _PERCENT.sub(r"\1%", text))
    text = _SPEED.sub("mps", text)
    text = _FRACTION.sub(_decimal, _SPACED_FRACTION.sub(r"\1\2", text))
    text = _FEET.sub(r"\1 ft \2 in", text)
    text = _FEET_GLUED.sub(r"\1 ft \2", text)
    text = _INCH_MARK.sub(r"\1 in ", text)
    text = _THOUSANDS.sub("", _COMMA_DECIMAL.sub(".", text))
    text = _TIMES.sub(r"\1 x \2", text)
    text = _WORDED.sub(lambda m: f"{_NUMBERS[m[1]]} {_UNIT_NAMES.get(m[2], m[2])}", text)
    text = _GLUED.sub(lambda m: f"{m[1]} {_UNIT_NAMES.get(m[2], m[2])}", text)
    text = _APOSTROPHE.sub("", text)
    text = text.replace("'", " ")
    text = _HYPHEN.sub(" ", text)
    text = _LETTERS.sub(r"\1\2", text)
    return _SLASH.sub(" ", text)


def _decimal(match: re.Match[str]) -> str:
    """'7 1/4' as 7.25; a fraction alone only before an inch, so that 2/10 and 1/2 stay what they are."""
    whole, top, bottom, unit = match[1], int(match[2]), int(match[3]), match[4] or ""
    if top >= bottom or not (whole or unit):
        return match[0]
    return f"{int(whole or 0) + top / bottom:g}{unit}"


def forms(word: str) -> tuple[str, ...]:
    """The word and its plain singulars."""
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        if word.endswith("ies") and len(word) > 4:
            return (word, word[:-1], word[:-3] + "y")
        if word.endswith("es"):
            return (word, word[:-1], word[:-2])
        return (word, word[:-1])
    return (word,)


def words_of(text: str) -> tuple[Word, ...]:
    """The words of a text as they are typed, its spelling left as it is."""
    return words_in(tidy(text))


def words_in(
    tidied: str, mend: Callable[[str], str] = lambda w: w, spelled: Mapping[str, str] | None = None
) -> tuple[Word, ...]:
    """Split a tidied question into words; `spelled` rewrites whole words (it may yield several), `mend` repairs the unknown."""
    result: list[Word] = []
    sentence = clause = 0
    for match in _TOKEN.finditer(tidied):
        typed = match[0]
        if not (typed[0].isalnum() or (typed[0] == "." and len(typed) > 1)):
            if typed in _END and result:
                sentence, clause = sentence + 1, clause + 1
            elif typed in _PAUSE and result:
                clause += 1
            continue
        if typed[0] == ".":
            typed = "0" + typed
        plain, how = typed, ""
        if not typed[0].isdigit():
            plain = (spelled or {}).get(typed) or typed
            how = "" if plain == typed else "short form of"
            if plain == typed:
                plain = mend(typed)
                how = "" if plain == typed else "parted from" if plain.replace(" ", "") == typed else "mended from"
                plain = (spelled or {}).get(plain) or plain
        for piece in plain.split():
            result.append(Word(piece, typed, sentence, clause, forms(piece), match.start(), how))
    return tuple(result)
