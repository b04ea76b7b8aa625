"""Red flags, looked for first and in the whole question, whatever is asked."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import TIERS
from assistant.shapes import FlagHit, Question, Span

_TIME = {"now", "today", "just", "this", "morning", "tonight", "suddenly", "sudden", "mid", "session", "again", "still"}
_SIGNS = ("sign", "weak-sign")
_LIVE = {"said": 0, "past": 1}
_ANYONE = {"said": 0, "other": 0, "past": 1}
_DRILL = {"supposed": 0, "said": 1}


def _signs(question: Question, rulebase: Rulebase) -> list[tuple[int, str, str]]:
    """Sign patterns that hold, whatever the sense: (pattern, kind, flag)."""
    owners = rulebase.lexicon.owners
    return [(number, kind, flag) for number in question.hits for kind, flag in owners[number] if kind in _SIGNS]


def drills(question: Question, rulebase: Rulebase) -> list[str]:
    """Flags whose signs are only supposed or explained: no alarm, but the coach asks what to do then."""
    signs = _signs(question, rulebase)
    if question.found is None or not signs:
        return []
    parts = question.found.among((s[0] for s in signs), lambda span: _DRILL.get(question.senses(span), -1))
    found: dict[str, int] = {}
    for number, _, flag in signs:
        supposed = [p for p in parts.get(number, ()) if any(question.senses(span) == "supposed" for span in p)]
        if supposed:
            found[flag] = max(found.get(flag, 0), *(len(p) for p in supposed))
    known = rulebase.knowledge.flags
    return sorted(found, key=lambda flag: (TIERS.index(known[flag].tier), -found[flag], flag))


def flags(question: Question, rulebase: Rulebase) -> list[FlagHit]:
    """Flags whose signs are said of this client and now, the most urgent first.

    Of a pattern with several parts one must be said of now; a condition named may be history ("replaced hip in 2019"). A
    `weak-sign` counts unless an `unless` pattern of the same flag stands in the same sentence; a flag of tier soon is
    dropped where the question says that it has been looked into (`settled_by`).
    """
    signs = _signs(question, rulebase)
    if question.found is None or not signs:
        return []
    known = rulebase.knowledge.flags
    numbers = [number for number, _, _ in signs]
    live = question.found.among(numbers, lambda span: _rank(question, span, _LIVE))
    anyone = question.found.among(numbers, lambda span: _rank(question, span, _ANYONE))
    excused = _excused(question, rulebase)
    sentence = [word.sentence for word in question.words]
    settled = rulebase.lexicon.owned(question.hits, "settled-by")
    hits: dict[str, FlagHit] = {}
    for number, kind, flag in signs:
        if flag in hits or flag in settled:
            continue
        now, found = (("said", "other"), anyone) if known[flag].anyone else (("said",), live)
        for parts in found.get(number, ()):
            current = any(question.senses(span) in now and not _only_time(question, span) for span in parts)
            if current and (kind == "sign" or sentence[parts[0][0]] not in excused.get(flag, ())):
                phrase = " ... ".join(" ".join(w.typed for w in question.words[a:b]) for a, b in parts)
                hits[flag] = FlagHit(flag, known[flag].tier, phrase)
                break
    return most_urgent(hits.values(), rulebase)


def most_urgent(hits: Iterable[FlagHit], rulebase: Rulebase) -> list[FlagHit]:
    """Flags in order of urgency; of one tier the shipped ones stand before a studio's."""
    known = rulebase.knowledge.flags
    return sorted(hits, key=lambda hit: (TIERS.index(hit.tier), known[hit.flag].house, hit.flag))


def _only_time(question: Question, span: Span) -> bool:
    """Whether a part is nothing but a word of time: "now" alone makes no old sign present."""
    return all(word.text in _TIME for word in question.words[span[0] : span[1]])


def _rank(question: Question, span: Span, senses: dict[str, int]) -> int:
    """Rank of a part by its sense; of the past only a named condition may take part, never an old sign."""
    sense = question.senses(span)
    if sense == "past" and not any(
        m.kind == "condition" and m.span[0] < span[1] and span[0] < m.span[1] for m in question.mentions
    ):
        return -1
    return senses.get(sense, -1)


def _excused(question: Question, rulebase: Rulebase) -> dict[str, set[int]]:
    """Sentences in which a flag's weak signs are excused by one of its benign look-alikes."""
    excused: dict[str, set[int]] = {}
    for number, spans in question.hits.items():
        for kind, owner in rulebase.lexicon.owners[number]:
            if kind == "unless":
                excused.setdefault(owner, set()).update(question.words[span[0]].sentence for span in spans)
    return excused
