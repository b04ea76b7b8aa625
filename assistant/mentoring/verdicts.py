"""The mentor's verdicts on entries: records of their own, never a change of the entry."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from assistant.journal import record as records
from assistant.journal.reading import Faults, files, stream
from assistant.journal.record import Record
from assistant.journal.store import Store

_TEXTS = 20_000
VERDICTS = ("sound", "amend", "wrong", "unsafe")
OUTCOME_ONLY = "outcome"  # a review that only tells what came of a referral


def review(store: Store, entry: str, verdict: str, comment: str = "", better: str = "", outcome: str = "") -> Record:
    """Append one review; the texts have been redacted by the caller. Raises JournalError."""
    record = {
        **records.head(records.REVIEW, store.now(), store.coach), "entry": entry, "verdict": verdict,
        "comment": comment, "better": better, "outcome": outcome,
    }  # fmt: skip
    store.append(record)
    return record


@dataclass
class Verdicts:
    """The latest verdict on every reviewed entry. Ids are kept as numbers and verdicts beside their time in one number,
    so that a million of them stay small; of the texts the first `_TEXTS` are kept."""

    of_entry: dict[int, int] = field(default_factory=dict)
    better: dict[int, str] = field(default_factory=dict)
    outcome: dict[int, str] = field(default_factory=dict)

    def add(self, review_record: Record) -> None:
        """Take in one review; of several on an entry the latest counts."""
        number = key(review_record["entry"])
        if review_record["verdict"] in VERDICTS:
            packed = _moment(review_record["time"]) * len(VERDICTS) + VERDICTS.index(review_record["verdict"])
            if packed >= self.of_entry.get(number, 0):
                self.of_entry[number] = packed
                _keep(self.better, number, review_record["better"])
        if review_record["outcome"]:
            _keep(self.outcome, number, review_record["outcome"])

    def verdict(self, entry: str) -> str:
        """The verdict on an entry, empty when there is none."""
        packed = self.of_entry.get(key(entry))
        return "" if packed is None else VERDICTS[packed % len(VERDICTS)]


def _keep(texts: dict[int, str], number: int, text: str) -> None:
    if text and (len(texts) < _TEXTS or number in texts):
        texts[number] = text


def _moment(time: str) -> int:
    """Milliseconds since 1970; 0 for a time that is none."""
    try:
        return max(0, int(datetime.fromisoformat(time).timestamp() * 1000))
    except (ValueError, OverflowError):
        return 0


def key(entry: str) -> int:
    """An id as a number; an id that is none still gets one."""
    try:
        return int(entry, 16)
    except ValueError:
        return -1


def reviews(
    folder: Path, faults: Faults | None = None, progress: Callable[[int], None] | None = None
) -> Iterator[Record]:
    """All reviews, oldest day first."""
    return stream(files(folder, records.REVIEW), faults, progress, records.REVIEW)


def read_verdicts(folder: Path, faults: Faults | None = None) -> Verdicts:
    """The verdicts of a journal."""
    found = Verdicts()
    for record in reviews(folder, faults):
        found.add(record)
    return found
