"""The compiled rulebase: knowledge, patterns and index as one block of texts, parsed where they are looked at."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping

from assistant.rulebase import model as m
from assistant.rulebase.index import Head, Index, Posting
from assistant.rulebase.lazy import LazyList, LazyMap
from assistant.rulebase.pack import Pack, build
from assistant.rulebase.search import Filed, Finder, Shelf, Steps
from assistant.shaping import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any, TypeVar

    from assistant.rulebase.pack import Read, Section
    from assistant.rulebase.session_model import SessionRules

    T = TypeVar("T")


# -- freezing ------------------------------------------------------------------------------------------------------


def freeze(knowledge: m.Knowledge, finder: Finder, index: Index) -> bytes:
    """Everything as one block."""
    sections: dict[str, Section] = {}
    for name in ("sources", "subjects", "entries", "flags", "tables", "sessions"):
        held = getattr(knowledge, name)
        sections |= {name: {key: _blob(item) for key, item in held.items()}, f"{name}-names": list(held)}
    sections |= _freeze_finder(finder)
    sections |= _freeze_index(index)
    return build(
        sections,
        {
            "language": knowledge.language, "longest_stem": finder.longest_stem, "unknown_idf": index.unknown_idf,
            "general": sorted(index.general), "everyone": list(index.everyone), "common": sorted(index.common),
        },
    )  # fmt: skip


def _freeze_index(index: Index) -> dict[str, Section]:
    return {
        "heads": [_freeze_head(head) for head in index.heads],
        "numbers": {entry: str(number) for entry, number in index.numbers.items()},
        "by_movement": _join_map(index.by_movement), "by_condition": _join_map(index.by_condition),
        "postings": {w: f"{p.weight} {_join(p.asked)} {_join(p.said)}" for w, p in index.postings.items()},
        "known": dict.fromkeys(sorted(index.known), ""), "favoured": dict.fromkeys(sorted(index.favoured), ""),
        "names": dict.fromkeys(sorted(index.names), ""), "joined": {joined: str(cut) for joined, cut in index.joined.items()},
        "shapes": {shape: " ".join(words) for shape, words in index.shapes.items()},
    }  # fmt: skip


def _blob(item: Any) -> str:
    from dataclasses import asdict

    return json.dumps(asdict(item), separators=(",", ":"))


def _freeze_head(head: Head) -> str:
    marks = "".join("1" if each else "0" for each in (head.all_conditions, head.only_about, head.house, head.forbids))
    lists = (" ".join(each) for each in (head.movements, head.conditions, head.equipment))
    return "\t".join([head.id, head.kind, head.subject, head.report, str(head.strength), marks, *lists])


def _join_map(table: Mapping[str, Iterable[int]]) -> dict[str, str]:
    return {key: _join(numbers) for key, numbers in table.items()}


def _freeze_finder(finder: Finder) -> dict[str, Section]:
    return {
        "filed": {
            feature: ";".join([" ".join(f"{g}:{p}" for g, p in f.groups), _shelved(f.phrases), _shelved(f.patterns)])
            for feature, f in finder.filed.items()
        },
        "phrases": [f"{place} {group} {_spell(steps)}" for place, group, steps in finder.phrases],
        "atoms": ["\t".join(f"{place} {_spell(steps)}" for place, steps in variants) for variants in finder.atoms],
        "patterns": ["&".join(_join(part) for part in parts) for parts in finder.patterns],
        "owners": ["\t".join(f"{kind}={owner}" for kind, owner in owners) for owners in finder.owners],
        "texts": list(finder.texts),
    }  # fmt: skip


def _join(numbers: Iterable[int]) -> str:
    return ",".join(map(str, numbers))


def _shelved(shelf: Shelf) -> str:
    return " ".join(f"{second}:{_join(numbers)}" for second, numbers in shelf.items())


def _spell(steps: Steps) -> str:
    return " ".join(f"...{step}" if isinstance(step, int) else "|".join(step) for step in steps)


# -- thawing -------------------------------------------------------------------------------------------------------


def thaw(read: Read, digest: str) -> tuple[m.Knowledge, Finder, Index]:
    """Open a block made by `freeze`, of which `read` gives the bytes; raises ValueError or KeyError when it is none."""
    pack = Pack(read)
    values = pack.values

    def held(name: str, parse: Callable[[str], T]) -> Mapping[str, T]:
        return LazyMap(pack.table(name), parse, pack.texts(f"{name}-names"))

    knowledge = m.Knowledge(
        held("sources", _maker(m.Source)), held("subjects", _subject), held("entries", _entry),
        held("flags", _maker(m.Flag)), held("tables", _table), values["language"], digest, held("sessions", _session),
    )  # fmt: skip
    finder = Finder(
        LazyMap(pack.table("filed"), _filed), LazyList(pack.texts("phrases"), _phrase), LazyList(pack.texts("atoms"), _atom),
        LazyList(pack.texts("patterns"), _pattern), LazyList(pack.texts("owners"), _owners), pack.texts("texts"),
        values["longest_stem"],
    )  # fmt: skip
    return knowledge, finder, Index(
        LazyList(pack.texts("heads"), _head), LazyMap(pack.table("numbers"), int), frozenset(values["general"]), values["everyone"],
        LazyMap(pack.table("by_movement"), _numbers), LazyMap(pack.table("by_condition"), _numbers),
        LazyMap(pack.table("postings"), _posting), frozenset(values["common"]), values["unknown_idf"],
        pack.table("known"), pack.table("favoured"), pack.table("names"), LazyMap(pack.table("shapes"), str.split),
        LazyMap(pack.table("joined"), int),
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


def _session(text: str) -> SessionRules:
    from assistant.rulebase.session_model import SessionRules, thawed  # most questions need none of it

    return thawed(SessionRules, json.loads(text))


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
