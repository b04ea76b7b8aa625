"""The compiled rulebase as one JSON file, keyed by content and version, parsed where it is looked at.

Never trusted blindly: the first line holds version, digest and checksum; anything amiss means "build it again".
"""

from __future__ import annotations

import dataclasses
import json
import os
import tempfile
import zlib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from assistant import __version__
from assistant.rulebase import model as m
from assistant.rulebase.index import Head, Index, Posting
from assistant.rulebase.lazy import LazyList, LazyMap, WordSet
from assistant.rulebase.search import Filed, Finder, Shelf, Steps

FORMAT = 8
T = TypeVar("T")


def cache_folder() -> Path:
    """$XDG_CACHE_HOME/rungbook, or ~/.cache/rungbook."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if os.path.isabs(base) else Path.home() / ".cache") / "rungbook"


def _path(digest: str) -> Path:
    return cache_folder() / f"knowledge-{FORMAT}-{digest.rpartition(':')[2]}.json"


def load(digest: str) -> tuple[m.Knowledge, Finder, Index] | None:
    """The compiled rulebase for this digest, or None when there is none that is whole."""
    try:
        head, _, body = _path(digest).read_bytes().partition(b"\n")
        if head.decode() != _first_line(digest, body):
            return None
        return _thaw(json.loads(body), digest)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def save(knowledge: m.Knowledge, finder: Finder, index: Index) -> None:
    """Write the compiled rulebase at once or not at all; a folder that cannot be written is no error."""
    body = json.dumps(_freeze(knowledge, finder, index), separators=(",", ":")).encode()
    path = _path(knowledge.digest)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".knowledge-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(_first_line(knowledge.digest, body).encode() + b"\n" + body)
            os.replace(name, path)
        except OSError:
            os.unlink(name)
        _forget_others(path)
    except OSError:
        return


def _forget_others(path: Path) -> None:
    """Keep the four newest compiled files."""
    files = sorted(path.parent.glob("knowledge-*.json"), key=lambda p: p.stat().st_mtime, reverse=True)
    for old in files[4:]:
        old.unlink(missing_ok=True)


def _first_line(digest: str, body: bytes) -> str:
    return f"rungbook {__version__} {FORMAT} {digest} {zlib.crc32(body):08x}"


# -- freezing ------------------------------------------------------------------------------------------------------


def _freeze(knowledge: m.Knowledge, finder: Finder, index: Index) -> dict[str, Any]:
    return {
        "language": knowledge.language,
        "sources": {k: _blob(v) for k, v in knowledge.sources.items()},
        "subjects": {k: _blob(v) for k, v in knowledge.subjects.items()},
        "entries": {k: _blob(v) for k, v in knowledge.entries.items()},
        "flags": {k: _blob(v) for k, v in knowledge.flags.items()},
        "tables": {k: _blob(v) for k, v in knowledge.tables.items()},
        "finder": _freeze_finder(finder),
        "index": {
            "heads": [_freeze_head(head) for head in index.heads], "numbers": {id: str(n) for id, n in index.numbers.items()},
            "general": _join(sorted(index.general)),  # type: ignore[call-overload]
            "by_movement": _join_map(index.by_movement), "by_condition": _join_map(index.by_condition),
            "postings": {w: f"{p.weight} {_join(p.asked)} {_join(p.said)}" for w, p in index.postings.items()},
            "common": sorted(index.common), "unknown_idf": index.unknown_idf,  # type: ignore[call-overload]
            "known": "\n".join(sorted(index.known)), "favoured": "\n".join(sorted(index.favoured)),  # type: ignore[call-overload]
            "shapes": {k: " ".join(v) for k, v in index.shapes.items()},
        },
    }  # fmt: skip


def _blob(item: Any) -> str:
    return json.dumps(dataclasses.asdict(item), separators=(",", ":"))


def _freeze_head(head: Head) -> str:
    marks = "".join("1" if each else "0" for each in (head.all_conditions, head.only_about, head.house, head.forbids))
    lists = (" ".join(each) for each in (head.movements, head.conditions, head.equipment))
    return "\t".join([head.id, head.kind, head.subject, head.report, str(head.strength), marks, *lists])


def _join_map(table: Mapping[str, Iterable[int]]) -> dict[str, str]:
    return {key: _join(numbers) for key, numbers in table.items()}


def _freeze_finder(finder: Finder) -> dict[str, Any]:
    return {
        "filed": {
            feature: ";".join([" ".join(f"{g}:{p}" for g, p in f.groups), _shelved(f.phrases), _shelved(f.patterns)])
            for feature, f in finder.filed.items()
        },
        "phrases": [f"{place} {group} {_spell(steps)}" for place, group, steps in finder.phrases],
        "atoms": ["\t".join(f"{place} {_spell(steps)}" for place, steps in variants) for variants in finder.atoms],
        "patterns": ["&".join(_join(part) for part in parts) for parts in finder.patterns],
        "owners": ["\t".join(f"{kind}={owner}" for kind, owner in owners) for owners in finder.owners],
        "texts": list(finder.texts), "longest_stem": finder.longest_stem,
    }  # fmt: skip


def _join(numbers: Iterable[int]) -> str:
    return ",".join(map(str, numbers))


def _shelved(shelf: Shelf) -> str:
    return " ".join(f"{second}:{_join(numbers)}" for second, numbers in shelf.items())


def _spell(steps: Steps) -> str:
    return " ".join(f"...{step}" if isinstance(step, int) else "|".join(step) for step in steps)


# -- thawing -------------------------------------------------------------------------------------------------------


def _thaw(data: dict[str, Any], digest: str) -> tuple[m.Knowledge, Finder, Index]:
    knowledge = m.Knowledge(
        LazyMap(data["sources"], _maker(m.Source)), LazyMap(data["subjects"], _subject),
        LazyMap(data["entries"], _entry), LazyMap(data["flags"], _maker(m.Flag)), LazyMap(data["tables"], _table),
        data["language"], digest,
    )  # fmt: skip
    frozen, index = data["finder"], data["index"]
    finder = Finder(
        LazyMap(frozen["filed"], _filed), LazyList(frozen["phrases"], _phrase), LazyList(frozen["atoms"], _atom),
        LazyList(frozen["patterns"], _pattern), LazyList(frozen["owners"], _owners), frozen["texts"], frozen["longest_stem"],
    )  # fmt: skip
    return knowledge, finder, Index(
        LazyList(index["heads"], _head), LazyMap(index["numbers"], int), frozenset(_numbers(index["general"])),
        LazyMap(index["by_movement"], _numbers), LazyMap(index["by_condition"], _numbers),
        LazyMap(index["postings"], _posting), frozenset(index["common"]), index["unknown_idf"], WordSet(index["known"]),
        WordSet(index["favoured"]), LazyMap(index["shapes"], str.split),
    )  # fmt: skip


def _head(text: str) -> Head:
    entry, kind, subject, report, strength, marks, *lists = text.split("\t")
    movements, conditions, equipment = (tuple(each.split()) for each in lists)
    everything, only_about, house, forbids = (mark == "1" for mark in marks)
    return Head(
        entry, kind, subject, movements, conditions, everything, equipment, only_about, report, int(strength), house, forbids
    )  # fmt: skip


def _posting(text: str) -> Posting:
    weight, asked, said = text.split(" ")
    return Posting(float(weight), _numbers(asked), _numbers(said))


def _numbers(text: str) -> tuple[int, ...]:
    return tuple(map(int, text.split(","))) if text else ()


def _filed(text: str) -> Filed:
    groups, phrases, patterns = text.split(";")
    found = tuple((name, int(place)) for name, _, place in (g.partition(":") for g in groups.split(" ") if g))
    return Filed(found, _shelf(phrases), _shelf(patterns))


def _shelf(text: str) -> Shelf:
    return {second: _numbers(numbers) for second, _, numbers in (s.partition(":") for s in text.split(" ") if s)}


def _steps(pieces: Iterable[str]) -> Steps:
    return tuple(int(p[3:]) if p.startswith("...") else tuple(p.split("|")) for p in pieces)


def _phrase(text: str) -> tuple[int, str, Steps]:
    place, group, *pieces = text.split(" ")
    return int(place), group, _steps(pieces)


def _atom(text: str) -> tuple[tuple[int, Steps], ...]:
    return tuple((int(place), _steps(pieces)) for place, *pieces in (each.split(" ") for each in text.split("\t")))


def _pattern(text: str) -> tuple[tuple[int, ...], ...]:
    return tuple(_numbers(part) for part in text.split("&"))


def _owners(text: str) -> list[tuple[str, str]]:
    return [(kind, owner) for kind, _, owner in (part.partition("=") for part in text.split("\t"))]


def _tuples(fields: Mapping[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in fields.items()}


def _maker(kind: type[T]) -> Callable[[str], T]:
    return lambda text: kind(**_tuples(json.loads(text)))


def _entry(text: str) -> m.Entry:
    fields = _tuples(json.loads(text))
    fields["figures"] = tuple(m.StaticFigure(**each) for each in fields["figures"])
    fields["forbids"] = tuple(m.Forbid(**_tuples(each)) for each in fields["forbids"])
    return m.Entry(**fields)


def _table(text: str) -> m.Table:
    fields = json.loads(text)
    fields["rows"] = tuple(m.Row(**each) for each in fields["rows"])
    return m.Table(**fields)


def _subject(text: str) -> m.Subject:
    fields = _tuples(json.loads(text))
    if fields["ladder"] is not None:
        fields["ladder"] = _ladder(fields["ladder"])
    return m.Subject(**fields)


def _ladder(fields: dict[str, Any]) -> m.Ladder:
    plain = _tuples(fields)
    plain["axes"] = tuple(
        m.Axis(a["id"], a["unit"], tuple(m.Level(**_tuples(level)) for level in a["levels"])) for a in fields["axes"]
    )
    plain["first"] = _tuples(fields["first"])
    for key in ("easier_movements", "harder_movements", "needs_first"):
        plain[key] = tuple(m.Neighbour(**_tuples(each)) for each in fields[key])
    return m.Ladder(**plain)
