"""Which entries the mentor should look at next: dangerous ones first, then those the program was least sure of."""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from datetime import datetime

from assistant.journal.record import Record
from assistant.mentoring.verdicts import Verdicts

LOW_SCORE = 7.0
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
    open_ones = (record for record in entries if not verdicts.verdict(record["id"]))
    return heapq.nsmallest(most, open_ones, key=lambda record: (rank(record), -_moment(record), record["id"]))
