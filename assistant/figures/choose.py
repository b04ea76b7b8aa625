"""Which figures a question asks for: each asker looks at the trigger words and the numbers, and computes or passes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from assistant.errors import InputError
from assistant.figures import (
    activity,
    fitting,
    hands,
    heart,
    lifting,
    scoring,
    screening,
    sppb,
    stance,
    support,
    walking,
)
from assistant.figures.ask import Ask
from assistant.figures.numbers import numbers
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Figure, Question, Span

Asker = Callable[[Ask], list[Figure]]
# Each asker with the intent that a question for its figure has; "" where the figure only serves another intent.
ASKERS: tuple[tuple[Asker, str], ...] = (
    (lifting.converted, ""), (heart.refusal, "dose"), (heart.reserve_target, "dose"), (heart.max_heart_rate, "dose"),
    (lifting.training_load, "dose"), (lifting.one_rep_max, "dose"), (lifting.reps_in_reserve, "dose"),
    (activity.stepping_cost, "dose"), (activity.weekly_minutes, "dose"), (sppb.sppb, "screen"),
    (scoring.sitting_rising, "screen"), (scoring.sarc_f, "screen"), (scoring.borg, "dose"),
    (scoring.stay_independent, "screen"), (scoring.parkinsons_falls, "screen"), (scoring.postural_drop, "screen"),
    (screening.hands_used, "screen"), (support.tip_angle, ""), (walking.six_minute_walk, "screen"), (walking.gait_speed, "screen"),
    (screening.tables, "screen"), (support.band_relief, "screen"), (support.support_share, "screen"),
    (support.band_at_depth, "setup"),
    (lifting.load_jump, ""), (lifting.next_load, ""), (lifting.reps_at, "dose"), (stance.lumber, "setup"), (fitting.cane, "setup"),
    (fitting.pole_extra, "setup"), (fitting.pole, "setup"), (stance.ramp, "setup"), (fitting.seat_change, "setup"), (fitting.seat, "setup"), (stance.weeks_to, ""),
    (stance.stair_ladder, ""), (stance.split_depth, "setup"), (stance.step_knee, ""), (stance.step_work, ""), (hands.which_hand, ""),
)  # fmt: skip


# Triggers that state a fact of the client: one that is denied ("no falls") does not count.
_STATED = ("si-", "pd-", "hands-used")


def figures_for(ask: Ask) -> tuple[list[Figure], str, str]:
    """Figures computed for this question, the intent they speak for, and a line on input that was refused."""
    refused = ""
    for asker, intent in ASKERS:
        try:
            found = asker(ask)
        except InputError as error:
            refused = refused or _refusal(error)
            continue
        if found:
            return found, intent, ""
    return [], "", refused


def asked(question: Question, rulebase: Rulebase, before: Sequence[Figure]) -> Ask:
    """What askers are given: the question with its triggers, its numbers and the figures of the turn before."""
    return Ask(
        question, rulebase.knowledge, _triggers(question, rulebase, question.hits),
        _triggers(question, rulebase, question.hits_before, stated=False), numbers(question), list(before),
    )  # fmt: skip


def _triggers(
    question: Question, rulebase: Rulebase, hits: Mapping[int, Sequence[Span]], stated: bool = True
) -> set[str]:
    """Names of the trigger patterns found in the question."""
    found = set()
    for number, spans in hits.items():
        for kind, owner in rulebase.lexicon.owners[number]:
            if kind != "figure" or owner in found:
                continue
            fact = owner.startswith(_STATED)
            if not fact or (stated and any(question.senses(span) != "denied" for span in spans)):
                found.add(owner)
    return found


def _refusal(error: InputError) -> str:
    return f"Not computed: {error.what}; {error.fix}." if error.fix else f"Not computed: {error.what}."
