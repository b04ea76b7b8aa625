"""Red flags, looked for first and in the whole question, whatever is asked."""

from __future__ import annotations

from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import TIERS
from assistant.shapes import FlagHit, Question, Span

_LIVE = ("said", "past")


def drills(question: Question, rulebase: Rulebase) -> list[str]:
    """Flags whose signs are only supposed or explained: no alarm, but the coach asks what to do then."""
    if question.found is None:
        return []
    found: dict[str, int] = {}
    for number, parts in question.found.patterns(lambda span: question.senses(span) in ("said", "supposed")).items():
        if any(question.senses(span) == "supposed" for part in parts for span in part):
            for kind, owner in rulebase.lexicon.owners[number]:
                if kind in ("sign", "weak-sign"):
                    found[owner] = max(found.get(owner, 0), max(len(part) for part in parts))
    known = rulebase.knowledge.flags
    return sorted(found, key=lambda flag: (TIERS.index(known[flag].tier), -found[flag], flag))


def flags(question: Question, rulebase: Rulebase) -> list[FlagHit]:
    """Flags whose signs are said of this client and now, the most urgent first.

    Of a pattern with several parts one must be said of now; the others may be history ("replaced hip in 2019"). A
    `weak-sign` counts unless an `unless` pattern of the same flag stands in the same sentence.
    """
    if question.found is None:
        return []
    lexicon, known = rulebase.lexicon, rulebase.knowledge.flags
    senses: dict[Span, str] = {}

    def sense(span: Span) -> str:
        if span not in senses:
            senses[span] = question.senses(span)
        return senses[span]

    live = question.found.patterns(lambda span: sense(span) in _LIVE)
    anyones = question.found.patterns(lambda span: sense(span) in (*_LIVE, "other"))
    sentence = [word.sentence for word in question.words]
    excused: dict[str, set[int]] = {}
    for number, spans in question.hits.items():
        for kind, owner in lexicon.owners[number]:
            if kind == "unless":
                excused.setdefault(owner, set()).update(sentence[span[0]] for span in spans)
    hits: dict[str, FlagHit] = {}
    for number in anyones:
        for kind, owner in lexicon.owners[number]:
            if kind not in ("sign", "weak-sign") or owner in hits:
                continue
            open_to_all = known[owner].anyone
            parts = (anyones if open_to_all else live).get(number, [])
            good = [
                p
                for p in parts
                if any(sense(span) in (("said", "other") if open_to_all else ("said",)) for span in p)
                and (kind == "sign" or sentence[p[0][0]] not in excused.get(owner, ()))
            ]
            if good:
                phrase = " ... ".join(" ".join(w.typed for w in question.words[a:b]) for a, b in good[0])
                hits[owner] = FlagHit(owner, known[owner].tier, phrase)
    return sorted(hits.values(), key=lambda hit: (TIERS.index(hit.tier), hit.flag))
