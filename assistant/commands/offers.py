"""What completion offers in the conversation: concepts by any of their names, each explained, and the plain words.

`matching` is a pure function of the text before the cursor.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Subject

MOST, LONGEST_HINT = 12, 60
_KINDS = {"movement": "movement", "condition": "condition", "equipment": "kit", "screen": "test"}
_PLAIN_NAME = re.compile(r"[a-z0-9 ]+")
_WORD = re.compile(r"[^\s,;.?!]+")


@dataclass(frozen=True)
class Offer:
    """A thing that can be written: the text, an explanation, and other names it answers to."""

    text: str
    hint: str
    names: tuple[str, ...] = ()
    order: int = 0  # among equally good offers the lower comes first
    alone: bool = False  # only when nothing else stands on the line


def matching(before: str, offers: Iterable[Offer]) -> list[tuple[Offer, int]]:
    """Offers for the text before the cursor, best first, with how many characters each would replace."""
    tails = _tails(before)
    found: list[tuple[tuple[int, int, int, str], Offer]] = []
    for offer in offers:
        if offer.alone and before.strip() and len(tails) > 1:
            continue
        for tail in tails:
            rank = _rank(tail.lower(), offer)
            if rank is not None:
                found.append(((-len(tail), rank, offer.order, offer.text), offer))
                break
    found.sort(key=lambda each: each[0])
    return [(offer, -key[0]) for key, offer in found if key[0] == found[0][0][0]][:MOST]


def _tails(before: str) -> list[str]:
    """The last three words, the last two, the last; nothing when the cursor stands behind a blank."""
    words = list(_WORD.finditer(before))
    if not words or words[-1].end() != len(before):
        return []
    return [before[word.start() :] for word in words[-3:]]


def _rank(tail: str, offer: Offer) -> int | None:
    """0 the name begins so, 1 another name does, 2 a later word of the name does."""
    plain = tail.replace("-", " ")
    name = offer.text.lower().replace("-", " ")
    if name.startswith(plain):
        return 0
    if len(plain) < 2:
        return None
    if any(other.startswith(plain) for other in offer.names):
        return 1
    return 2 if f" {plain}" in name else None


def concepts(rulebase: Rulebase) -> list[Offer]:
    """An offer for every movement, condition, piece of kit and test."""
    subjects = [each for each in rulebase.knowledge.subjects.values() if each.kind in _KINDS]
    names = _other_names(rulebase, {each.id for each in subjects})
    said = _first_said(rulebase)
    order = list(_KINDS)
    return [
        Offer(each.name, _hint(each, said), tuple(sorted(names.get(each.id, ()))), order.index(each.kind))
        for each in subjects
    ]


def _other_names(rulebase: Rulebase, ids: set[str]) -> dict[str, set[str]]:
    names: dict[str, set[str]] = {}
    for number, owners in enumerate(rulebase.lexicon.owners):
        for kind, owner in owners:
            if kind in _KINDS and owner in ids and _PLAIN_NAME.fullmatch(rulebase.lexicon.texts[number]):
                names.setdefault(owner, set()).add(rulebase.lexicon.texts[number])
    return names


def _first_said(rulebase: Rulebase) -> dict[str, str]:
    """The first advice on each subject, a general one before one that is bound to a movement."""
    general: dict[str, str] = {}
    special: dict[str, str] = {}
    for entry in rulebase.knowledge.entries.values():
        chosen = general if len(entry.movements) != 1 and not entry.only_about else special
        chosen.setdefault(entry.subject, entry.say)
    return {**special, **general}


def _hint(subject: Subject, said: dict[str, str]) -> str:
    if subject.ladder is not None:
        return _short(f"movement: ladder of {', '.join(axis.id.replace('-', ' ') for axis in subject.ladder.axes)}")
    return _short(f"{_KINDS[subject.kind]}: {said.get(subject.id, 'no advice of its own')}")


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_HINT else text[: LONGEST_HINT - 3].rsplit(" ", 1)[0] + " .."
