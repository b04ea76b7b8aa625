"""What is asked for, from weighted patterns and from what else was found; every score keeps its reasons."""

from __future__ import annotations

from collections.abc import Iterable

INTENTS = ("caution", "regress", "progress", "setup", "dose", "cue", "screen", "explain", "plan")
EXTRA = 0.3
MAX_EXTRA = 4
ASIDE = 0.75  # what a pattern outside the sentence that asks weighs


def scores(patterns: Iterable[tuple[str, bool]], floors: dict[str, float], extra: dict[str, float]) -> dict[str, float]:
    """Score of each intent: its heaviest pattern and 0.3 for each further one (at most 4), at least its floor, plus extra.

    `patterns` are (owner, asked) pairs such as ("regress-4", True); what stands outside the sentence that asks counts for
    less. Floors come from reports and conditions, extras from screens named with a number.
    """
    weights: dict[str, list[float]] = {}
    for owner, asked in patterns:
        intent, _, weight = owner.rpartition("-")
        weights.setdefault(intent, []).append(float(weight) * (1.0 if asked else ASIDE))
    result = dict(floors)
    for intent, found in weights.items():
        found.sort(reverse=True)
        result[intent] = max(result.get(intent, 0.0), found[0] + EXTRA * min(len(found) - 1, MAX_EXTRA))
    for intent, amount in extra.items():
        result[intent] = result.get(intent, 0.0) + amount
    return result


def with_kinds(scored: dict[str, float], kinds: dict[str, float], weight: float) -> dict[str, float]:
    """Scores with the share that the entries found add: `weight` for each point of their strength, at most three points."""
    return {
        intent: scored.get(intent, 0.0) + weight * min(kinds.get(intent, 0.0), 3.0)
        for intent in INTENTS
        if intent in scored or intent in kinds
    }


def best(scored: dict[str, float]) -> str:
    """The intent with the highest score, earlier in INTENTS on a tie; '' when nothing scored."""
    ranked = sorted(((-score, INTENTS.index(intent), intent) for intent, score in scored.items() if intent in INTENTS))
    return ranked[0][2] if ranked and ranked[0][0] < 0 else ""
