"""Who a session is for: from a client card, a question or both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from assistant.figures.choose import asked
from assistant.figures.norms import tables_of
from assistant.figures.numbers import Number, numbers
from assistant.figures.results import in_unit, results, screens
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Knowledge, Table
from assistant.shapes import Profile, Question
from assistant.understanding.question import RECENT_WEEKS, SURGICAL

_LENGTHS = (("half-hour", 30), ("hour", 60))
Condition = tuple[str, str, float | None]  # id, side, weeks since


@dataclass(frozen=True)
class Person:
    """What is known of a client; `missing` is kit that is not there, `cleared` conditions a clinician has looked into."""

    code: str = ""
    age: float | None = None
    sex: str = ""
    conditions: tuple[Condition, ...] = ()
    results: Mapping[str, float] = field(default_factory=dict)
    rungs: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    cleared: tuple[str, ...] = ()
    goal: str = ""
    dated: tuple[str, ...] = ()  # conditions of which it is known whether they are recent

    @property
    def has(self) -> tuple[str, ...]:
        """All conditions; an operation of the last weeks on a joint or the spine counts as recent surgery."""
        ids = [condition for condition, _, _ in self.conditions]
        recent = any(
            condition in SURGICAL and weeks is not None and weeks <= RECENT_WEEKS
            for condition, _, weeks in self.conditions
        )
        return tuple(dict.fromkeys([*ids, *(["recent-surgery"] if recent else [])]))

    def weeks(self, condition: str) -> float | None:
        """Weeks since a condition began, when that is known."""
        return next((weeks for name, _, weeks in self.conditions if name == condition), None)

    @property
    def undated(self) -> tuple[str, ...]:
        """Operations of which nobody said when."""
        return tuple(
            name for name, _, weeks in self.conditions if name in SURGICAL and weeks is None and name not in self.dated
        )


def of_card(profile: Profile, knowledge: Knowledge) -> Person:
    """The client of a card; of two sides the easier rung and the worse result count."""
    rungs: dict[str, dict[str, str]] = {}
    for name, levels in profile.rungs.items():
        movement = name.split("/")[0]
        known = {axis: level for axis, level in levels.items() if _is_rung(knowledge, movement, axis, level)}
        if known:
            rungs[movement] = _easier(knowledge, movement, rungs.get(movement, known), known)
    conditions = tuple(each for each in profile.conditions if each[0] in knowledge.subjects)
    age = sum(profile.ages) / 2 if profile.ages else None
    return Person(profile.code, age, profile.sex, conditions, _results(profile, knowledge), rungs, dated=profile.dated)


def _results(profile: Profile, knowledge: Knowledge) -> dict[str, float]:
    found: dict[str, float] = {}
    for screen, _, value, unit in profile.results:
        table = first_table(knowledge, screen)
        if table is None:
            continue
        value = in_unit(Number(value, unit or table.unit, 0), table.unit)
        worse = min if table.better == "higher" else max
        found[screen] = worse(value, found.get(screen, value))
    return found


def _is_rung(knowledge: Knowledge, movement: str, axis: str, level: str) -> bool:
    subject = knowledge.subjects.get(movement)
    found = subject.ladder.axis(axis) if subject and subject.ladder else None
    return found is not None and found.index(level) >= 0


def _easier(knowledge: Knowledge, movement: str, one: Mapping[str, str], other: Mapping[str, str]) -> dict[str, str]:
    ladder = knowledge.subjects[movement].ladder
    axes = {axis.id: axis for axis in ladder.axes} if ladder else {}
    return {
        name: min((each[name] for each in (one, other) if name in each), key=axes[name].index)
        for name in {**one, **other}
    }


def of_question(question: Question, rulebase: Rulebase, before: Person | None = None) -> Person:
    """The client of a question, over what is known from `before`."""
    known = before or Person()
    facts = question.facts
    weeks = facts.values.get("weeks_since")
    side = facts.words.get("side", "")
    old = {name: (name, where, since) for name, where, since in known.conditions if name not in question.denied}
    told = [name for name in question.conditions if name not in question.carried]
    new = {
        name: (name, side, weeks if name in SURGICAL or len(told) == 1 else None) for name in told if name not in old
    }
    found = told_results(question, rulebase)
    tested = {movement for screen in found for movement in rulebase.knowledge.subjects[screen].movements}
    named = [movement for movement in question.movements if movement not in {*question.implied, *tested}]
    rungs = {movement: dict(levels) for movement, levels in known.rungs.items()}
    for key, level in question.levels.items():
        movement, axis = key.split("/")
        if movement in named:
            rungs.setdefault(movement, {})[axis] = level
    return replace(
        known, age=facts.values.get("age", known.age), sex=facts.words.get("sex", known.sex),
        conditions=tuple({**old, **new}.values()), results={**known.results, **found},
        rungs=rungs, missing=tuple(dict.fromkeys([*known.missing, *question.missing_kit])),
        cleared=tuple(dict.fromkeys([*known.cleared, *(_cleared(question, rulebase))])),
        goal=goal_of(question, rulebase) or known.goal,
    )  # fmt: skip


def told_results(question: Question, rulebase: Rulebase) -> dict[str, float]:
    """Screen -> result told in the question, in the unit of the screen's first table. Of several screens each takes the
    number that comes next after its name, before the next screen is named."""
    ask = asked(question, rulebase, [])
    places = _places(question, rulebase)
    found: dict[str, float] = {}
    for screen in screens(ask):
        table = first_table(rulebase.knowledge, screen)
        told = results(ask, table) if table else []
        start = places.get(screen)
        if len(places) > 1 and start is not None:
            end = min((at for at in places.values() if at > start), default=len(question.words))
            told = [number for number in told if start <= number.at < end][:1]
        if table and told:
            found[screen] = in_unit(told[-1], table.unit)
    return found


def _places(question: Question, rulebase: Rulebase) -> dict[str, int]:
    """Where each screen is first named."""
    starts = [(mention.id, mention.span[0]) for mention in question.mentions if mention.kind == "screen"]
    for number, spans in question.hits.items():
        for kind, owner in rulebase.lexicon.owners[number]:
            if kind == "figure" and owner.startswith("is-"):
                starts += [(owner.removeprefix("is-"), span[0]) for span in spans]
    places: dict[str, int] = {}
    for screen, at in starts:
        places[screen] = min(at, places.get(screen, at))
    return places


def first_table(knowledge: Knowledge, screen: str) -> Table | None:
    """The screen's first table, whose unit its results are kept in."""
    return next(iter(tables_of(knowledge, screen)), None)


def told_minutes(question: Question, rulebase: Rulebase) -> int | None:
    """The length of the session that the question names: minutes, or hours beside the word session."""
    minutes = [number.value for number in numbers(question) if number.unit == "min"]
    if minutes:
        return int(minutes[0])
    owners = rulebase.lexicon.owned(question.hits, "session")
    return next((length for name, length in _LENGTHS if name in owners), None)


def goal_of(question: Question, rulebase: Rulebase) -> str:
    """The goal whose words stand last in the question: what is wanted is said at the end."""
    owned = [
        (max(span[1] for span in spans), owner)
        for number, spans in question.hits.items()
        for kind, owner in rulebase.lexicon.owners[number]
        if kind == "goal" and any(question.senses(span) != "denied" for span in spans)
    ]
    return max(owned)[1] if owned else ""


def _cleared(question: Question, rulebase: Rulebase) -> Sequence[str]:
    """All conditions of the question when it says that a clinician has cleared the client."""
    return question.conditions if "cleared" in rulebase.lexicon.owned(question.hits, "session") else ()
