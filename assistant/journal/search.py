"""Choosing entries, and writing them out for other programs and for people."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from assistant.clean import harmless
from assistant.errors import InputError
from assistant.journal.record import Record

COLUMNS = (
    "id", "time", "coach", "client", "conversation", "turn", "status", "urgency", "intent", "movements", "conditions",
    "question", "answer", "rules", "figures", "score", "knowledge", "version",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Filter:
    """Which entries are wanted; empty fields ask for nothing."""

    since: str = ""
    until: str = ""
    coach: str = ""
    client: str = ""
    status: str = ""
    words: tuple[str, ...] = ()

    def wants(self, record: Record) -> bool:
        """Whether this entry is one of them."""
        day = record["time"][:10]
        if (self.since and day < self.since) or (self.until and day > self.until):
            return False
        for name in ("coach", "client", "status"):
            value = getattr(self, name)
            if value and record.get(name) != value:
                return False
        return not self.words or self._holds(record)

    def of(self, records: Iterable[Record]) -> Iterable[Record]:
        """The entries wanted."""
        return records if self == Filter() else (record for record in records if self.wants(record))

    def _holds(self, record: Record) -> bool:
        understood = record["understood"]
        subjects = " ".join([*understood["movements"], *understood["conditions"], *record["rules"]])
        text = f"{record['question']} {record['answer']} {subjects} {record['id']}".casefold()
        return all(word in text for word in self.words)


def day(raw: str, today: date) -> str:
    """A day from 2026-01-31, or from a number of days ago such as 30; raises InputError."""
    try:
        if raw.isdigit() and len(raw) < 6:
            return (today - timedelta(days=int(raw))).isoformat()
        return date.fromisoformat(raw).isoformat()
    except (ValueError, OverflowError):
        raise InputError("not a date", raw[:20], "write 2026-01-31, or a number of days ago such as 30") from None


def shown(text: object, most: int = 0) -> str:
    """A text on one harmless line, cut to `most` characters with a mark."""
    line = " ".join(harmless(str(text)).split())
    return line if not most or len(line) <= most else line[: most - 3].rstrip() + "..."


def figures(record: Record) -> list[str]:
    """The figures of an entry as `quantity value unit`."""
    found: list[Any] = record.get("figures") or []
    return [
        shown(f"{each.get('quantity')} {each.get('value')} {each.get('unit')}")
        for each in found
        if isinstance(each, dict)
    ]


def _cells(record: Record) -> list[str]:
    understood = record["understood"]
    flat = {
        **record, "intent": understood.get("intent", ""), "movements": " ".join(understood["movements"]),
        "conditions": " ".join(understood["conditions"]), "rules": " ".join(record["rules"]),
        "figures": "; ".join(figures(record)), "answer": record["answer"].replace("\n", " | "),
    }  # fmt: skip
    return [cell("" if flat.get(name) is None else flat[name]) for name in COLUMNS]


def cell(value: object) -> str:
    """A cell that no spreadsheet takes for a formula."""
    text = shown(value)
    return f"'{text}" if text.startswith(_FORMULA) and not _is_number(text) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def csv_row(cells: Iterable[object]) -> str:
    """One line of CSV."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(list(cells))
    return out.getvalue()


def as_jsonl(records: Iterable[Record]) -> Iterator[str]:
    """One JSON object a line, with the fields as they are kept."""
    for record in records:
        yield json.dumps(record, ensure_ascii=False, sort_keys=True) + "\n"


def as_csv(records: Iterable[Record]) -> Iterator[str]:
    """A table with a header."""
    yield csv_row(COLUMNS)
    for record in records:
        yield csv_row(_cells(record))


def as_md(records: Iterable[Record]) -> Iterator[str]:
    """A document to read: one heading an entry."""
    yield "# Journal\n"
    for record in records:
        client = f", client {shown(record['client'])}" if record["client"] else ""
        yield f"\n## {shown(record['time'])} {shown(record['id'])}\n\n"
        yield f"Coach {shown(record['coach'])}{client}. Status: {shown(record['status'])}"
        yield f", {shown(record['urgency'])}.\n\n" if record.get("urgency") else ".\n\n"
        yield f"> {md(record['question'])}\n\n"
        yield "\n".join(f"    {line}" for line in harmless(record["answer"], keep_newlines=True).splitlines()) + "\n"
        yield f"\nRules: {md(', '.join(record['rules'])) or 'none'}\n"


def md(text: object) -> str:
    """A text that Markdown shows as it stands."""
    line = shown(text)
    return "".join(f"\\{char}" if char in "\\`*_[]<>|#" else char for char in line)


FORMATS = {"jsonl": as_jsonl, "csv": as_csv, "md": as_md}
