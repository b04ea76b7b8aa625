"""What a follow-up question takes over from the turn before; everything taken over is named in `carried`."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.shapes import Question

SAID_OUTRIGHT = 3.0
SHORT = 7
TINY = 4
_PERSONAL = ("age", "stature_cm", "mass_kg", "weeks_since")


def carry(before: Question | None, now: Question, moves: Sequence[Sequence[str]] = ()) -> Question:
    """Fill the gaps of `now` from `before` (None: nothing to lean on). Returns `now`, changed in place.

    `moves` are the rungs advised last as [movement, axis, level]: "and once that is easy" starts from the first.
    """
    if before is None:
        return now
    other = _other_person(before, now)
    _movements(before, now)
    if not other:
        _conditions(before, now)
    _facts(before, now, other)
    outright = max(now.intent_scores.values(), default=0.0) >= SAID_OUTRIGHT
    if not outright and before.intent:
        now.intent, now.intent_carried = before.intent, True
    if moves and "after-that" in now.dialogue and now.intent == "progress":
        movement, axis, level = moves[0]
        now.levels.setdefault(f"{movement}/{axis}", level)
    elif len(now.words) <= TINY and now.levels and now.intent == "progress":
        now.target = dict(now.levels)
        now.levels = {}
    if now.movements == before.movements or "correction" in now.dialogue:
        for key, level in before.levels.items():
            now.levels.setdefault(key, level)
    if not now.reports and now.intent == "regress":
        now.reports = list(before.reports)
    now.equipment = list(dict.fromkeys([*now.equipment, *(e for e in before.equipment if e not in now.missing_kit)]))
    now.missing_kit = list(dict.fromkeys([*now.missing_kit, *before.missing_kit]))
    if not now.screens and now.intent == "screen":
        now.screens = list(before.screens)
    if len(now.words) <= SHORT:
        now.lexical_before = before.lexical | before.lexical_before
        now.hits_before = {**before.hits_before, **before.hits}
    if now.scope == "unclear":
        now.scope = "in"
    return now


def _other_person(before: Question, now: Question) -> bool:
    age, old_age = now.facts.values.get("age"), before.facts.values.get("age")
    sex, old_sex = now.facts.words.get("sex"), before.facts.words.get("sex")
    changed = (age is not None and old_age is not None and age != old_age) or (
        age is not None and sex is not None and old_sex is not None and sex != old_sex
    )
    return changed or bool(before.conditions and "same-but" in now.dialogue and sex and old_sex and sex != old_sex)


def _movements(before: Question, now: Question) -> None:
    if now.movements:
        return
    last = {movement.rpartition("-")[2] for movement in before.movements}
    variants = [v for v in now.variants if v.rpartition("-")[2] in last]
    if variants:
        now.movements = variants[:1]
        return
    kept = [m for m in before.movements if m not in before.implied]
    now.movements = kept
    now.carried += kept


def _conditions(before: Question, now: Question) -> None:
    for condition in before.conditions:
        if condition not in now.denied and condition not in now.conditions:
            now.conditions.append(condition)
            now.carried.append(condition)


def _facts(before: Question, now: Question, other: bool) -> None:
    for name, value in before.facts.values.items():
        if name in now.facts.values or (other and name in _PERSONAL):
            continue
        now.facts.values[name] = value
        if name in before.facts.units:
            now.facts.units.setdefault(name, before.facts.units[name])
    for name, word in before.facts.words.items():
        if not other:
            now.facts.words.setdefault(name, word)
