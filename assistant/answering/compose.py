"""From a question with its flags, matches, moves and figures to an Answer within the word budget."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant.answering.ways import Trip, trip_text
from assistant.figures.ask import CUSTOM
from assistant.figures.hands import ARM_CONDITIONS, hand_text
from assistant.matching.entries import EntryIndex
from assistant.matching.ladder import Climber
from assistant.matching.limits import ladder_of
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import INTENT_KIND, Entry, Flag, Forbid, Ladder
from assistant.shapes import Answer, Figure, FlagHit, Match, Move, Point, Question

if TYPE_CHECKING:
    from assistant.session_shapes import Session

BUDGET = 118
WHY_BUDGET = 92
MIN_SCORE = 3.2  # below this an answer would be a guess
SECOND_SHARE = 0.62  # of the best score, for a further entry of the kind asked for or on the subject named
DRILLED = ("caution", "explain", "plan", "setup", "screen")
FAR_SHARE = 0.85  # and for any other
HAND_FIGURES = ("pole-hand", "load-hand")
REPEATED = 0.5  # share of a point's words that the answer already holds, from which it says nothing new
ONE_THING = "Change one thing at a time and keep the rest the same."
CLINIC = "What this client's own clinicians have said comes before all of this."
NEW_SIGN = "If a client has a new or sudden sign, stop: the emergency number, or the GP today."
DECLINED = "That is outside what rungbook covers: it only answers how to fit movements to adults over 50."
MEDICINE = "Medicines, doses and supplements are outside what a coach may advise and what rungbook covers: send that question to the prescriber or pharmacist."


class Composer:
    """Composes answers from one rulebase."""

    def __init__(self, rulebase: Rulebase, index: EntryIndex) -> None:
        self.rulebase, self.index = rulebase, index
        self.entries = rulebase.knowledge.entries

    # -- the four kinds of answer --------------------------------------------------------------------------------

    def referral(self, question: Question, hits: Sequence[FlagHit]) -> Answer:
        """Stop, what to do now, whom to tell; no training advice beside it."""
        flags = [self.rulebase.knowledge.flags[hit.flag] for hit in hits]
        top = flags[0]
        answer = self._start(question, "refer", "referral")
        answer.urgency = top.tier
        shown = _shown(flags)
        answer.lead = [each.sees for each in shown]
        answer.points = [_flag_point(top, top.do)]
        for flag in shown[1:]:
            new = [text for text in flag.do if not _said_already(answer, text)]
            if new and (flag.tier == top.tier or top.house):
                answer.points.append(_flag_point(flag, new))
        answer.notes = [f"Tell them {top.tell.rstrip('.')}."] if top.tell else []
        if top.worse:
            answer.watch = top.worse
        self._cite(answer)
        return answer

    def out_of_scope(self, question: Question, medicine: bool) -> Answer:
        answer = self._start(question, "out_of_scope", "out_of_scope")
        answer.lead = [MEDICINE if medicine else DECLINED]
        return answer

    def unsure(self, question: Question, ranked: Sequence[Match]) -> Answer:
        """Says what was understood and names the nearest topics."""
        answer = self._start(question, "unsure", question.intent or "explain")
        topics = [f"{self.entries[m.entry].kind} for {self._topic(m.entry)}" for m in ranked]
        answer.nearest = list(dict.fromkeys(topics))[:3]
        answer.notes = [NEW_SIGN]
        return answer

    def session(self, question: Question, found: Session) -> Answer:
        """A session that was built for the client of the question."""
        from assistant.answering.session import session_answer  # most questions need none of it

        started = self._start(question, "answered", "plan")
        return session_answer(started, found, self.rulebase.knowledge.sources, CLINIC)

    def advice(
        self, question: Question, ranked: Sequence[Match], figures: Sequence[Figure], drills: Sequence[str] = (),
        trip: Trip | None = None,
    ) -> Answer:  # fmt: skip
        """The answer proper; `drills` are flags asked about, not seen; `trip` is a route asked for."""
        answer = self._start(question, "answered", question.intent)
        climber = self._climber(question, ranked)
        ranked = self._not_overruled(ranked, figures)
        answer.figures = list(figures)
        answer.lead = [figure.sentence for figure in figures if figure.sentence]
        parts = _Budget(BUDGET - sum(len(text.split()) for text in answer.lead))
        if drills and question.intent in DRILLED:
            flag = self.rulebase.knowledge.flags[drills[0]]
            text = f"When you see {flag.sees}: {' '.join(flag.do)}"
            parts.take(text, must=True)
            answer.points.append(Point(flag.id, "caution", text, "", flag.sources, flag.evidence))
        if trip:
            self._add_trip(answer, parts, trip)
        computed = any(figure.quantity not in HAND_FIGURES for figure in figures) or trip is not None
        chosen = self._choose(question, ranked, computed, self._starts(question, figures))
        moves = self._moves(question, climber, chosen)
        if moves and not self._specific(chosen, ranked):
            self._add_moves(answer, parts, moves, question)
        for number, entry in enumerate(chosen):
            self._add_entry(answer, parts, entry, must=number == 0)
            if number == 0 and moves and not any(p.kind == "ladder" for p in answer.points):
                self._add_moves(answer, parts, moves, question)
        if question.intent == "regress" and climber:
            self._add_neighbour(answer, parts, climber.ladder)
        decided = self._decided(answer, question)
        self._finish(answer, question, parts, climber, decided)
        self._static_figures(answer, chosen)
        self._cite(answer)
        return answer

    # -- parts ---------------------------------------------------------------------------------------------------

    def _start(self, question: Question, status: str, intent: str) -> Answer:
        return Answer(
            question=question.text, status=status, intent=intent, movements=list(question.movements),
            conditions=list(question.conditions), equipment=list(question.equipment), carried=list(question.carried),
            facts=question.facts.as_dict(), heading=self._heading(question), knowledge=self.rulebase.knowledge.digest,
        )  # fmt: skip

    def _name(self, subject: str) -> str:
        return self.rulebase.knowledge.subjects[subject].name

    def _topic(self, entry_id: str) -> str:
        entry = self.entries[entry_id]
        names = [self._name(s) for s in [*entry.movements[:1], *entry.conditions[:1]]]
        return " with ".join(names) or self._name(entry.subject)

    def _heading(self, question: Question) -> str:
        parts = [self._name(m) for m in question.movements]
        side = question.facts.words.get("side", "")
        for number, condition in enumerate(question.conditions):
            parts.append(self._name(condition) + (f" ({side})" if side and number == 0 else ""))
        if "step_cm" in question.facts.values:
            parts.append(f"{_inches(question.facts.values['step_cm'])} step")
        if "pad_cm" in question.facts.values:
            parts.append(f"{_inches(question.facts.values['pad_cm'])} pad")
        parts += [_REPORT_WORDS[r] for r in question.reports[:2]]
        return "; ".join(parts)

    def forbids(self, question: Question, ranked: Sequence[Match]) -> list[Forbid]:
        """Rungs ruled out by the cautions of the conditions in the question, and by a studio for everyone."""
        result: list[Forbid] = []
        for match in ranked:
            entry = self.entries[match.entry]
            if entry.conditions or entry.house:
                result += entry.forbids
        return result

    def _climber(self, question: Question, ranked: Sequence[Match]) -> Climber | None:
        if not question.movements:
            return None
        movement = question.movements[0]
        if self.rulebase.knowledge.subjects[movement].ladder is None:
            return None
        leg = question.facts.words.get("leg", "")
        return Climber(
            self.rulebase.knowledge, movement, question, self.forbids(question, ranked), hand_text(leg, movement)
        )

    def _add_trip(self, answer: Answer, parts: _Budget, trip: Trip) -> None:
        """A route as the first point, its criteria as those of the answer."""
        knowledge = self.rulebase.knowledge
        ladder = ladder_of(knowledge, trip.target)
        text = trip_text(knowledge, trip)
        parts.take(text, must=True)
        answer.points.append(Point(f"ladder/{trip.target}", "ladder", text, "", ladder.sources, "common-practice"))
        if parts.take(ladder.up):
            answer.criteria = ladder.up

    def _starts(self, question: Question, figures: Sequence[Figure]) -> list[Entry]:
        """Where to start after a result under its line: the screen's own `-next` entry."""
        low = any("a flag" in f.sentence or "below the line" in f.sentence for f in figures)
        ids = [f"{screen}{end}" for screen in question.screens for end in ("-next", "-low-next")]
        return [self.entries[each] for each in ids if low and each in self.entries][:1]

    def _choose(
        self, question: Question, ranked: Sequence[Match], figures: bool, starts: Sequence[Entry] = ()
    ) -> list[Entry]:
        """Starts, the best entry, the cautions of every condition, then further entries that come close to the best."""
        chosen: list[Entry] = list(starts)
        best = ranked[0].score if ranked else 0.0
        if ranked and (not figures or ranked[0].score >= 7.5) and self.entries[ranked[0].entry] not in chosen:
            chosen.append(self.entries[ranked[0].entry])
        for condition in question.conditions:
            if any(condition in entry.conditions for entry in chosen):
                continue
            caution = self._best_caution(condition, ranked)
            if caution:
                chosen.append(caution)
        wanted = INTENT_KIND.get(question.intent, "")
        for match in ranked[1:8]:
            entry = self.entries[match.entry]
            apt = entry.kind == wanted or any(reason.startswith("about") for reason in match.reasons)
            near = match.score >= max(MIN_SCORE, best * (SECOND_SHARE if apt else FAR_SHARE))
            if entry not in chosen and near and len(chosen) < 4:
                chosen.append(entry)
        return chosen

    def _best_caution(self, condition: str, ranked: Sequence[Match]) -> Entry | None:
        own = [self.entries[m.entry] for m in ranked if condition in self.entries[m.entry].conditions]
        return next((e for e in own if e.kind in ("caution", "regression", "setup")), own[0] if own else None)

    def _moves(self, question: Question, climber: Climber | None, chosen: Sequence[Entry]) -> list[Move]:
        if climber is None:
            return []
        if question.intent == "regress":
            return climber.easier()
        if question.intent == "progress":
            return climber.harder()
        return []

    @staticmethod
    def _specific(chosen: Sequence[Entry], ranked: Sequence[Match]) -> bool:
        """Whether the first entry answers something the question names, so that it goes before the ladder's rungs."""
        return bool(chosen and ranked and any(r.startswith(("about", "condition")) for r in ranked[0].reasons))

    def _add_moves(self, answer: Answer, parts: _Budget, moves: Sequence[Move], question: Question) -> None:
        texts = [move.say for move in moves]
        if question.intent == "progress" and len(texts) > 1:
            texts[1] = "Or: " + texts[1][0].lower() + texts[1][1:]
        for move, text in zip(moves, texts, strict=True):
            if not _said_already(answer, text) and not _height_given(answer, move.axis) and parts.take(text):
                answer.points.append(
                    Point(
                        f"ladder/{move.movement}/{move.axis}/{move.level}",
                        "ladder",
                        text,
                        "",
                        move.sources,
                        "common-practice",
                    )
                )

    def _add_neighbour(self, answer: Answer, parts: _Budget, ladder: Ladder) -> None:
        """The easier movement next to this one, when there is room for it."""
        for each in ladder.easier_movements:
            text = f"Or go back to {self._name(each.movement)}: {each.text[0].lower()}{each.text[1:]}"
            if not _said_already(answer, text) and parts.take(text):
                rule = f"ladder/{each.movement}"
                answer.points.append(Point(rule, "ladder", text, "", each.sources, "common-practice"))
                return

    @staticmethod
    def _add_entry(answer: Answer, parts: _Budget, entry: Entry, must: bool) -> None:
        if (not must and _said_already(answer, entry.say)) or not parts.take(entry.say, must):
            return
        why = entry.why if parts.used < WHY_BUDGET and parts.take(entry.why) else ""
        answer.points.append(Point(entry.id, entry.kind, entry.say, why, entry.sources, entry.evidence))
        if entry.watch and not answer.watch and parts.take(entry.watch):
            answer.watch = entry.watch

    def _finish(
        self, answer: Answer, question: Question, parts: _Budget, climber: Climber | None, decided: set[str]
    ) -> None:
        ladder: Ladder | None = climber.ladder if climber else None
        if ladder and question.intent == "progress" and parts.take(ladder.up, must=True):
            answer.criteria = ladder.up
            answer.notes.append(ONE_THING)
        if ladder and question.intent == "regress" and parts.take(ladder.up):
            answer.criteria = ladder.up
        hand = self._pole_hand(answer, question)
        if hand and "pole-hand" not in decided and parts.take(hand):
            answer.notes.append(hand)
        if question.conditions and question.intent in ("caution", "regress", "progress", "plan") and parts.take(CLINIC):
            answer.notes.append(CLINIC)

    def _not_overruled(self, ranked: Sequence[Match], figures: Sequence[Figure]) -> list[Match]:
        """Without the general rules on the pole hand, when the figure gives it to another hand for this client's sake."""
        decision = self.rulebase.knowledge.language.get("decisions", {}).get("pole-hand")
        if decision is None or not _hand_overruled(figures):
            return list(ranked)
        says = re.compile(str(decision["says"]), re.IGNORECASE)
        own = [(match, self.entries[match.entry]) for match in ranked]
        return [match for match, entry in own if entry.decides or not says.search(f"{entry.say} {entry.why}")]

    def _decided(self, answer: Answer, question: Question) -> set[str]:
        """Decisions in which a rule for this client's body overrules the general one; the conflict is named."""
        decided = set()
        rules = [self.entries.get(point.rule) for point in answer.points]
        for topic, decision in self.rulebase.knowledge.language.get("decisions", {}).items():
            over = [e for e in rules if e and e.decides == topic]
            general = [
                p for p, e in zip(answer.points, rules, strict=True)
                if e not in over and re.search(str(decision["says"]), f"{p.text} {p.why}", re.IGNORECASE)
            ]  # fmt: skip
            if over:
                decided.add(topic)
            spared = next((c for c in question.conditions if c in ARM_CONDITIONS), "")
            if topic == "pole-hand" and spared and _hand_overruled(answer.figures):
                answer.notes.append(_conflict(str(decision["name"]), self._name(spared)))
            elif over and general:
                whose = " and ".join(self._name(c) for c in over[0].conditions[:1]) or "this client"
                answer.points.sort(key=lambda p: p in general)
                answer.notes.append(_conflict(str(decision["name"]), whose))
        return decided

    @staticmethod
    def _pole_hand(answer: Answer, question: Question) -> str:
        """Which hand the opposite-hand pole is for the leg named, or for each leg, unless the points say so."""
        text = " ".join(point.text for point in answer.points)
        leg = question.facts.words.get("leg", "")
        named = {side for side in ("left", "right") if f"{side} hand" in text}
        if any(figure.quantity in HAND_FIGURES for figure in answer.figures):
            return ""
        if "opposite" not in text or "pole" not in text or len(named) == 2 or (leg and named):
            return ""
        return f"Pole hand: {hand_text(leg, next(iter(question.movements), ''))}."

    @staticmethod
    def _static_figures(answer: Answer, chosen: Sequence[Entry]) -> None:
        used = {point.rule for point in answer.points}
        have = {figure.quantity for figure in answer.figures}
        for entry in chosen:
            if entry.id not in used:
                continue
            for f in entry.figures:
                if f.quantity in have:
                    continue
                span = (f.low, f.high) if f.low is not None and f.high is not None else None
                answer.figures.append(Figure(f.quantity, f.value, f.unit, (f.source,), "", span))

    def _cite(self, answer: Answer) -> None:
        known = self.rulebase.knowledge.sources
        used = [s for point in answer.points for s in point.sources] + [s for f in answer.figures for s in f.sources]
        answer.sources = {s: known[s].full() for s in dict.fromkeys(used) if s in known}


