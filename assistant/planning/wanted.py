"""Whether a question asks for a whole session to be built for one client."""

from __future__ import annotations

from assistant.planning.person import goal_of, told_results
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Question


def wanted(question: Question, rulebase: Rulebase, has_card: bool) -> bool:
    """Whether to build a session: asked for in so many words, of a client of whom something is known.

    A weak wording ("plan a session") needs an age, a result or a card; otherwise the advice on sessions answers it.
    """
    if not rulebase.knowledge.sessions:
        return False
    owners = rulebase.lexicon.owned(question.hits, "session")
    if not owners & {"build", "plan"} or "other" in owners or question.reports:
        return False
    known = has_card or "age" in question.facts.values or bool(told_results(question, rulebase))
    return known or ("build" in owners and bool(question.conditions or goal_of(question, rulebase)))
