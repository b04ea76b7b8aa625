"""Every logged question answered again by the present knowledge: what changed, and which rule made it change."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass, field

from assistant import __version__
from assistant.conversation import Assistant, Turn
from assistant.journal.clients import profile_of
from assistant.journal.record import Record
from assistant.mentoring.manifest import manifest
from assistant.shapes import Answer

_TALKS = 500  # conversations kept open at once
_MEMO = 4000
_NAMES = re.compile(r"\[(?:name|email|removed)\]")
_NUMBERS = re.compile(r"\s*\[(?:phone|birth date|address|record number)\]")
_SOMEBODY = "qq"  # weighs as an unknown word, as the name did
Shown = Callable[[Answer], str]


@dataclass(frozen=True)
class Moved:
    """An entry whose answer is now another, and the reasons."""

    record: Record
    status: str
    urgency: str | None
    rules: tuple[str, ...]
    text: str
    reasons: tuple[str, ...]


@dataclass
class Replay:
    """Answers logged questions again. `shown` renders an answer as the journal kept it; `read` gives the rules'
    fingerprints under an older knowledge hash."""

    assistant: Assistant
    shown: Shown
    read: Callable[[str], Mapping[str, str] | None]
    seen: int = 0
    _now: Mapping[str, str] = field(default_factory=dict)
    _then: dict[str, Mapping[str, str] | None] = field(default_factory=dict)
    _talks: OrderedDict[str, Turn] = field(default_factory=OrderedDict)
    _memo: OrderedDict[str, tuple[Answer, str, Turn]] = field(default_factory=OrderedDict)

    def changed(self, entries: Iterable[Record]) -> Iterator[Moved]:
        """The entries whose answer changed, in the order they were asked."""
        self._now = manifest(self.assistant.rulebase)
        for record in entries:
            self.seen += 1
            answer, text = self._again(record)
            rules = tuple(point.rule for point in answer.points)
            same = (answer.status, answer.urgency, text) == (record["status"], record.get("urgency"), record["answer"])
            if not same:
                reasons = tuple(self._reasons(record, rules))
                yield Moved(record, answer.status, answer.urgency, rules, text, reasons)

    def _again(self, record: Record) -> tuple[Answer, str]:
        question = _NAMES.sub(_SOMEBODY, _NUMBERS.sub("", record["question"]))
        alone = not record.get("turn") and not record.get("card")
        if alone and question in self._memo:
            answer, text, turn = self._memo[question]
            self._memo.move_to_end(question)
        else:
            answer, text, turn = self._ask(question, record)
            if alone:
                self._memo[question] = answer, text, turn
                if len(self._memo) > _MEMO:
                    self._memo.popitem(last=False)
        self._talks[record["conversation"]] = copy(turn)
        if len(self._talks) > _TALKS:
            self._talks.popitem(last=False)
        return answer, text

    def _ask(self, question: str, record: Record) -> tuple[Answer, str, Turn]:
        before = self._talks.pop(record["conversation"], None) if record.get("turn") else None
        self.assistant.turn = before or Turn()
        card = profile_of(record["card"], record["client"]) if isinstance(record.get("card"), dict) else None
        answer = self.assistant.ask(question, follow=before is not None, card=card)
        return answer, self.shown(answer), copy(self.assistant.turn)

    def _reasons(self, record: Record, rules: tuple[str, ...]) -> Iterator[str]:
        """Why the answer is another: rules removed, added or changed, else what else can have moved it."""
        before, now = self._fingerprints(record["knowledge"]), self._now
        old, new = record["rules"], list(rules)
        told = False
        for rule in dict.fromkeys([*old, *new]):
            name = _kept_as(rule)
            was, is_now = (before or {}).get(name), now.get(name)
            if is_now is None and rule in old:
                told, text = True, f"rule removed: {rule}"
            elif before is not None and was is None and rule in new:
                told, text = True, f"rule added: {rule}"
            elif before is not None and was != is_now:
                told, text = True, f"rule changed: {rule}"
            else:
                continue
            yield text
        if told:
            return
        if record["version"] != __version__:
            yield f"the program changed: {record['version']} to {__version__}"
        elif record["knowledge"] == self.assistant.rulebase.knowledge.digest:
            yield "no rule changed: words taken out of the question, or the date, matter here"
        elif before is None:
            yield "the rules of that time were not kept: it cannot be told which changed"
        else:
            yield self._elsewhere(before)

    def _elsewhere(self, before: Mapping[str, str]) -> str:
        others = {name for name in {*before, *self._now} if before.get(name) != self._now.get(name)}
        if not others:
            return "words, intents or patterns changed, no rule"
        few = ", ".join(sorted(others)[:3])
        return f"ranking changed: {len(others)} other rules added, changed or removed ({few})"

    def _fingerprints(self, digest: str) -> Mapping[str, str] | None:
        if digest not in self._then:
            self._then[digest] = self.read(digest)
        return self._then[digest]


def _kept_as(rule: str) -> str:
    """The name under which a rule's fingerprint is kept: a rung is kept with its whole ladder."""
    return "/".join(rule.split("/")[:2]) if rule.startswith("ladder/") else rule
