"""The mentor's report over a journal: volume, topics, referrals and what came of them, and disagreements."""

from __future__ import annotations

import json
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any

from assistant.journal.record import Record
from assistant.journal.search import csv_row, md, shown
from assistant.mentoring.verdicts import VERDICTS, Verdicts, key

STATUSES = ("answered", "refer", "unsure", "out_of_scope")
_KEPT, _TOP = 20, 12
_MANY = 5000  # distinct topics, weeks or coaches; beyond that a forged journal would fill the memory
Key = tuple[str, str]


@dataclass
class Report:
    """Counts over all entries read. `volume` and `verdicts` are by (week, coach)."""

    entries: int = 0
    first: str = ""
    last: str = ""
    volume: dict[Key, Counter[str]] = field(default_factory=dict)
    verdicts: dict[Key, Counter[str]] = field(default_factory=dict)
    movements: Counter[str] = field(default_factory=Counter)
    conditions: Counter[str] = field(default_factory=Counter)
    intents: Counter[str] = field(default_factory=Counter)
    urgencies: Counter[str] = field(default_factory=Counter)
    outcomes: int = 0
    referrals: deque[dict[str, str]] = field(default_factory=lambda: deque(maxlen=_KEPT))
    disputed: deque[dict[str, str]] = field(default_factory=lambda: deque(maxlen=_KEPT))

    def add(self, record: Record, verdicts: Verdicts) -> None:
        """Count one entry."""
        self.entries += 1
        day = record["time"][:10]
        if not self.first or day < self.first:
            self.first = day
        if day > self.last:
            self.last = day
        where = (week(day), record["coach"])
        counts = self.volume.get(where)
        if counts is None and len(self.volume) < _MANY:
            counts = self.volume[where] = Counter()
        if counts is not None:
            counts[record["status"]] += 1
        understood = record["understood"]
        _count(self.movements, understood["movements"])
        _count(self.conditions, understood["conditions"])
        _count(self.intents, (str(understood.get("intent") or "none"),))
        if record["status"] == "refer":
            self._referral(record, verdicts)
        verdict = verdicts.verdict(record["id"]) if verdicts.of_entry else ""
        if verdict:
            self.verdicts.setdefault(where, Counter())[verdict] += 1
            if verdict != "sound":
                self.disputed.append(_brief(record, verdict=verdict, note=verdicts.better.get(key(record["id"]), "")))

    def _referral(self, record: Record, verdicts: Verdicts) -> None:
        outcome = verdicts.outcome.get(key(record["id"]), "")
        self.urgencies[str(record.get("urgency"))] += 1
        self.outcomes += bool(outcome)
        self.referrals.append(
            _brief(record, urgency=str(record.get("urgency")), rule=next(iter(record["rules"]), ""), note=outcome)
        )


def _brief(record: Record, **more: str) -> dict[str, str]:
    return {
        "id": record["id"],
        "time": record["time"][:16],
        "coach": record["coach"],
        "question": record["question"],
        **more,
    }


def _count(counter: Counter[str], names: Iterable[str]) -> None:
    for name in names:
        if name in counter or len(counter) < _MANY:
            counter[name] += 1


@lru_cache(maxsize=4096)
def week(day: str) -> str:
    """The ISO week of a day."""
    try:
        year, number, _ = date.fromisoformat(day).isocalendar()
    except ValueError:
        return "no date"
    return f"{year}-W{number:02d}"


def report(entries: Iterable[Record], verdicts: Verdicts) -> Report:
    """Read all entries once."""
    found = Report()
    for record in entries:
        found.add(record, verdicts)
    return found


# -- as data ---------------------------------------------------------------------------------------------------------


def _rows(found: Report) -> Iterator[tuple[str, str, str, str, int]]:
    """Every count as (section, week, coach, name, number), sorted."""
    for section, table, names in (("volume", found.volume, STATUSES), ("verdicts", found.verdicts, VERDICTS)):
        for (when, coach), counts in sorted(table.items()):
            for name in [*names, *sorted(set(counts) - set(names))]:
                if counts[name]:
                    yield section, when, coach, name, counts[name]
    for section, counter in (
        ("movement", found.movements), ("condition", found.conditions), ("intent", found.intents),
        ("referral", found.urgencies),
    ):  # fmt: skip
        for name, number in sorted(counter.items(), key=lambda item: (-item[1], item[0])):
            yield section, "", "", name, number
    yield "referral", "", "", "outcome known", found.outcomes


