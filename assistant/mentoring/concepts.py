"""Comparing a trainee's free text with what should be in it: by phrases for the shipped questions, by concepts (ids, rungs,
measures and weighted words, with a few words of one meaning) for questions from reviewed entries."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

from assistant.shapes import Word
from assistant.understanding.question import Reader
from assistant.words import forms, words_of

_NEGATING_WORDS = "no not never dont doesnt without avoid instead nor isnt shouldnt wont cannot cant"
NEGATORS = frozenset(_NEGATING_WORDS.split())
STOPPERS = NEGATORS | {"stop", "end", "cease"}
REACH = 4
_SAME_BLOCKS = (
    "opposite contralateral far", "lower smaller drop reduce shallower shorter", "raise higher lift thicker",
    "slow slowly control controlled count", "stop halt end cease", "call ring phone dial", "ambulance emergency paramedic",
    "doctor gp clinician physio surgeon clinic", "rail counter rack worktop support hold", "pole stick cane",
    "add more increase heavier", "less lighter fewer decrease", "today now immediately straight",
    "seat chair box bench stool", "fall trip stumble", "check test inspect tug", "pain sore hurt ache",
)  # fmt: skip
_SIBILANT = ("xes", "ses", "ches", "shes", "zes", "ies")


def stem(word: str) -> str:
    """The singular of a word, as near as its ending tells."""
    kinds = forms(word)
    return kinds[-1] if len(kinds) < 2 or word.endswith(_SIBILANT) else kinds[1]


_SAME = {stem(word): block.split()[0] for block in _SAME_BLOCKS for word in block.split()}
_EMPTY_WORDS = """
    a about after again all also am an and any are as at be been before being but by can could did do does doing each for from get
    gets give go goes got had has have having he her hers him his how i if in into is it its just keep let like make may me more
    most must my need of off on one or our out over put same say set she should so some still take tell than that the their them
    then there they this to too try under up use using want was way we well were what when where which while who why will with
    would you your until every both
    """
_EMPTY = frozenset(_EMPTY_WORDS.split())
_LENGTH = {"in": 1.0, "cm": 1 / 2.54, "ft": 12.0, "mm": 1 / 25.4}
_MEASURES = ("kg", "lb", "sec", "s", "min", "reps", "rep", "set", "sets", "week", "day", "%", "hour", "month")


def words(text: str) -> tuple[Word, ...]:
    """The words of a text in cleaned form."""
    return words_of(text)


def says(text: Sequence[Word], phrases: Iterable[str], negators: frozenset[str] = NEGATORS) -> bool:
    """Whether one of the phrases stands in the text and is not negated; `~` before a phrase lets it be negated, `*` after a
    word stands for any ending, `|` between words for either. For dangers, `stop` negates too: "stop the massage"."""
    for phrase in phrases:
        parts = phrase.lstrip("~").split()
        for at in range(len(text) - len(parts) + 1):
            if all(_fits(word, part) for word, part in zip(text[at : at + len(parts)], parts, strict=True)) and (
                phrase[0] == "~" or not _negated(text, at, negators)
            ):
                return True
    return False


def _fits(word: Word, part: str) -> bool:
    for each in part.split("|"):
        if each.endswith("*") and any(form.startswith(each[:-1]) for form in word.forms):
            return True
        if each in word.forms:
            return True
    return False


def _negated(text: Sequence[Word], at: int, negators: frozenset[str]) -> bool:
    """Whether a negating word stands shortly before, in the same clause."""
    before = [word for word in text[max(0, at - REACH) : at] if word.clause == text[at].clause]
    return any(word.text in negators for word in before)


# -- concepts --------------------------------------------------------------------------------------------------------


def concepts(text: str, reader: Reader) -> dict[str, float]:
    """What a text holds, each with its weight: kit, conditions, rungs, measures and content words."""
    question = reader.read(text)
    found = {f"kit:{each}": 1.0 for each in question.equipment}
    found |= {f"condition:{each}": 1.0 for each in question.conditions}
    found |= {f"rung:{key.partition('/')[2]}/{level}": 1.5 for key, level in question.levels.items()}
    found |= dict.fromkeys(_measured(question.words), 1.5)
    idf = reader.rulebase.index.idf
    top = max(idf.values(), default=1.0)
    for word in question.words:
        name = stem(word.text)
        if name in _EMPTY or len(name) < 3 or not name[0].isalpha():
            continue
        found[_SAME.get(name, name)] = max(0.3, idf.get(word.forms[-1], top / 2) / top)
    return found


def _measured(text: Sequence[Word]) -> Iterable[str]:
    """Numbers with their unit; lengths in whole inches, so that 10 cm and 4 in are the same."""
    for number, unit in pairwise(text):
        if not re.fullmatch(r"\d+(\.\d+)?", number.text):
            continue
        if unit.text in _LENGTH:
            yield f"measure:{round(float(number.text) * _LENGTH[unit.text])} in"
        elif unit.text in _MEASURES:
            yield f"measure:{float(number.text):g} {unit.text.rstrip('s') or 's'}"


def share(wanted: dict[str, float], given: dict[str, float]) -> float:
    """The part of the weight of `wanted` that is also in `given`."""
    total = sum(wanted.values())
    return sum(weight for name, weight in wanted.items() if name in given) / total if total else 0.0


def lacking(wanted: dict[str, float], given: dict[str, float], most: int = 5) -> list[str]:
    """The weightiest concepts that are not in `given`, in words."""
    missing = sorted((name for name in wanted if name not in given), key=lambda name: (-wanted[name], name))
    return [name.partition(":")[2] or name for name in missing[:most]]
