"""Which figures a question asks for: each asker looks at the trigger words and the numbers, and computes or passes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from assistant.errors import InputError
from assistant.figures import body, screening, training
from assistant.figures.ask import Ask
from assistant.figures.numbers import numbers
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Figure, Question

Asker = Callable[[Ask], list[Figure]]
ASKERS: tuple[Asker, ...] = (
    training.converted, training.reserve_target, training.max_heart_rate, training.training_load, training.one_rep_max,
    training.load_jump, training.next_load, training.reps_at, training.stepping_cost, training.weekly_minutes,
    screening.sppb, screening.sitting_rising, screening.gait_speed, screening.grip, screening.tables,
    body.support_share, body.cane, body.pole_extra, body.pole, body.ramp, body.seat, body.weeks_to, body.split_depth,
    body.step_knee,
)  # fmt: skip


@dataclass(frozen=True)
class Refused:
    """A figure asked for with an impossible input; says why."""

    reason: str


def figures_for(question: Question, rulebase: Rulebase, before: Sequence[Figure]) -> tuple[list[Figure], str]:
    """Figures computed for this question and a line on input that was refused; `before` are those of the last turn."""
    triggers = {owner for n in question.hits for kind, owner in rulebase.lexicon.owners[n] if kind == "figure"}
    earlier = {owner for n in question.hits_before for kind, owner in rulebase.lexicon.owners[n] if kind == "figure"}
    ask = Ask(question, rulebase.knowledge, triggers, earlier, numbers(question), list(before))
    refused = ""
    for asker in ASKERS:
        try:
            found = asker(ask)
        except InputError as error:
            refused = (
                refused or f"Not computed: {error.what}; {error.fix}." if error.fix else f"Not computed: {error.what}."
            )
            continue
        if found:
            return found, ""
    return [], refused
