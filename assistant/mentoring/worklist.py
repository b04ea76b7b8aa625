"""Which entries the mentor should look at next: dangerous ones first, then those the program was least sure of."""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from datetime import datetime

from assistant.journal.record import Record
from assistant.mentoring.verdicts import Verdicts

LOW_SCORE = 7.0
_Place = tuple[float, int, Record]  # when it was asked, minus its place in the journal (no two are equal), and itself
_REASONS = ("emergency", "referral", "unsure", "low confidence", "out of scope", "other")


def reason(record: Record) -> str:
    """Why an entry stands where it does."""
    return _REASONS[rank(record)]


def rank(record: Record) -> int:
    """The place of an entry's kind in the mentor's order."""
    status = record["status"]
    if status == "refer":
        return 0 if record.get("urgency") == "emergency" else 1
    if status == "unsure":
        return 2
    if status == "out_of_scope":
        return 4
    score = record.get("score")
    if isinstance(score, (int, float)) and 0 < score < LOW_SCORE:
        return 3
    return 5


def _moment(record: Record) -> float:
    try:
        return datetime.fromisoformat(record["time"]).timestamp()
    except ValueError:
        return 0.0


def next_up(entries: Iterable[Record], verdicts: Verdicts, most: int) -> list[Record]:
    """The first `most` unreviewed entries in the mentor's order, the newest of a kind first; memory stays flat."""
    kinds: list[list[_Place]] = [[] for _ in _REASONS]  # a heap each, the oldest on top
    worst = len(_REASONS)  # kinds from this one on cannot get a place any more
    for number, record in enumerate(entries):
        kind = rank(record)
        if kind >= worst or (verdicts.of_entry and verdicts.verdict(record["id"])):
            continue
        one = (_moment(record), -number, record)
        if len(kinds[kind]) < most:
            heapq.heappush(kinds[kind], one)
            worst = _first_without_room(kinds, most)
        elif one > kinds[kind][0]:
            heapq.heapreplace(kinds[kind], one)
    ordered = [each[2] for heap in kinds for each in sorted(heap, reverse=True)]
    return ordered[:most]


def _first_without_room(kinds: list[list[_Place]], most: int) -> int:
    """The first kind before which there are `most` entries already."""
    total = 0
    for number, heap in enumerate(kinds):
        if total >= most:
            return number
        total += len(heap)
    return len(kinds)
