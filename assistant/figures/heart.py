"""Askers for heart rate: predicted maximum, targets, and the refusal where a pulse cannot guide effort."""

from __future__ import annotations

from assistant.figures import load
from assistant.figures.ask import Ask
from assistant.shapes import Figure
from assistant.units import plain

TANAKA, KARVONEN, BORG, GARBER = (
    "tanaka-2001-age-predicted", "karvonen-1957-training-heart", "borg-1982-psychophysical-bases", "garber-2011-quantity-quality",
)  # fmt: skip
RATE_LIMITED = ("beta-blockers", "atrial-fibrillation", "pacemaker", "parkinsons")
MODERATE, DEFAULT_RESTING = (40.0, 59.0), 70.0
_HEART = ("heart-rate-max", "heart-rate-target")


def _rate_limited(ask: Ask) -> str:
    known = ask.knowledge.subjects
    return next((known[c].name for c in ask.question.conditions if c in RATE_LIMITED and c in known), "")


def refusal(ask: Ask) -> list[Figure]:
    """Effort and talk test instead of a heart rate, where a drug, a device or a condition limits or blurs the pulse."""
    name = _rate_limited(ask)
    asked = ask.now("max-heart-rate", "target-heart-rate") or (ask.short and ask.last(*_HEART) is not None)
    if not name or not asked:
        return []
    sentence = (
        f"No heart-rate target with {name}: the pulse does not show effort there (blunted or unreliable). Use RPE 11 to 13 on "
        "the Borg 6-20 scale and the talk test: can talk, cannot sing."
    )
    return [Figure("borg-rpe", 12.0, "rating", (BORG,), sentence, (11.0, 13.0))]


def _maximum(ask: Ask, age: float) -> tuple[float, str]:
    """Predicted maximum by the rule asked for: 220 - age only when that alone is named."""
    if ask.now("fox-rule") and not ask.now("tanaka-rule"):
        return load.fox(age), "220 - age"
    return load.tanaka(age), "208 - 0.7 x age"


def max_heart_rate(ask: Ask) -> list[Figure]:
    """Age-predicted maximal heart rate by Tanaka, with the older 220 - age beside it."""
    age = ask.age
    if not ask.now("max-heart-rate", "tanaka-rule", "fox-rule") or age is None or _rate_limited(ask):
        return []
    value, older = load.tanaka(age), load.fox(age)
    sentence = (
        f"Predicted maximum about {plain(value)} bpm at {plain(age)} by Tanaka (208 - 0.7 x age), {plain(older)} by 220 - age. "
        "Either can miss by 10 beats or more. Not for anyone on a beta-blocker: use effort and the talk test."
    )
    return [
        Figure("heart-rate-max", value, "bpm", (TANAKA,), sentence, (value - 10, value + 10), {"age": age}),
        Figure("heart-rate-max-220", older, "bpm", (TANAKA,), "", None, {"age": age}),
    ]


def reserve_target(ask: Ask) -> list[Figure]:
    """Heart-rate target from age, resting pulse and percentage of reserve (or of the maximum, when that is asked)."""
    earlier = ask.last("heart-rate-target")
    follow = ask.short and ask.last(*_HEART) is not None and bool(ask.percents() or _resting(ask))
    if not ask.now("target-heart-rate") and not follow and earlier is None:
        return []
    age = ask.age or (earlier.inputs.get("age") if earlier else None)
    if age is None or _rate_limited(ask):
        return []
    share = ask.percents()
    if not share and earlier and len(ask.question.words) <= 5:
        share = [n.value for n in ask.units("") if 20 <= n.value <= 95 and n.value != age]
        if not share and age != earlier.inputs.get("age"):
            share = [earlier.inputs["percent"]]
        if not share:
            return []
    if not ask.now("target-heart-rate") and not follow and not share:
        return []
    if not share and _resting(ask) is not None:
        share = [n.value for n in ask.units("") if 30 <= n.value <= 95 and n.value not in (age, _resting(ask))]
    return [_target(ask, age, share[:2] or list(MODERATE), bool(share))]


def _target(ask: Ask, age: float, share: list[float], given: bool) -> Figure:
    maximum, rule = _maximum(ask, age)
    earlier = ask.last("heart-rate-target")
    known = _resting(ask) or (earlier.inputs.get("resting") if earlier else None)
    of_it = ask.last("heart-rate-max") is not None and ask.said("it", "that", "max")
    of_max = (of_it or ask.now("percent-of-max-rate")) and not ask.now("reserve-word") and _resting(ask) is None
    resting = 0.0 if of_max else known or DEFAULT_RESTING
    rates = [maximum * s / 100 if of_max else load.karvonen(maximum, resting, s) for s in share]
    asks = "" if of_max or known else " Tell me the resting pulse (70 taken)."
    default = "" if given else " (moderate effort)"
    base = f"of a predicted maximum of {plain(maximum)} bpm ({rule})" if of_max else (
        f"of heart-rate reserve{default}, from a predicted maximum of {plain(maximum)} bpm ({rule}) and {plain(resting)} at rest"
    )  # fmt: skip
    sentence = (
        f"Target {' to '.join(plain(r) for r in rates)} bpm: {' to '.join(plain(s) for s in share)}% {base}. "
        f"Check it against the talk test.{asks}"
    )
    span = (min(rates), max(rates)) if len(rates) > 1 else None
    inputs = {"age": age, "percent": share[0]} | ({} if of_max else {"resting": resting})
    sources = (TANAKA,) if of_max else (KARVONEN, TANAKA) if given else (KARVONEN, TANAKA, GARBER)
    return Figure("heart-rate-target", rates[0], "bpm", sources, sentence, span, inputs)


def _resting(ask: Ask) -> float | None:
    plausible = [n for n in ask.numbers if n.unit in ("", "bpm") and 35 <= n.value <= 110 and n.value != ask.age]
    for reach in (2, 4):
        for n in plausible:
            if ask.near(n, "resting", "rest", "rests", "rhr", "restin", before=reach, after=reach - 1):
                return n.value
    return None
