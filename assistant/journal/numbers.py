"""Numbers that name a person: dates of birth, record numbers, phones and street addresses. Trade figures stay.

Loaded only for texts that hold digits or speak of living somewhere.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from assistant.journal.wordlists import KEPT, TRADE, UNITS

PHONE, BIRTH, ADDRESS, NUMBER = "[phone]", "[birth date]", "[address]", "[record number]"
_I = re.IGNORECASE

# -- dates of birth --
_MONTH = r"(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)"
_DAY = r"(?:0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?"
_OLD = r"(?:19[0-6]\d|197[0-5])"


def _dates(year: str) -> str:
    return (
        rf"(?:{_DAY}\s*(?:of\s+)?{_MONTH}\b\.?,?\s*{year}|{_MONTH}\b\.?\s*{_DAY},?\s+{year}"
        rf"|\d{{1,2}}[./\-]\d{{1,2}}[./\-]{year}|\d{{1,2}} \d{{1,2}} {year}|{year}[./\-]\d{{1,2}}[./\-]\d{{1,2}})"
    )


_BORN = re.compile(
    r"\b(d\.?\s?o\.?\s?b\b\.?|date of birth|birth\s?date|birthday|born(?:\s+on)?(?:\s+the)?)(\W{0,3}(?:(?:is|was|on|=)\s+)?(?:the\s+)?)"
    rf"(?:{_dates(r'(?:(?:19|20)?[0-9]{2})')}|{_DAY}\s*(?:of\s+)?{_MONTH}\b|{_MONTH}\b\.?\s+{_DAY}(?!\d))",
    _I,
)
_DOB_YEAR = re.compile(r"\b(d\.?\s?o\.?\s?b\b\.?|date of birth)(\W{0,3}(?:is\s+)?)(?:19|20)\d{2}\b", _I)
_OLD_DATE = re.compile(rf"(?<![\d./-]){_dates(_OLD)}(?![\d/-])", _I)
_OLD_SHORT = re.compile(r"(?<![\d./-])(?:0[1-9]|[12]\d|3[01])/(?:0[1-9]|1[0-2])/(?:[2-6]\d|7[0-5])(?![\d/-])")
_PLAN = re.compile(r"(?:tempo|reps?|sets?|pyramid|ladder|x)\W{0,3}$", _I)

# -- record numbers --
_TOKEN = r"(?:[A-Z]{1,3}[- ]?)?\d[\dA-Z]*(?:[ /-](?:[A-Z]{1,2}(?=\d))?\d[\dA-Z]*){0,4}"
_STRONG = re.compile(
    r"\b(nhs|mrn|m\.r\.n\.|chi|urn|ssn|medicare|medicaid|social security|national insurance|ni|passport|hospital number|patient id|h&c)"
    rf"((?:\s+(?:no\b\.?|num(?:ber)?\b\.?|id\b|ref\b\.?))?[\s:#=]*(?:is\s+|was\s+)?)({_TOKEN})(?![\w.]*\s*(?:kg|lb|cm|reps|sets|week)s?\b)",
    _I,
)
_WEAK = re.compile(
    r"\b(hospital|patient|client|clinic|chart|medical|health|record|case|file|policy|insurance|membership|member|account|licen[cs]e|reference|ref|card)"
    rf"((?:\s+(?:record|card|file|chart|insurance))?\s*(?:(?:no\b\.?|num(?:ber)?\b\.?|id\b|ref\b\.?)[\s:#=]*(?:is\s+|was\s+)?|[:\s]*#\s*))({_TOKEN})",
    _I,
)
_SSN = re.compile(r"(?<![\d-])\d{3}-\d{2}-\d{4}(?![\d-])|\b[A-Z]{2} ?\d{2} ?\d{2} ?\d{2} ?[A-D]\b")
# The identifier of a Medicare beneficiary: eleven places, digits and letters in a fixed order (CMS, 2018).
_MBI = re.compile(r"\b[1-9][A-Z][A-Z\d]\d-?[A-Z][A-Z\d]\d-?[A-Z]{2}\d{2}\b")
_LONG = re.compile(r"(?<![\d.,])[1-9]\d{8,}(?![\d.,])")
_YEAR = re.compile(r"(?:19|20)\d{2}")

# -- phones --
_EXT = r"(?:\s*(?:ext|extension|x)\.?\s*\d{1,5}\b)?"
_EXT_TAIL = re.compile(r"\s*(?:ext|extension|x)\.?\s*\d{1,5}$", _I)
_PHONES = re.compile(
    r"(?<![\w.])(?:"
    r"(?:\+|00)\d{1,3}[\s-]?(?:\(\d{1,4}\)[\s-]?)?\d(?:[\s-]?\d){6,12}"
    r"|(?:\(0\d{1,4}\)|0\d{2,4})[\s.-]?\d{3,4}[\s.-]?\d{3,6}"
    r"|0\d(?:[\s.-]\d{2}){4}"
    r"|(?:1[\s.-])?(?:\([2-9]\d{2}\)\s?|[2-9]\d{2}[\s.-])\d{3}[\s.-]\d{4}"
    rf")(?![\d%]|[.,]\d)(?!\s*(?:kg|lb|cm|m|s|reps?|sets?)\b){_EXT}",
    _I,
)
_SAID_PHONE = re.compile(
    r"\b(phone|telephone|tel|mobile|mob|cell|landline|whatsapp|call|ring|text|number\s+is|reach|contact)\b"
    r"([\s:.]*(?:(?:number|no\.?|is|on|at|her|him|them|me|us|daughter|son|wife|husband)\b[\s:.]*){0,4})(\(?\d[\d\s().-]{5,15}\d)(?!\s*(?:kg|lb|cm|m|s|reps?|sets?)\b)",
    _I,
)

# -- addresses --
_WORDS = r"(?:[^\W\d_][\w'’.-]*\s+){1,3}?"
_SURE = r"street|road|rd|avenue|ave|lane|ln|boulevard|blvd|crescent|cres|terrace|mews|gardens|gdns|highway|hwy"
_MAYBE = r"st|drive|dr|close|court|ct|place|pl|way|walk|row|hill|park|rise|grove|square|sq|view|green|parade|circle|trail|quay|villas|house|cottage|farm"
_STREET = re.compile(
    rf"(?:\b(?:flat|apt|apartment|unit|suite)\s+\d+[a-z]?,?\s+)?(?<![\d.,/])\b\d{{1,5}}[a-z]?,?\s+({_WORDS})({_SURE}|{_MAYBE})\b\.?",
    _I,
)
_LIVES = re.compile(
    r"\b(?:liv(?:es?|ing)|address|resid\w+|home|house|mov(?:ed|ing)|stay\w*|visit\w*|flat|apartment)\b[^.?!\d]{0,24}$",
    _I,
)
_LIVES_ON = re.compile(
    rf"\b(liv(?:es?|ing)|resid(?:es|ing)|address)(\s+(?:is\s+)?(?:at|on|in|near)?\s*(?:the\s+)?)({_WORDS})({_SURE})\b",
    _I,
)
_BOX = re.compile(r"\bp\.?\s?o\.?\s?box\s+\d+", _I)
_POSTCODE = re.compile(
    r"\b(?:[A-Z]{1,2}\d[A-Z\d]?)\s?\d(?!(?:LB|FT|YR|RP|ST|HR|RS|DB|BW|SS|RE)\b)[ABD-HJLNP-UW-Z]{2}\b"
)
_AFTER = re.compile(
    r"(?:,\s*[A-Z][\w'’-]+(?:\s+[A-Z][\w'’-]+)?){0,2},?\s*(?:[A-Z]{1,2}\d[A-Z\d]?\s?\d[A-Z]{2}|[A-Z]{2}\s+\d{5}(?:-\d{4})?|\d{5}(?:-\d{4})?)\b"
)


def marker(mark: str, marks: list[str]) -> Callable[[re.Match[str]], str]:
    """What puts a mark in place of a match and notes it."""

    def put(match: re.Match[str]) -> str:
        marks.append(mark)
        return mark

    return put


def numbers(text: str, marks: list[str]) -> str:
    """The text with marks for numbers that name a person; each is noted in `marks`."""

    def born(match: re.Match[str]) -> str:
        marks.append(BIRTH)
        return f"{match[1]}{match[2]}{BIRTH}"

    def short(match: re.Match[str]) -> str:
        if _PLAN.search(match.string[max(0, match.start() - 12) : match.start()]):
            return match[0]
        marks.append(BIRTH)
        return BIRTH

    text = _DOB_YEAR.sub(born, _BORN.sub(born, text))
    text = _OLD_SHORT.sub(short, _OLD_DATE.sub(marker(BIRTH, marks), text))
    text = _STRONG.sub(lambda m: _record_number(m, marks, 4 if m[2].strip(" :#=") else 6), text)
    text = _WEAK.sub(lambda m: _record_number(m, marks, 3), text)
    text = _MBI.sub(marker(NUMBER, marks), _SSN.sub(marker(NUMBER, marks), text))
    text = _BOX.sub(marker(ADDRESS, marks), text)
    text = _STREET.sub(lambda m: _street(m, marks), text)
    text = _tails(text)
    text = _POSTCODE.sub(marker(ADDRESS, marks), text)
    text = _PHONES.sub(lambda m: _phone(m, marks, m[0], ""), text)
    text = _SAID_PHONE.sub(lambda m: _phone(m, marks, m[3], m[1] + m[2]), text)
    return _LONG.sub(marker(NUMBER, marks), text)


def _digits(text: str) -> int:
    return sum(map(str.isdigit, text))


def _record_number(match: re.Match[str], marks: list[str], least: int) -> str:
    token = match[3]
    if _digits(token) < least or _YEAR.fullmatch(token.strip()):
        return match[0]
    marks.append(NUMBER)
    return f"{match[1]}{match[2]}{NUMBER}"


def _phone(match: re.Match[str], marks: list[str], number: str, before: str) -> str:
    main = _EXT_TAIL.sub("", number)
    groups = [len(group) for group in re.findall(r"\d+", main)]
    least, longest = (7, 3) if before else (9, 2)
    national = not before and main.lstrip("(").startswith("0") and not main.startswith("00")
    most = 11 if national else 15
    if not (10 if national else least) <= sum(groups) <= most or max(groups) < longest:
        return match[0]
    marks.append(PHONE)
    return before + PHONE


def _street(match: re.Match[str], marks: list[str]) -> str:
    words = [word.strip(".,").lower() for word in match[1].split()]
    suffix = match[2]
    lives = _LIVES.search(match.string[max(0, match.start() - 40) : match.start()]) is not None
    if any(word in UNITS or (not lives and (word in TRADE or word in KEPT)) for word in words):
        return match[0]
    sure = re.fullmatch(_SURE, suffix, _I) is not None
    written = match[1].strip()[0].isupper() and suffix[0].isupper()
    if not (sure or written or lives):
        return match[0]
    marks.append(ADDRESS)
    return ADDRESS


def homes(text: str, marks: list[str]) -> str:
    """The text with marks for streets that somebody is said to live on, without a number too."""
    return _LIVES_ON.sub(lambda match: _lives_on(match, marks), text)


def _lives_on(match: re.Match[str], marks: list[str]) -> str:
    words = [word.strip(".,").lower() for word in match[3].split()]
    if any(word in UNITS or word in TRADE for word in words):
        return match[0]
    marks.append(ADDRESS)
    return f"{match[1]}{match[2]}{ADDRESS}"


def _tails(text: str) -> str:
    """Town and code that follow a street go with it."""
    start = 0
    while (place := text.find(ADDRESS, start)) >= 0:
        start = place + len(ADDRESS)
        after = _AFTER.match(text, start)
        if after:
            text = text[:start] + text[after.end() :]
    return text
