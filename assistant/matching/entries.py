"""Which entries fit a question: subjects must fit, then kind, then what it is about, then shared words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from assistant.rulebase.index import Head
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import INTENT_KIND, KIND_INTENT
from assistant.shapes import Match, Question, Span
from assistant.shaping import TYPE_CHECKING, dataclass

if TYPE_CHECKING:
    from typing import Any

SUBJECT, KIND, LEXICAL = 3.0, 3.0, 3.0
ABOUT_FIRST, ABOUT_MORE, ABOUT_WORD = 1.4, 0.5, 0.25
KIT_SUBJECT, SCREEN_SUBJECT = 1.8, 1.2  # kit or a test is what the question is about
REPORT, EQUIPMENT, NARROW, HOUSE = 1.0, 0.7, 0.6, 0.5
WORDS_OF_GENERAL = 0.1  # share of a question's words from which an entry bound to no subject is looked at
SAID = 0.5  # weight of a word that only the advice itself holds, not its example questions
UNKNOWN = 0.5
CARRIED = 0.4  # what words and subjects of the turn before weigh in a short follow-up
_RELATED: dict[str, dict[str, float]] = {
    "regress": {"cue": 0.8, "setup": 0.8, "caution": 0.8, "plan": 0.5, "progression": -1.0},
    "progress": {"plan": 0.8, "dose": 1.0, "setup": 0.5, "regression": -1.0},
    "caution": {"regression": 0.8, "setup": 1.0, "cue": 0.4, "reason": 0.6, "dose": 0.8, "screen": 0.5},
    "setup": {"caution": 0.4, "cue": 0.8, "regression": 0.5, "reason": 0.4},
    "dose": {"progression": 1.2, "reason": 0.4, "screen": 0.4, "caution": 0.4},
    "cue": {"regression": 1.2, "setup": 0.8, "reason": 0.4},
    "screen": {"dose": 0.6, "reason": 0.6, "plan": 0.4},
    "explain": {"cue": 0.4, "dose": 0.5, "setup": 0.4, "caution": 0.5, "screen": 0.4},
    "plan": {"progression": 1.2, "regression": 0.6, "setup": 0.4, "dose": 0.6, "caution": 0.2},
}


@dataclass
class Candidate:
    """An entry that fits the question, what its `about` patterns add, and its share of the question's words."""

    head: Head
    about: float
    lexical: float


@dataclass(frozen=True)
class Pool:
    """The entries that fit one question, and the largest share of its words that any entry holds."""

    fitting: Sequence[Candidate]
    best_lexical: float


class Ranking(Sequence[Match]):
    """The fitting entries, best first; a Match with its reasons is made where it is looked at."""

    def __init__(self, question: Question, intent: str, order: Sequence[tuple[float, Candidate]]) -> None:
        self._question, self._intent, self._order = question, intent, order
        self.heads = [candidate.head for _, candidate in order]

    @property
    def first(self) -> Candidate:
        """The best entry with what made its score; raises IndexError when there is none."""
        return self._order[0][1]

    def only(self, stands: Callable[[Head], bool]) -> Ranking:
        """Those entries for which `stands` is true."""
        return Ranking(self._question, self._intent, [each for each in self._order if stands(each[1].head)])

    def __len__(self) -> int:
        return len(self._order)

    def __getitem__(self, index: Any) -> Any:
        if isinstance(index, slice):
            return [self[i] for i in range(*index.indices(len(self)))]
        score, candidate = self._order[index]
        head, question = candidate.head, self._question
        told = {
            "condition": ", ".join(c for c in head.conditions if c in question.conditions),
            "movement": ", ".join(m for m in head.movements if m in question.movements),
            "kind": head.kind, "report": head.report, "screen": head.subject, "house": "rule",
            "equipment": ", ".join(e for e in head.equipment if e in question.equipment),
        }  # fmt: skip
        parts = _parts(candidate, question, self._intent)
        return Match(head.id, score, tuple(f"{name} {told.get(name, '')}".rstrip() + f" {n:+.1f}" for name, n in parts))


