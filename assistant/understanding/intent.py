"""What is asked for, from weighted patterns and from what else was found; every score keeps its reasons."""

from __future__ import annotations

from collections.abc import Iterable

INTENTS = ("caution", "regress", "progress", "setup", "dose", "cue", "screen", "explain", "plan")
EXTRA = 0.3
MAX_EXTRA = 4


def scores(patterns: Iterable[tuple[str, str]], floors: dict[str, float], extra: dict[str, float]) -> dict[str, float]:
    """Score of each intent: its heaviest pattern and 0.3 for each further one (at most 4), at least its floor, plus extra.

    `patterns` are (owner, text) pairs such as ("regress-4", "@easier"); floors come from reports and conditions, extras
    from screens named with a number.
    """
    weights: dict[str, list[int]] = {}
    for owner, _ in patterns:
        intent, _, weight = owner.rpartition("-")
        weights.setdefault(intent, []).append(int(weight))
    result = dict(floors)
    for intent, found in weights.items():
        found.sort(reverse=True)
        result[intent] = max(result.get(intent, 0.0), found[0] + EXTRA * min(len(found) - 1, MAX_EXTRA))
    for intent, amount in extra.items():
        result[intent] = result.get(intent, 0.0) + amount
    return result


def best(scored: dict[str, float]) -> str:
    """The intent with the highest score, earlier in INTENTS on a tie; '' when nothing scored."""
    ranked = sorted(((-score, INTENTS.index(intent), intent) for intent, score in scored.items() if intent in INTENTS))
    return ranked[0][2] if ranked and ranked[0][0] < 0 else ""
