"""What an asker is given."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.figures.numbers import Number, around
from assistant.rulebase.model import Knowledge
from assistant.shapes import Figure, Question

OWN = ("project-2026-planar-geometry",)
CUSTOM = ("common-practice",)
FOLLOW_UP = 9
_JOINERS = ("to", "and", "or", "through", "up")


@dataclass
class Ask:
    """The question, the trigger words found now and in the turn before, its numbers, and the last figures."""

    question: Question
    knowledge: Knowledge
    triggers: set[str]
    earlier: set[str] = field(default_factory=set)
    numbers: list[Number] = field(default_factory=list)
    before: list[Figure] = field(default_factory=list)

    @property
    def age(self) -> float | None:
        """The client's age, stated or carried."""
        return self.question.facts.values.get("age")

    @property
    def sex(self) -> str:
        """'female', 'male' or ''."""
        return self.question.facts.words.get("sex", "")

    @property
    def short(self) -> bool:
        """Whether the question is short enough to lean on the turn before."""
        return len(self.question.words) <= FOLLOW_UP

    def wants(self, *names: str) -> bool:
        """Whether one of the triggers is there, now or (for a short follow-up) in the turn before."""
        return any(name in self.triggers or name in self.earlier for name in names)

    def now(self, *names: str) -> bool:
        """Whether one of the triggers is in this very question."""
        return any(name in self.triggers for name in names)

    def units(self, *units: str) -> list[Number]:
        """Numbers in these units, in text order."""
        return [n for n in self.numbers if n.unit in units]

    def fact(self, name: str) -> float | None:
        """A fact of the question or carried into it."""
        return self.question.facts.values.get(name)

    def said(self, *words: str) -> bool:
        """Whether one of the words stands in the question."""
        texts = {form for word in self.question.words for form in word.forms}
        return any(word in texts for word in words)

    def near(self, number: Number, *words: str, before: int = 4, after: int = 3) -> bool:
        """Whether one of the words stands near a number."""
        return any(word in around(self.question, number, before, after) for word in words)

    def words_between(self, start: int, end: int) -> list[str]:
        """The words from one place up to another."""
        return [w.text for w in self.question.words[max(0, start) : max(0, end)]]

    def percents(self) -> list[float]:
        """Percentages, the first half of '40 to 59%' included."""
        result = []
        for i, n in enumerate(self.numbers):
            if n.unit == "%":
                result.append(n.value)
            elif n.unit == "" and i + 1 < len(self.numbers) and self.numbers[i + 1].unit == "%":
                between = self.words_between(n.at + n.width, self.numbers[i + 1].at)
                rising = n.value < self.numbers[i + 1].value and n.value != self.age
                one_clause = self._clause(n) == self._clause(self.numbers[i + 1])
                if rising and one_clause and len(between) <= 2 and all(word in _JOINERS for word in between):
                    result.append(n.value)
        return result

    def _clause(self, number: Number) -> int:
        return self.question.words[number.at].clause

    def last(self, *quantities: str) -> Figure | None:
        """The last turn's figure of one of these quantities."""
        return next((f for f in self.before if f.quantity in quantities), None)

    def unit_first(self, default: str = "cm") -> str:
        """The coach's own length unit: inches when inches or feet were used."""
        units = [n.unit for n in self.numbers if n.unit in ("in", "ft", "cm", "m")]
        stature = self.question.facts.units.get("stature_cm")
        return "in" if (units and units[0] in ("in", "ft")) or (not units and stature in ("ft", "in")) else default