def _hand_overruled(figures: Sequence[Figure]) -> bool:
    """Whether the pole hand was chosen to spare an arm and not by the leg."""
    return any(figure.quantity in HAND_FIGURES and figure.sources == CUSTOM for figure in figures)


def _conflict(what: str, whose: str) -> str:
    return f"Two rules meet over {what}: the one for {whose} stands, it is the safer."


_WORD = re.compile(r"[a-z]{3,}")


class _Budget:
    """Words still free in the answer."""

    def __init__(self, words: int) -> None:
        self.left, self.used = words, 0

    def take(self, text: str, must: bool = False) -> bool:
        """Take the words of `text` when they fit, or anyway when they must."""
        count = len(text.split())
        if count == 0 or (count > self.left and not must):
            return False
        self.left -= count
        self.used += count
        return True


_REPORT_WORDS = {
    "balance": "loses balance", "pain": "pain", "fear": "afraid", "shift": "shifts or hikes", "fatigue": "tires",
    "control": "drops without control", "range": "short of range",
}  # fmt: skip


def _inches(cm: float) -> str:
    value = cm / 2.54
    return f"{round(value)} in" if abs(value - round(value)) < 0.05 else f"{cm:g} cm"


def _said_already(answer: Answer, text: str) -> bool:
    """Whether the points so far hold most of the words of `text`."""
    new = _plain_words(text)
    old = _plain_words(" ".join(point.text for point in answer.points))
    return bool(new) and len(new & old) >= REPEATED * len(new)


_NOUN_OF_AXIS = {"height": "step", "pad": "pad", "seat": "seat", "ramp": "ramp"}


def _height_given(answer: Answer, axis: str) -> bool:
    """Whether an earlier point names a height for this axis, so that a rung would say it twice or differently."""
    noun = _NOUN_OF_AXIS.get(axis)
    return noun is not None and any(re.search(rf"\d in \(\d+ cm\) {noun}", point.text) for point in answer.points)


def _plain_words(text: str) -> set[str]:
    return {word.rstrip("s") for word in _WORD.findall(text.lower())}


def _flag_point(flag: Flag, do: Sequence[str]) -> Point:
    return Point(flag.id, "referral", " ".join(do), "", flag.sources, flag.evidence)


def _shown(flags: Sequence[Flag]) -> list[Flag]:
    """The two most urgent flags; a shipped one is always among them."""
    if all(flag.house for flag in flags[:2]):
        return [flags[0], *[flag for flag in flags if not flag.house][:1]]
    return list(flags[:2])
