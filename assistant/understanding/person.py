"""Age, sex and stature as coaches type them: 'M62', 'woman 67', 'women 75-79', 'in his seventies', 5'4, '170 tall'."""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.units import CM_PER_IN

YOUNGEST, OLDEST = 45, 105
FEMALE = frozenset(
    [
        "she",
        "shes",
        "her",
        "hers",
        "herself",
        "lady",
        "ladies",
        "woman",
        "women",
        "womens",
        "female",
        "females",
        "f",
        "w",
        "mrs",
        "gran",
        "granny",
        "nan",
        "girl",
        "lass",
        "mother",
        "grandma",
        "grandmother",
        "wife",
        "widow",
    ]
)
MALE = frozenset(
    [
        "he",
        "hes",
        "him",
        "his",
        "himself",
        "gent",
        "gents",
        "gentleman",
        "gentlemen",
        "man",
        "men",
        "mens",
        "male",
        "males",
        "m",
        "mr",
        "bloke",
        "blokes",
        "chap",
        "chaps",
        "guy",
        "guys",
        "fella",
        "fellas",
        "fellow",
        "lad",
        "lads",
        "grandad",
        "granddad",
        "grandfather",
        "husband",
        "widower",
    ]
)
_PEOPLE = (
    "lady|ladies|woman|women|females?|gents?|gentleman|gentlemen|man|men|males?|blokes?|chaps?|guys?|fellas?|fellow|lads?|"
    "client|member|she|he|shes|hes|f|m|frail|fit|healthy|pt|patient|person|people|someone|somebody|gran|granny|nan|grandad|"
    "grandmother|grandfather|old|lass|postman|teacher|nurse|farmer"
)
# What may not follow an age: a unit, a fraction or a decimal, a second reading.
_NO_UNIT = (
    r"(?!\.\d)(?!\s*(?:%|in\b(?!\s+(?:a|the|my|our|half|30|june|july|march|april|may)\b)|cm\b|kgs?\b|lbs?\b|sec\b|s\b|reps?\b"
    r"|sets?\b|min\b|m\b|mm\b|week|month|day|hour|bpm|x\b|x\d|/|ft\b|stone\b|st\b|times|full|stands|rises|curls|steps|points|over"
    r"|yards?|yds?\b|deg|mph|knees|beats|metres|pct|percent|per cent|tall|on the (?:dyn|scale)))"
)
_DECADES = {"fifties": 55, "sixties": 65, "seventies": 75, "eighties": 85, "nineties": 92}
_AGE = [
    re.compile(r"\b(\d{2,3})\s*(?:yo\b|y/?o\b|yr old|year[- ]old|year\s+old|yrs old|years? of age|y\b(?!/)|y\.o\b)"),
    re.compile(r"\bage[ds]?\s*(?:of|is|was|:|=|range|group|band|about|around|over)?\s*(\d{2,3})\b(?!\.\d)"),
    re.compile(r"\bturn(?:ed|s|ing)\s+(\d{2,3})\b(?!\.\d)"),
    re.compile(r"\b(?:wo)?m[ae]n\s+(\d{2})\s+(?:to\s+|and\s+)?\d{2}\b" + _NO_UNIT),
    re.compile(
        rf"\b(?:{_PEOPLE})\s*(?:,|of|is|was|at|aged|just|now|who is|:|-|\()?\s*(\d{{2,3}})\s*\+?(?!\d)" + _NO_UNIT
    ),
    re.compile(
        r"(?<![\d.])\b(\d{2,3})\s*(?:year)?\s*,?\s*(?:f|m|w|female|male|lady|woman|gent|man|bloke|chap|fella)\b(?!\s*(?:wide|walk|in\b|/|/s|up|run|away|every|each|long))"
    ),
    re.compile(
        r"(?<!rests )(?<!karvonen )(?<!hrr )(?<!reserve )(?<!epley )(?<!resting )(?<!pulse )(?<!resting hr )(?<!rest hr )(?<!reads )(?<!set )(?<!sits )\b(?:at|for)\s+(?:an?\s+)?(\d{2})\b(?!\.\d)(?=\s*(?:\+|by\b|and\b|how\b|what\b|then\b|\?|$|,|\.|:|;|or|vs\b|plus\b))"
    ),
    re.compile(r"(?:^|[,.?!;(])\s*(\d{2,3})\s*(?=[,?!;)]|\.(?!\d)|$)"),
    re.compile(r"\b(\d{2})\s*year\b(?!s?\s*(?:ago|back|post|since|after|out|on|from|in\b|of|with|later|now))"),
    re.compile(r"\b(?:over|past|around|about|nearly|almost)\s+(\d{2})\b(?=\s*(?:$|[,.?!]))"),
]
_DECADE = re.compile(
    rf"\b({'|'.join(_DECADES)})\b|\b(?:her|his|their|your|the|early|late|mid|m[ae]n|people|clients)\s+(?:in\s+)?([5-9])0\s?s\b"
    r"(?!\s*(?:hold|plank|rest|chair|sit|sts|on|off|between|tandem|stand))"
)
_WALKED = ("in", "walk", "walked", "away", "up", "wide", "long", "run", "course", "per", "and", "over")
_WORDED = {
    w: i
    for i, w in enumerate(
        ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven"]
    )
}
_FEET_WORDS = re.compile(
    rf"\b(four|five|six)\s*(?:ft|foot|feet)\s*(?:and\s+)?(?:(\d{{1,2}}|{'|'.join(list(_WORDED)[1:])})\b)?"
)
_STATURES = (
    (re.compile(r"\b(1[2-9]\d(?:\.\d)?|20\d|21[0-5])\s*cm\b"), 1.0),
    (re.compile(r"\b(1\.[2-9]\d?|2\.0\d?)\s*m\b(?!\s*(?:wide|in|/|long|walk|away|per))"), 100.0),
    (re.compile(r"\b(1[3-9]\d|20\d)\s*(?:tall|in height|high)\b"), 1.0),
    (re.compile(r"\b(5\d|6\d|7[0-9])\s*in\s+tall\b"), CM_PER_IN),
    (re.compile(r"\b(?:height|stature|stands|tall)\s*(?:of|is|:|=)?\s*(1[3-9]\d|20\d)\b(?!\s*(?:in\b|kg|lb|/))"), 1.0),
)
_BARE_STATURE = re.compile(
    r"\b(?:someone|person|client|man|woman|lady|gent|chap|bloke|for|shes|hes)\s*(?:of\s+|who is\s+)?(1[4-9]\d|20[0-5])\b"
    r"(?!\.\d|\s*(?:kg|lb|/|over|bpm|min|m\b|s\b|sec|y|%|percent|reps|on\b|mm|steps|stone))"
)
_FITTED = re.compile(r"\bpoles?\b|\bsticks?\b|\bcanes?\b|\btall\b|\bheight\b")
_GLUED_METRES = re.compile(r"\b1\s*m\s*(\d{2})\b")
_FEET = re.compile(r"\b([4-7])\s*ft\s*(\d{1,2}(?:\.\d+)?)?\s*(?:in\b)?")
_SOMEONE = re.compile(r"tall|she|he|\bm[ae]n|lad|gent|someone|client|gran|chap|bloke|\bf\b|foot\b|stature|height")


