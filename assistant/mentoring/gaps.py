"""Questions that found no good answer, gathered by the words they share, each group with an entry ready to edit."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from assistant.clean import harmless
from assistant.journal.record import Record
from assistant.mentoring.concepts import stem
from assistant.mentoring.skeleton import skeleton
from assistant.mentoring.verdicts import Verdicts, key
from assistant.shapes import Question
from assistant.words import tidy

ALIKE = 0.5  # share of common words from which two questions belong together
KEEP = 10_000  # different questions kept at once: memory stays flat
EXAMPLES = 6
CROWD = 60
_OPEN = ("amend", "wrong", "unsafe")
_MARK = re.compile(r"\[(?:name|email|phone|birth date|address|record number|removed)\]")
_WORD = re.compile(r"[a-z][a-z']+|\d+")
_EMPTY_WORDS = """
    a about after again all also am an and any are as at be been before being best but by can cant client clients
    could did do does doesnt doing dont each for from get gets go goes going good got had has have having he her hers
    him his how i if im in into is isnt it its just keep keeps lady like make makes man me more most much my need
    needs no not now of ok old on one or our out over patient person safe she should so some still than that the their
    them then there they this to too up use used using want wants was way we what when where which who why will with
    woman would year yes yo you your
"""
_EMPTY = frozenset(_EMPTY_WORDS.split())


@dataclass
class Asked:
    """One way of asking: its content words, how often, an example, and why it counts as a gap."""

    words: frozenset[str] = frozenset()
    times: int = 0
    example: str = ""
    reasons: Counter[str] = field(default_factory=Counter)
    better: str = ""


@dataclass
class Cluster:
    """Questions that belong together."""

    words: Counter[str] = field(default_factory=Counter)
    members: list[Asked] = field(default_factory=list)

    @property
    def times(self) -> int:
        """How often anything of it was asked."""
        return sum(member.times for member in self.members)

    @property
    def reasons(self) -> Counter[str]:
        """Why its questions count as gaps."""
        return sum((member.reasons for member in self.members), Counter())

    def add(self, asked: Asked) -> None:
        """Take in one way of asking."""
        self.members.append(asked)
        self.words.update(asked.words)

    def shared(self) -> list[str]:
        """The words that most of its questions hold, commonest first."""
        line = max(1, len(self.members) / 2)
        return [word for word, n in sorted(self.words.items(), key=lambda item: (-item[1], item[0])) if n >= line][:6]

    def asks(self) -> list[str]:
        """Its commonest wordings."""
        ordered = sorted(self.members, key=lambda member: (-member.times, member.example))
        return list(dict.fromkeys(member.example for member in ordered))[:EXAMPLES]

    def better(self) -> str:
        """A mentor's better answer, where one was given."""
        return next((member.better for member in self.members if member.better), "")


def content(question: str) -> frozenset[str]:
    """The words of a question that say what it is about, in their shortest form."""
    words = _WORD.findall(tidy(_MARK.sub(" ", question)))
    return frozenset(stem(word) for word in words if word not in _EMPTY and (len(word) > 2 or word.isdigit()))


def why_open(record: Record, verdict: str) -> str:
    """Why an entry is a gap, empty when it is none. A verdict of the mentor outweighs what the program thought."""
    if verdict:
        return verdict if verdict in _OPEN else ""
    return record["status"] if record["status"] in ("unsure", "out_of_scope") else ""


def gather(entries: Iterable[Record], verdicts: Verdicts, out_of_scope: bool = False) -> list[Asked]:
    """The open questions, equal ones counted together. Of more than KEEP different ones the rarest are let go."""
    asked: dict[str, Asked] = {}
    for record in entries:
        reason = why_open(record, verdicts.verdict(record["id"]) if verdicts.of_entry else "")
        if not reason or (reason == "out_of_scope" and not out_of_scope):
            continue
        text = record["question"].lower()
        found = asked.get(text)
        if found is None:
            found = asked[text] = Asked(example=record["question"])
        found.times += 1
        found.reasons[reason] += 1
        found.better = found.better or verdicts.better.get(key(record["id"]), "")
        if len(asked) > 2 * KEEP:
            asked = {each.example.lower(): each for each in sorted(asked.values(), key=_often)[:KEEP]}
    return sorted(_same_words(asked.values()), key=_often)[:KEEP]


def _same_words(asked: Iterable[Asked]) -> Iterable[Asked]:
    """Questions of the same content words put together; those without any are dropped."""
    found: dict[frozenset[str], Asked] = {}
    for each in asked:
        each.words = content(each.example)
        first = found.setdefault(each.words, each)
        if first is not each:
            first.times += each.times
            first.reasons.update(each.reasons)
            first.better = first.better or each.better
    found.pop(frozenset(), None)
    return found.values()


def _often(asked: Asked) -> tuple[bool, int, str]:
    return not asked.better, -asked.times, asked.example


def clusters(asked: Sequence[Asked]) -> list[Cluster]:
    """Questions gathered round the commonest ones; biggest group first."""
    found: list[Cluster] = []
    seeds: list[frozenset[str]] = []
    holders: dict[str, list[int]] = {}
    for one in sorted(asked, key=lambda each: (-each.times, sorted(each.words))):
        place = _nearest(one.words, seeds, holders)
        if place < 0:
            place = len(seeds)
            seeds.append(one.words)
            found.append(Cluster())
            for word in one.words:
                holders.setdefault(word, []).append(place)
        found[place].add(one)
    return sorted(found, key=lambda cluster: (-cluster.times, cluster.shared()))


def _nearest(words: frozenset[str], seeds: list[frozenset[str]], holders: dict[str, list[int]]) -> int:
    """The group whose first question shares the greatest part of its words with these, -1 when none shares enough.

    Only groups that share one of the rarer words are looked at: words that hundreds of groups hold tell little."""
    ordered = sorted((holders[word] for word in words if word in holders), key=len)
    near: set[int] = set()
    for places in ordered:
        if near and len(places) > CROWD:
            break
        near.update(places[:CROWD])
    best, place = ALIKE, -1
    for seed in sorted(near):
        other = seeds[seed]
        number = len(words & other)
        share = number / min(len(words), len(other)) * 0.5 + number / (len(words) + len(other) - number) * 0.5
        if share > best or (share == best and place < 0):
            best, place = share, seed
    return place


def text_of(cluster: Cluster, number: int, read: Callable[[str], Question]) -> str:
    """A group as a YAML file: what it is in comments, then the entry to edit."""
    shared, asks = cluster.shared(), [harmless(ask) for ask in cluster.asks()]
    reasons = ", ".join(f"{reason} {n}" for reason, n in sorted(cluster.reasons.items()))
    name = "-".join(re.sub(r"[^a-z0-9]", "", word) for word in shared[:2]) or f"gap-{number}"
    topic = [word for word in shared if not word.isdigit()][:2]
    about = [" ~ ".join(topic)] if topic else []
    head = f"# gap {number}: asked {cluster.times} times ({reasons}); shared words: {', '.join(shared)}\n"
    return head + skeleton(read(asks[0]), asks, harmless(cluster.better()), f"gap-{name}", about)
