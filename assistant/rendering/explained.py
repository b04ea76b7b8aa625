"""How a question was understood and why entries won or lost, for `ask --explain`."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.rulebase.loading import Rulebase
from assistant.shapes import FlagHit, Match, Question

SHOWN = 8


def explained(question: Question, hits: Sequence[FlagHit], ranked: Sequence[Match], rulebase: Rulebase) -> str:
    """Words, mentions with span and sense, intents with patterns, flags, and the best entries with their reasons."""
    lexicon = rulebase.lexicon
    lines = ["words: " + " ".join(f"{w.text}" + (f"<{w.typed}>" if w.typed != w.text else "") for w in question.words)]
    for m in question.mentions:
        lines.append(f"{m.kind} {m.id}: '{m.phrase}' words {m.span[0]}-{m.span[1]}, {m.sense}")
    lines.append(
        f"subjects: movements {question.movements} conditions {question.conditions} kit {question.equipment} screens {question.screens}"
    )
    lines.append(
        f"carried {question.carried} reports {question.reports} levels {question.levels} facts {question.facts.as_dict()} marks {sorted(question.facts.marks)}"
    )
    for intent, score in sorted(question.intent_scores.items(), key=lambda item: -item[1]):
        used = [
            lexicon.texts[n]
            for n in question.hits
            for kind, owner in lexicon.owners[n]
            if kind == "intent" and owner.rpartition("-")[0] == intent
        ]
        lines.append(f"intent {intent} {score:.1f}: {'; '.join(used[:6])}")
    figures = sorted(lexicon.owned(question.hits, "figure"))
    lines.append(f"intent chosen: {question.intent or 'none'}; scope {question.scope}; figure words {figures}")
    lines += [f"flag {hit.flag} ({hit.tier}): {hit.phrase}" for hit in hits]
    lines += [f"{m.score:6.2f} {m.entry}: {', '.join(m.reasons)}" for m in ranked[:SHOWN]]
    return "\n".join(lines)
