"""What a client card adds to the first question about the client; the question's own words always win."""

from __future__ import annotations

from assistant.shapes import Profile, Question
from assistant.understanding.question import RECENT_WEEKS, SURGICAL

AGE_SLACK = 5


def add_card(card: Profile | None, question: Question) -> str:
    """Fill the gaps of the question from the card, in place; returns why the card was left out, if it was."""
    if card is None:
        return ""
    other = _other_person(card, question)
    if other:
        return f"Card {card.code} left out: the question is about {other}."
    values, words = question.facts.values, question.facts.words
    if card.ages:
        values.setdefault("age", sum(card.ages) / 2)
    if card.stature_cm:
        values.setdefault("stature_cm", card.stature_cm)
    if card.sex:
        words.setdefault("sex", card.sex)
    _conditions(card, question)
    if not question.equipment:
        question.equipment = [kit for kit in card.kit if kit not in question.missing_kit]
    _rungs(card, question)
    return ""


def _other_person(card: Profile, question: Question) -> str:
    sex, age = question.facts.words.get("sex", ""), question.facts.values.get("age")
    if sex and card.sex and sex != card.sex:
        return f"a {sex} client"
    if age is not None and card.ages and not card.ages[0] - AGE_SLACK <= age <= card.ages[1] + AGE_SLACK:
        return f"a client of {age:g}"
    return ""


def _conditions(card: Profile, question: Question) -> None:
    named = list(question.conditions)
    added = [each for each in card.conditions if each[0] not in question.denied and each[0] not in named]
    question.conditions += [condition for condition, _, _ in added]
    question.carried += [condition for condition, _, _ in added]
    ours = [each for each in card.conditions if each[0] not in question.denied and (not named or each[0] in named)]
    sides = {side for _, side, _ in ours if side in ("left", "right")}
    if len(sides) == 1 and "side" not in question.facts.words:
        question.facts.words["side"] = sides.pop()
    weeks = [since for condition, _, since in ours if condition in SURGICAL and since is not None]
    if weeks and "weeks_since" not in question.facts.values:
        question.facts.values["weeks_since"] = min(weeks)
        if min(weeks) <= RECENT_WEEKS and "recent-surgery" not in [*question.conditions, *question.denied]:
            question.conditions.append("recent-surgery")
            question.carried.append("recent-surgery")


def _rungs(card: Profile, question: Question) -> None:
    """The present rung of the movement asked about: that of the side named, or the one that counts for both."""
    side = question.facts.words.get("leg") or question.facts.words.get("side", "")
    for movement in question.movements:
        levels = card.rungs.get(f"{movement}/{side}") or card.rungs.get(movement) or {}
        for axis, level in levels.items():
            question.levels.setdefault(f"{movement}/{axis}", level)
