"""How a question was understood and why entries won or lost, for `ask --explain`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.rulebase.loading import Rulebase
from assistant.shapes import Answer, FlagHit, Match, Question, Word

SHOWN = 8
PATTERNS = 6


def explained(
    answer: Answer,
    question: Question,
    hits: Sequence[FlagHit],
    ranked: Sequence[Match],
    barred: Sequence[Match],
    confidence: str,
    rulebase: Rulebase,
) -> str:
    """Tokens, concepts, contexts, intents, flags and candidates, each with the reason, as lines of text.

    `barred` are entries that share words with the question but whose subjects do not fit it.
    """
    lines = ["tokens:", *(f"  {n} {_token(word)}" for n, word in enumerate(question.words))]
    lines += ["concepts (words from-to, found by, sense):", *_concepts(question)]
    lines += ["contexts:", *_contexts(question)]
    lines += ["intents:", *_intents(question, rulebase)]
    lines.append(f"  chosen: {answer.intent or 'none'}{' (carried)' if question.intent_carried else ''}")
    lines.append(f"facts: {question.facts.as_dict()} marks {sorted(question.facts.marks)}; scope {question.scope}")
    lines += [f"flag {hit.flag} ({hit.tier}): '{hit.phrase}'" for hit in hits]
    lines.append(f"confidence: {confidence}; status {answer.status}")
    lines += ["candidates:", *_candidates(answer, ranked)]
    lines += [f"   out {match.entry}: {', '.join(match.reasons)}" for match in barred]
    return "\n".join(lines)


def _token(word: Word) -> str:
    if not word.how:
        return f"{word.text}: as typed"
    return f"{word.text}: {word.how} '{word.typed}'"


def _concepts(question: Question) -> Iterator[str]:
    named = set()
    for m in question.mentions:
        named.add(m.id)
        slips = sorted({w.typed for w in question.words[m.span[0] : m.span[1]] if w.how.startswith("mended")})
        mended = f", mended {', '.join(slips)}" if slips else ""
        yield f"  {m.kind} {m.id}: '{m.phrase}' words {m.span[0]}-{m.span[1]}, pattern '{m.pattern}'{mended}, {m.sense}"
    for each in [*question.movements, *question.conditions, *question.equipment]:
        if each in named:
            continue
        how = (
            "carried" if each in question.carried else "implied by a test" if each in question.implied else "from facts"
        )
        yield f"  {each}: {how}"
    levels = [f"{key} {level}" for key, level in question.levels.items() if key.split("/")[0] in question.movements]
    for name, found in (("report", question.reports), ("level", levels)):
        yield from (f"  {name} {each}" for each in found)


def _contexts(question: Question) -> Iterator[str]:
    for sense, cue, (start, end) in question.contexts:
        cued = f" by '{_phrase(question, *cue)}'" if cue[0] >= 0 else ""
        yield f"  {sense}{cued}: words {start}-{end} '{_phrase(question, start, end)}'"
    if not question.contexts:
        yield "  none: everything is said of this client and now"


def _phrase(question: Question, start: int, end: int) -> str:
    return " ".join(word.text for word in question.words[start:end])


def _intents(question: Question, rulebase: Rulebase) -> Iterator[str]:
    lexicon = rulebase.lexicon
    for intent, score in sorted(question.intent_scores.items(), key=lambda item: -item[1]):
        used = [
            f"{lexicon.texts[n]} ({owner.rpartition('-')[2]})"
            for n in question.hits
            for kind, owner in lexicon.owners[n]
            if kind == "intent" and owner.rpartition("-")[0] == intent
        ]
        yield f"  {intent} {score:.1f}: {'; '.join(used[:PATTERNS]) or 'from reports, conditions or entries found'}"


def _candidates(answer: Answer, ranked: Sequence[Match]) -> Iterator[str]:
    """The best entries: used in the answer, or what the first has and they lack, or what kept them out."""
    used = {point.rule for point in answer.points}
    for place, match in enumerate(ranked[:SHOWN]):
        if match.entry in used:
            verdict = "won" if place == 0 else "used as well"
        elif answer.status != "answered":
            verdict = f"not used: {answer.status}"
        elif place == 0:
            verdict = "first, but the computed figure or the word budget left no room"
        else:
            verdict = _lost(ranked[0], match)
        yield f"{match.score:6.2f} {match.entry}: {verdict}; {', '.join(match.reasons)}"
    if not ranked:
        yield "  none looked at: a red flag comes first" if answer.status == "refer" else "  none"


def _lost(best: Match, match: Match) -> str:
    mine, first = _gains(match), _gains(best)
    lacks = [name for name, gain in first.items() if gain - mine.get(name, 0.0) >= 0.1]
    behind = best.score - match.score
    return f"lost by {behind:.1f} on {', '.join(lacks)}" if lacks else "lost: no closer, or says what is said already"


def _gains(match: Match) -> dict[str, float]:
    """What each kind of reason gave; a reason reads 'kind cue +0.8'."""
    gains: dict[str, float] = {}
    for reason in match.reasons:
        text, _, amount = reason.rpartition(" ")
        name = text.split(" ")[0]
        gains[name] = gains.get(name, 0.0) + float(amount)
    return gains