def as_json(found: Report) -> str:
    """One JSON object."""
    data: dict[str, Any] = {"entries": found.entries, "first": found.first, "last": found.last}
    for name, table in (("volume", found.volume), ("verdicts", found.verdicts)):
        data[name] = [{"week": w, "coach": c, **dict(sorted(n.items()))} for (w, c), n in sorted(table.items())]
    data["topics"] = {"movements": dict(found.movements.most_common()), "conditions": dict(found.conditions.most_common()),
                      "intents": dict(found.intents.most_common())}  # fmt: skip
    data["referrals"] = {"by_urgency": dict(sorted(found.urgencies.items())), "outcome_known": found.outcomes,
                         "latest": list(found.referrals)}  # fmt: skip
    data["disagreements"] = list(found.disputed)
    return json.dumps(data, ensure_ascii=False) + "\n"


def as_csv(found: Report) -> str:
    """One table: section, week, coach, name, count."""
    return csv_row(("section", "week", "coach", "name", "count")) + "".join(csv_row(row) for row in _rows(found))


# -- as text ---------------------------------------------------------------------------------------------------------


def _tables(found: Report) -> Iterator[tuple[str, Sequence[str], list[Sequence[str]]]]:
    """(title, header, rows) of every table."""
    total = Counter[str]()
    for counts in found.volume.values():
        total.update(counts)
    rows: list[Sequence[str]] = [
        [when, coach, str(sum(n.values())), *(str(n[s]) for s in STATUSES)]
        for (when, coach), n in sorted(found.volume.items())
    ]
    rows.append(["all", "", str(found.entries), *(str(total[s]) for s in STATUSES)])
    yield "Volume", ("week", "coach", "asked", *STATUSES), rows
    for title, counter in (
        ("Movements", found.movements),
        ("Conditions", found.conditions),
        ("Intents", found.intents),
    ):
        yield (
            title,
            (title.lower()[:-1], "times"),
            [[name, str(n)] for name, n in sorted(counter.items(), key=_often)[:_TOP]],
        )
    yield "Referrals", ("urgency", "times"), [
        *([name, str(number)] for name, number in sorted(found.urgencies.items())), ["outcome known", str(found.outcomes)],
    ]  # fmt: skip
    yield "Latest referrals and what came of them", ("when", "coach", "urgency", "rule", "outcome", "question"), [
        [r["time"], r["coach"], r["urgency"], r["rule"], r["note"] or "not told", r["question"]] for r in found.referrals
    ]  # fmt: skip
    yield "Verdicts", ("week", "coach", "reviewed", *VERDICTS, "disagreed"), [
        [when, coach, str(sum(n.values())), *(str(n[v]) for v in VERDICTS), _share(n)]
        for (when, coach), n in sorted(found.verdicts.items())
    ]  # fmt: skip
    yield "Latest disagreements", ("when", "coach", "verdict", "better answer", "question"), [
        [r["time"], r["coach"], r["verdict"], r["note"] or "-", r["question"]] for r in found.disputed
    ]  # fmt: skip


def _often(item: tuple[str, int]) -> tuple[int, str]:
    return -item[1], item[0]


def _share(counts: Counter[str]) -> str:
    total = sum(counts.values())
    return f"{100 * (total - counts['sound']) / total:.0f}%" if total else "-"


def as_text(found: Report) -> str:
    """Tables in plain columns, for a terminal."""
    out = [f"{found.entries} questions from {found.first or '-'} to {found.last or '-'}"]
    for title, header, rows in _tables(found):
        if not rows:
            continue
        cells = [[shown(cell, 46) for cell in row] for row in (header, *rows)]
        widths = [max(len(row[i]) for row in cells) for i in range(len(header))]
        out += ["", title, *("  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in cells)]
    return "\n".join(out) + "\n"


def as_md(found: Report) -> str:
    """The same tables as Markdown."""
    out = ["# Review report", "", f"{found.entries} questions from {found.first or '-'} to {found.last or '-'}"]
    for title, header, rows in _tables(found):
        if rows:
            out += ["", f"## {title}", "", f"| {' | '.join(header)} |", "|---" * len(header) + "|"]
            out += [f"| {' | '.join(md(cell) for cell in row)} |" for row in rows]
    return "\n".join(out) + "\n"


FORMATS = {"text": as_text, "md": as_md, "csv": as_csv, "json": as_json}
