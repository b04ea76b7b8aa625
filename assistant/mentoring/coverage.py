"""How much of the trade the knowledge covers: subjects x kinds, and the cells that were promised."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.rulebase.model import KINDS, Knowledge

PROMISED = {
    "movement": KINDS,
    "condition": ("caution", "regression", "reason"),
    "equipment": ("setup", "caution"),
    "screen": ("screen",),
}


@dataclass(frozen=True)
class Coverage:
    """Counts of entries by subject and kind of one kind of subject, and the promised cells that are empty."""

    kind: str
    rows: tuple[tuple[str, tuple[int, ...]], ...]
    holes: tuple[tuple[str, str], ...]


def coverage(knowledge: Knowledge, kind: str) -> Coverage:
    """Count the entries that speak to each subject of a kind, whichever file they stand in."""
    counts: Counter[tuple[str, str]] = Counter()
    for entry in knowledge.entries.values():
        named = {"movement": entry.movements, "condition": entry.conditions, "equipment": entry.equipment}.get(kind, ())
        for subject in {*named, entry.subject}:
            counts[subject, entry.kind] += 1
    subjects = [s.id for s in knowledge.subjects.values() if s.kind == kind]
    rows = tuple((s, tuple(counts[s, k] for k in KINDS)) for s in sorted(subjects))
    holes = tuple((s, k) for s in sorted(subjects) for k in PROMISED[kind] if not counts[s, k])
    return Coverage(kind, rows, holes)


def table(found: Coverage) -> list[str]:
    """The table as lines: a subject a line, a kind a column; an empty promised cell is shown as HOLE."""
    holes = set(found.holes)
    width = max([len(s) for s, _ in found.rows] + [10])
    lines = [f"{found.kind:{width}} " + " ".join(f"{k[:11]:>11}" for k in KINDS)]
    for subject, counts in found.rows:
        cells = [_cell(n, (subject, k) in holes) for n, k in zip(counts, KINDS, strict=True)]
        lines.append(f"{subject:{width}} " + " ".join(cells))
    return lines


def _cell(number: int, hole: bool) -> str:
    return f"{'HOLE' if hole else number or '.':>11}"


def unverified(knowledge: Knowledge) -> Sequence[str]:
    """Ids of entries that carry a figure from memory."""
    return [entry.id for entry in knowledge.entries.values() if entry.verified == "memory"]