class EntryIndex:
    """Ranks the entries of one rulebase for a question."""

    def __init__(self, rulebase: Rulebase) -> None:
        self.rulebase, self.index = rulebase, rulebase.index

    def lexical(self, question: Question, unknown: float = UNKNOWN) -> dict[str, float]:
        """Share of the question's word weight (0 to 1) that each entry's questions and text hold; a word that none holds
        counts with `unknown` of the greatest weight."""
        held, total = self._lexical(question, unknown)
        return {self.index.heads[number].id: weight / total for number, weight in held.items()}

    def pool(self, question: Question) -> Pool:
        """The entries whose subjects fit the question, with what its words add."""
        index = self.index
        lexical, total = self._lexical(question)
        about = self._about(question)
        numbers = {index.numbers[entry] for entry in about if entry in index.numbers}
        for movement in question.movements:
            numbers.update(index.by_movement.get(movement, ()))
        for condition in question.conditions:
            numbers.update(index.by_condition.get(condition, ()))
        numbers.update(n for n, share in lexical.items() if share / total > WORDS_OF_GENERAL and n in index.general)
        fitting = []
        for number in numbers:
            head = index.heads[number]
            strength = about.get(head.id, 0.0)
            if _subjects_fit(head, question) and (strength or not head.only_about):
                fitting.append(Candidate(head, strength, lexical[number] / total if number in lexical else 0.0))
        return Pool(fitting, max(lexical.values()) / total if lexical else 0.0)

    def bound_to(self, conditions: Sequence[str]) -> list[str]:
        """Ids of the entries that need one of these conditions, or are a studio's rules for everyone, in their order."""
        index = self.index
        numbers = {number for condition in conditions for number in index.by_condition.get(condition, ())}
        numbers.update(index.everyone)
        return [index.heads[number].id for number in sorted(numbers)]

    def kinds(self, question: Question, pool: Pool) -> dict[str, float]:
        """How strongly entries of each intent's kind speak to what the question is about, whatever was asked of them."""
        best: dict[str, float] = {}
        for candidate in pool.fitting:
            head = candidate.head
            strength = candidate.about + LEXICAL * candidate.lexical
            if head.report and head.report in question.reports:
                strength += REPORT
            intent = KIND_INTENT[head.kind]
            if strength > best.get(intent, -1.0):
                best[intent] = strength
        return best

    def barred(self, question: Question, count: int = 3) -> list[Match]:
        """The entries nearest in words whose subjects do not fit the question, with what each wants."""
        lexical = self.lexical(question)
        found = []
        for name in sorted(lexical, key=lambda each: (-lexical[each], each))[: 10 * count]:
            head = self.index.heads[self.index.numbers[name]]
            if _subjects_fit(head, question):
                continue
            wants = [f"wants {kind} {' or '.join(ids[:3])}" for kind, ids in (
                ("movement", [] if any(m in question.movements for m in head.movements) else head.movements),
                ("condition", [c for c in head.conditions if c not in question.conditions]),
            ) if ids]  # fmt: skip
            found.append(Match(name, round(LEXICAL * lexical[name], 4), tuple(wants)))
        return found[:count]

    def rank(self, question: Question, pool: Pool | None = None) -> Ranking:
        """All fitting entries, best first; ties by evidence, then id, so that the order is total."""
        intent = question.intent
        scored = []
        for candidate in (pool or self.pool(question)).fitting:
            score = 0.0
            for _, amount in _parts(candidate, question, intent):
                score += amount
            scored.append((round(score, 4), candidate))
        scored.sort(key=lambda each: (-each[0], each[1].head.strength, each[1].head.id))
        return Ranking(question, intent, scored)

    def _lexical(self, question: Question, unknown: float = UNKNOWN) -> tuple[dict[int, float], float]:
        """The weight of the question's words that each entry holds, by its number, and the weight of all of them."""
        index = self.index
        shares = dict.fromkeys(question.lexical_before, CARRIED) | dict.fromkeys(question.lexical, 1.0)
        total = 0.0
        held: dict[int, float] = {}
        get = held.get
        for word in sorted(shares):
            posting = index.postings.get(word)
            if posting is None:
                total += 0.0 if word in index.common else index.unknown_idf * unknown * shares[word]
                continue
            weight = posting.weight * shares[word]
            total += weight
            for number in posting.asked:
                held[number] = get(number, 0.0) + weight
            weight *= SAID
            for number in posting.said:
                held[number] = get(number, 0.0) + weight
        return held, total

    def _about(self, question: Question) -> dict[str, float]:
        """What the `about` patterns that hold, now or in the turn before, add to each entry."""
        now, before = self._spans(question.hits), self._spans(question.hits_before)
        return {entry: CARRIED * _strength(spans) for entry, spans in before.items()} | {
            entry: _strength(spans) for entry, spans in now.items()
        }

    def _spans(self, hits: Mapping[int, Sequence[Span]]) -> dict[str, list[Span]]:
        owners = self.rulebase.lexicon.owners
        found: dict[str, list[Span]] = {}
        for number, spans in hits.items():
            for kind, owner in owners[number]:
                if kind == "about":
                    found.setdefault(owner, []).append(spans[0])
        return found


def _strength(spans: Sequence[Span]) -> float:
    longest = max(b - a for a, b in spans)
    return ABOUT_FIRST + ABOUT_WORD * min(longest - 1, 4) + ABOUT_MORE * min(len(set(spans)) - 1, 3)


def _subjects_fit(head: Head, question: Question) -> bool:
    if head.conditions:
        shared = sum(c in question.conditions for c in head.conditions)
        if not shared or (head.all_conditions and shared < len(head.conditions)):
            return False
    return not head.movements or any(m in question.movements for m in head.movements)


def _parts(candidate: Candidate, question: Question, intent: str) -> list[tuple[str, float]]:
    """What a candidate's score is made of, in this order."""
    head = candidate.head
    parts = []
    if head.conditions:
        extra = sum(c in question.conditions for c in head.conditions) - 1 if head.all_conditions else 0
        parts.append(("condition", SUBJECT + extra * 2.0))
    if head.movements:
        count = len(head.movements)
        parts.append(("movement", SUBJECT + (NARROW if count == 1 else NARROW / 2 if count <= 3 else 0.0)))
    kind = KIND if INTENT_KIND.get(intent) == head.kind else _RELATED.get(intent, {}).get(head.kind, 0.0)
    if kind:
        parts.append(("kind", kind))
    if candidate.about:
        parts.append(("about", candidate.about))
    if head.report and head.report in question.reports:
        parts.append(("report", REPORT))
    if head.equipment and any(e in question.equipment for e in head.equipment):
        alone = not head.movements and not head.conditions and not question.movements
        parts.append(("equipment", KIT_SUBJECT if alone else EQUIPMENT))
    if head.subject in question.screens:
        parts.append(("screen", SCREEN_SUBJECT))
    if head.house:
        parts.append(("house", HOUSE))
    if candidate.lexical:
        parts.append(("words", LEXICAL * candidate.lexical))
    return parts
