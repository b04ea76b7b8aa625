"""Which figures a question asks for: each asker looks at the trigger words and the numbers, and computes or passes.

No asker computes anything without a trigger word, now or in the turn before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache

from assistant.errors import InputError
from assistant.figures.ask import Ask
from assistant.figures.numbers import numbers
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Figure, Question, Span

Asker = Callable[[Ask], list[Figure]]


@lru_cache(maxsize=1)
def askers() -> tuple[Asker, ...]:
    """All askers, in the order in which they are heard; imported when the first question wants a figure."""
    from assistant.figures import activity, fitting, heart, lifting, scoring, screening, sppb, stance, support, walking

    return (
        lifting.converted, heart.refusal, heart.reserve_target, heart.max_heart_rate, lifting.training_load, lifting.one_rep_max,
        lifting.reps_in_reserve, activity.stepping_cost, activity.weekly_minutes, sppb.sppb, scoring.sitting_rising,
        scoring.sarc_f, scoring.borg, scoring.stay_independent, scoring.parkinsons_falls, scoring.postural_drop, screening.hands_used, walking.six_minute_walk,
        walking.gait_speed, screening.tables, support.band_relief, support.support_share, support.tip_angle, lifting.load_jump,
        lifting.next_load, lifting.reps_at, stance.lumber, fitting.cane, fitting.pole_extra, fitting.pole, stance.ramp, fitting.seat,
        stance.weeks_to, stance.split_depth, stance.step_knee, stance.step_work,
    )  # fmt: skip


# Triggers that state a fact of the client: one that is denied ("no falls") does not count.
_STATED = ("si-", "pd-", "hands-used")


def figures_for(question: Question, rulebase: Rulebase, before: Sequence[Figure]) -> tuple[list[Figure], str]:
    """Figures computed for this question and a line on input that was refused; `before` are those of the last turn."""
    now, earlier = (
        _triggers(question, rulebase, question.hits), _triggers(question, rulebase, question.hits_before, stated=False)
    )  # fmt: skip
    if not now and not earlier:
        return [], ""
    ask = Ask(question, rulebase.knowledge, now, earlier, numbers(question), list(before))
    refused = ""
    for asker in askers():
        try:
            found = asker(ask)
        except InputError as error:
            refused = refused or _refusal(error)
            continue
        if found:
            return found, ""
    return [], refused


def _triggers(
    question: Question, rulebase: Rulebase, hits: Mapping[int, Sequence[Span]], stated: bool = True
) -> set[str]:
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
