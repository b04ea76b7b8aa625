"""How likely the best entry answers the question, from 0 to 1, measured and not felt.

Two logistic lines, fitted once on the questions of tests/bench (DEVELOPERS.md holds the bands and how often each was right):
with a subject named, by the best entry's score, the lead of the intent and the share of words in common; without one, by
words in common and by the subjects of entries that are mentioned. Below LINE the program does not answer.
"""

from __future__ import annotations

import math

from assistant.matching.entries import EntryIndex, Ranking
from assistant.shapes import Question

LINE = 0.4
BANDS = ((0.95, "sure"), (0.85, "likely"), (LINE, "fair"), (0.0, "too low to answer"))
_SUBJECT = (-3.3, 0.36, 1.2, 3.0)  # constant, score, intent lead, word share
_NO_SUBJECT = (-2.3, 1.7)  # constant, three times the word share plus what `about` patterns give
_TOP_SCORE, _TOP_LEAD, _TOP_STRENGTH = 12.0, 3.0, 4.0


def confidence(question: Question, ranked: Ranking, index: EntryIndex) -> float:
    """Share of such questions, 0 to 1, that the best entries answer rightly; 0 when no entry fits."""
    if not ranked:
        return 0.0
    best = ranked[0]
    if named(question):
        scores = sorted(question.intent_scores.values(), reverse=True)
        lead = _TOP_LEAD if question.intent_carried else (scores[0] - (scores[1:] or [0.0])[0] if scores else 0.0)
        constant, by_score, by_lead, by_words = _SUBJECT
        words = ranked.first.lexical
        return _share(
            constant + by_score * min(best.score, _TOP_SCORE) + by_lead * min(lead, _TOP_LEAD) + by_words * words
        )
    constant, by_strength = _NO_SUBJECT
    strength = 3 * index.lexical(question, unknown=1.0).get(best.entry, 0.0) + ranked.first.about
    return _share(constant + by_strength * min(strength, _TOP_STRENGTH))


def named(question: Question) -> bool:
    """Whether the question names anything of the field: a movement, condition, test, kit, or what goes wrong."""
    return bool(question.movements or question.conditions or question.screens or question.equipment or question.reports)


def band(value: float) -> str:
    """The confidence in words."""
    return next(word for least, word in BANDS if value >= least)


def _share(x: float) -> float:
    return 1 / (1 + math.exp(-x))