def age_of(text: str) -> float | None:
    """The client's age in tidied text; a range gives its first figure, 'seventies' and '70s' the middle."""
    for pattern in _AGE:
        ages = [int(a) for a in pattern.findall(text) if YOUNGEST <= int(a) <= OLDEST]
        if ages:
            return float(ages[0])
    decade = _DECADE.search(text)
    if decade:
        return float(_DECADES[decade[1]] if decade[1] else int(decade[2]) * 10 + 5)
    return None


def is_decade(text: str) -> bool:
    """Whether the age is only known as a decade."""
    return not any(YOUNGEST <= int(a) <= OLDEST for pattern in _AGE for a in pattern.findall(text))


def sex_of(words: Sequence[str]) -> str:
    """'female', 'male' or '' by the words used; m62 and 62m count, the metres of '6 m' do not."""
    female = male = 0
    for i, word in enumerate(words):
        after_number = bool(i) and words[i - 1][0].isdigit()
        person_number = after_number and words[i - 1].isdigit() and YOUNGEST <= int(words[i - 1]) <= OLDEST
        glued = len(word) in (3, 4) and word[0] in "fmw" and word[1:].isdigit()
        kind = word[0] if glued else word
        if kind == "w" and not (glued or person_number):
            continue
        metres = after_number and (not person_number or (words[i + 1 : i + 2] and words[i + 1] in _WALKED))
        if kind == "m" and not glued and metres:
            continue
        female += kind in FEMALE
        male += kind in MALE
    return "" if female == male else "female" if female > male else "male"


def stature_of(text: str) -> tuple[float, str] | None:
    """Stature in cm with the unit it was given in (ft, in, cm, m), from tidied text."""
    feet = _FEET.search(text)
    if feet and (feet[2] is not None or _SOMEONE.search(text)):
        return (float(feet[1]) * 12 + float(feet[2] or 0)) * CM_PER_IN, "ft"
    worded = _FEET_WORDS.search(text)
    if worded and (worded[2] is not None or _SOMEONE.search(text)):
        more = worded[2] or "0"
        extra = _WORDED[more] if more in _WORDED else int(more)
        return (_WORDED[worded[1]] * 12 + extra) * CM_PER_IN, "ft"
    glued = _GLUED_METRES.search(text)
    if glued:
        return 100.0 + float(glued[1]), "m"
    for pattern, factor in _STATURES:
        found = pattern.search(text)
        if found:
            return float(found[1]) * factor, {1.0: "cm", 100.0: "m"}.get(factor, "in")
    bare = _BARE_STATURE.search(text)
    return (float(bare[1]), "cm") if bare and _FITTED.search(text) else None
