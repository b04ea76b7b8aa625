"""Which entries fit a question: subjects must fit, then kind, then what it is about, then shared words."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import EVIDENCE, INTENT_KIND, KIND_INTENT, Entry
from assistant.shapes import Match, Question

SUBJECT, KIND, LEXICAL = 3.0, 3.0, 3.0
ABOUT_FIRST, ABOUT_MORE, ABOUT_WORD = 1.4, 0.5, 0.25
KIT_SUBJECT, SCREEN_SUBJECT = 1.8, 1.2  # kit or a test is what the question is about
REPORT, EQUIPMENT, NARROW, HOUSE = 1.0, 0.7, 0.6, 0.5
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


class EntryIndex:
    """Ranks the entries of one rulebase for a question."""

    def __init__(self, rulebase: Rulebase) -> None:
        self.rulebase, self.index = rulebase, rulebase.index
        self.entries = rulebase.knowledge.entries

    def lexical(self, question: Question) -> dict[str, float]:
        """Share of the question's word weight (0 to 1) that each entry's questions and text hold."""
        shares = dict.fromkeys(question.lexical_before, CARRIED) | dict.fromkeys(question.lexical, 1.0)
        total = 0.0
        result: dict[str, float] = {}
        for word in sorted(shares):
            weight = self.index.idf.get(word)
            if weight is None:
                total += 0.0 if word in self.index.common else self.index.unknown_idf * 0.5 * shares[word]
                continue
            total += weight * shares[word]
            for entry, part in self.index.postings[word]:
                result[entry] = result.get(entry, 0.0) + weight * shares[word] * part
        return {entry: score / total for entry, score in result.items()} if total else {}

    def candidates(self, question: Question, lexical: dict[str, float]) -> Iterable[Entry]:
        seen: dict[str, None] = {}
        for movement in question.movements:
            seen.update(dict.fromkeys(self.index.by_movement.get(movement, ())))
        for condition in question.conditions:
            seen.update(dict.fromkeys(self.index.by_condition.get(condition, ())))
        for number in [*question.hits, *question.hits_before]:
            for kind, owner in self.rulebase.lexicon.owners[number]:
                if kind == "about" and owner in self.entries:
                    seen[owner] = None
        seen.update(dict.fromkeys(entry for entry in self.index.general if lexical.get(entry, 0) > 0.1))
        return (self.entries[entry] for entry in seen)

    def kinds(self, question: Question) -> dict[str, float]:
        """How strongly entries of each intent's kind speak to what the question is about, whatever was asked of them."""
        lexical = self.lexical(question)
        best: dict[str, float] = {}
        for entry in self.candidates(question, lexical):
            if not self._subjects_fit(entry, question):
                continue
            about = self._about(entry, question)
            if entry.only_about and not about:
                continue
            strength = about + LEXICAL * lexical.get(entry.id, 0.0)
            if entry.report and entry.report in question.reports:
                strength += REPORT
            intent = KIND_INTENT[entry.kind]
            best[intent] = max(best.get(intent, 0.0), strength)
        return best

    @staticmethod
    def _subjects_fit(entry: Entry, question: Question) -> bool:
        shared = [c for c in entry.conditions if c in question.conditions]
        if entry.conditions and (not shared or (entry.all_conditions and len(shared) < len(entry.conditions))):
            return False
        return not entry.movements or any(m in question.movements for m in entry.movements)

    def rank(self, question: Question, intent: str = "") -> list[Match]:
        """All fitting entries, best first; ties by evidence, then id, so that the order is total."""
        lexical = self.lexical(question)
        matches = []
        for entry in self.candidates(question, lexical):
            match = self._score(entry, question, intent or question.intent, lexical.get(entry.id, 0.0))
            if match is not None:
                matches.append(match)
        return sorted(matches, key=lambda m: (-m.score, EVIDENCE.index(self.entries[m.entry].evidence), m.entry))

    def _score(self, entry: Entry, question: Question, intent: str, lexical: float) -> Match | None:
        score, reasons = 0.0, []

        def add(amount: float, reason: str) -> None:
            nonlocal score
            score += amount
            reasons.append(f"{reason} {amount:+.1f}")

        if not self._subjects_fit(entry, question):
            return None
        if entry.conditions:
            shared = [c for c in entry.conditions if c in question.conditions]
            extra = len(shared) - 1 if entry.all_conditions else 0
            add(SUBJECT + extra * 2.0, "condition " + ", ".join(shared))
        if entry.movements:
            moved = [m for m in entry.movements if m in question.movements]
            narrow = NARROW if len(entry.movements) == 1 else NARROW / 2 if len(entry.movements) <= 3 else 0.0
            add(SUBJECT + narrow, "movement " + ", ".join(moved))
        about = self._about(entry, question)
        if entry.only_about and not about:
            return None
        kind = KIND if INTENT_KIND.get(intent) == entry.kind else _RELATED.get(intent, {}).get(entry.kind, 0.0)
        if kind:
            add(kind, f"kind {entry.kind}")
        if about:
            add(about, "about")
        if entry.report and entry.report in question.reports:
            add(REPORT, f"report {entry.report}")
        kit = [e for e in entry.equipment if e in question.equipment]
        if kit:
            alone = not entry.movements and not entry.conditions and not question.movements
            add(KIT_SUBJECT if alone else EQUIPMENT, "equipment " + ", ".join(kit))
        if entry.subject in question.screens:
            add(SCREEN_SUBJECT, "screen " + entry.subject)
        if entry.house:
            add(HOUSE, "house rule")
        if lexical:
            add(LEXICAL * lexical, "words")
        return Match(entry.id, round(score, 4), tuple(reasons))

    @staticmethod
    def _about(entry: Entry, question: Question) -> float:
        share = 1.0
        spans = [s for number in entry.about for s in question.hits.get(number, ())[:1]]
        if not spans:
            spans, share = [s for number in entry.about for s in question.hits_before.get(number, ())[:1]], CARRIED
        if not spans:
            return 0.0
        longest = max(b - a for a, b in spans)
        distinct = len(set(spans))
        return share * (ABOUT_FIRST + ABOUT_WORD * min(longest - 1, 4) + ABOUT_MORE * min(distinct - 1, 3))
