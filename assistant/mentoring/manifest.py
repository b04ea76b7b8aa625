"""What every rule said under one knowledge hash, as short fingerprints, so that a replay can tell which rule changed."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path

from assistant.journal.places import make_private
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Entry, Flag, Subject

_PREFIX, _DIGITS = "rules-", 10
# What an entry or flag says and when it counts; not where it stands, and no numbers that shift with other entries.
_FIELDS = (
    "kind", "movements", "conditions", "all_conditions", "equipment", "only_about", "report", "say", "why", "watch", "sources",
    "evidence", "figures", "forbids", "tier", "sees", "do", "tell", "worse", "ladder", "decides",
)  # fmt: skip


def _print(item: Entry | Flag | Subject, patterns: Sequence[str]) -> str:
    fields = [(name, getattr(item, name)) for name in _FIELDS if hasattr(item, name)]
    return hashlib.sha256(repr((fields, sorted(patterns))).encode()).hexdigest()[:_DIGITS]


def _patterns(rulebase: Rulebase) -> dict[str, list[str]]:
    """The patterns that lead to each id."""
    found: dict[str, list[str]] = {}
    for number, owners in enumerate(rulebase.lexicon.owners):
        for _, owner in owners:
            found.setdefault(owner, []).append(rulebase.lexicon.texts[number])
    return found


def manifest(rulebase: Rulebase) -> dict[str, str]:
    """Fingerprint of every entry, flag and ladder by the id that answers name."""
    knowledge, patterns = rulebase.knowledge, _patterns(rulebase)
    prints = {each.id: _print(each, patterns.get(each.id, ())) for each in knowledge.entries.values()}
    prints |= {each.id: _print(each, patterns.get(each.id, ())) for each in knowledge.flags.values()}
    prints |= {f"ladder/{each.id}": _print(each, ()) for each in knowledge.subjects.values() if each.ladder}
    return prints


def _path(folder: Path, digest: str) -> Path:
    name = "".join(char for char in digest.rpartition(":")[2] if char.isalnum())
    return folder / f"{_PREFIX}{name}.json"


def known(folder: Path, digest: str) -> bool:
    """Whether the fingerprints under this hash are kept already."""
    return _path(folder, digest).exists()


def keep(folder: Path, rulebase: Rulebase) -> None:
    """Keep the fingerprints beside the journal, once for each hash. Raises OSError."""
    path = _path(folder, rulebase.knowledge.digest)
    make_private(folder)
    new = path.with_suffix(f".{os.getpid()}.tmp")
    handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        json.dump(manifest(rulebase), file, separators=(",", ":"), sort_keys=True)
    new.replace(path)


def read(folder: Path, digest: str) -> Mapping[str, str] | None:
    """The fingerprints under a hash, from this folder or one below it; None when they were never kept."""
    name = _path(folder, digest).name
    for path in sorted(folder.rglob(name)):
        try:
            data = json.loads(path.read_text("utf-8"))
        except (OSError, ValueError):
            continue
        if isinstance(data, dict):
            return data
    return None
