"""The compiled rulebase as one JSON file, keyed by content and version, parsed where it is looked at.

Never trusted blindly: the first line holds version, digest and checksum; anything amiss means "build it again".
"""

from __future__ import annotations

import dataclasses
import json
import os
import tempfile
import zlib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from assistant import __version__
from assistant.rulebase import model as m
from assistant.rulebase.index import Index
from assistant.rulebase.lazy import LazyList, LazyMap, WordSet
from assistant.rulebase.patterns import Element, Lexicon, parse_element

if TYPE_CHECKING:
    from assistant.rulebase.session_model import SessionRules

FORMAT = 6
T = TypeVar("T")


def cache_folder() -> Path:
    """$XDG_CACHE_HOME/rungbook, or ~/.cache/rungbook."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if os.path.isabs(base) else Path.home() / ".cache") / "rungbook"


def _path(digest: str) -> Path:
    return cache_folder() / f"knowledge-{FORMAT}-{digest.rpartition(':')[2]}.json"


def load(digest: str) -> tuple[m.Knowledge, Lexicon, Index] | None:
    """The compiled rulebase for this digest, or None when there is none that is whole."""
    try:
        head, _, body = _path(digest).read_bytes().partition(b"\n")
        if head.decode() != _head(digest, body):
            return None
        return _thaw(json.loads(body), digest)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def save(knowledge: m.Knowledge, lexicon: Lexicon, index: Index) -> None:
    """Write the compiled rulebase at once or not at all; a folder that cannot be written is no error."""
    body = json.dumps(_freeze(knowledge, lexicon, index), separators=(",", ":")).encode()
    path = _path(knowledge.digest)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".knowledge-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(_head(knowledge.digest, body).encode() + b"\n" + body)
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


def _head(digest: str, body: bytes) -> str:
    return f"rungbook {__version__} {FORMAT} {digest} {zlib.crc32(body):08x}"


# -- freezing ------------------------------------------------------------------------------------------------------


def _freeze(knowledge: m.Knowledge, lexicon: Lexicon, index: Index) -> dict[str, Any]:
    order = {entry: str(number) for number, entry in enumerate(knowledge.entries)}
    postings = {
        word: ",".join(order[e] + ("" if weight == 1.0 else "h") for e, weight in found)
        for word, found in index.postings.items()
    }
    return {
        "language": knowledge.language,
        "sources": {k: _blob(v) for k, v in knowledge.sources.items()},
        "subjects": {k: _blob(v) for k, v in knowledge.subjects.items()},
        "entries": {k: _blob(v) for k, v in knowledge.entries.items()},
        "flags": {k: _blob(v) for k, v in knowledge.flags.items()},
        "tables": {k: _blob(v) for k, v in knowledge.tables.items()},
        "sessions": {k: _blob(v) for k, v in knowledge.sessions.items()},
        "lexicon": _freeze_lexicon(lexicon),
        "index": {
            "general": list(index.general), "by_movement": index.by_movement, "by_condition": index.by_condition,
            "postings": postings, "idf": index.idf, "common": sorted(index.common), "unknown_idf": index.unknown_idf,  # type: ignore[call-overload]
            "known": "\n".join(sorted(index.known)), "favoured": "\n".join(sorted(index.favoured)),  # type: ignore[call-overload]
            "shapes": {k: " ".join(v) for k, v in index.shapes.items()},
        },
    }  # fmt: skip


def _blob(item: Any) -> str:
    return json.dumps(dataclasses.asdict(item), separators=(",", ":"))


def _freeze_lexicon(lexicon: Lexicon) -> dict[str, Any]:
    return {
        "patterns": ["&".join(_join(part) for part in parts) for parts in lexicon.patterns],
        "owners": ["\t".join(f"{kind}={owner}" for kind, owner in owners) for owners in lexicon.owners],
        "texts": list(lexicon.texts),
        "variants": [f"{atom} {_spell(variant)}" for atom, variant in lexicon.variants],
        "group_variants": [f"{name} {_spell(variant)}" for name, variant in lexicon.group_variants],
        "first_word": _join_map(lexicon.first_word), "first_stem": _join_stems(lexicon.first_stem),
        "first_group": _join_map(lexicon.first_group), "first_mark": _join_map(lexicon.first_mark),
        "first_number": list(lexicon.first_number),
        "group_word": _join_map(lexicon.group_word), "group_stem": _join_stems(lexicon.group_stem),
        "atom_patterns": [_join(lexicon.atom_patterns[a]) for a in range(len(lexicon.atom_patterns))],
    }  # fmt: skip


def _join(numbers: Sequence[int]) -> str:
    return ",".join(map(str, numbers))


def _join_map(table: Mapping[str, Sequence[int]]) -> dict[str, str]:
    return {key: _join(value) for key, value in table.items()}


def _join_stems(table: Mapping[str, Sequence[tuple[str, int]]]) -> dict[str, str]:
    return {key: ",".join(f"{stem}:{number}" for stem, number in value) for key, value in table.items()}


def _spell(variant: tuple[Element, ...]) -> str:
    pieces = []
    for element in variant:
        kind = element[0]
        if kind == "word":
            pieces.append("|".join([*sorted(element[1]), *(stem + "*" for stem in element[2])]))
        elif kind == "gap":
            pieces.append(f"...{element[1]}")
        else:
            pieces.append({"number": "#", "group": "@", "mark": "="}[kind] + (element[1] if len(element) > 1 else ""))
    return " ".join(pieces)


# -- thawing -------------------------------------------------------------------------------------------------------


def _thaw(data: dict[str, Any], digest: str) -> tuple[m.Knowledge, Lexicon, Index]:
    knowledge = m.Knowledge(
        LazyMap(data["sources"], _maker(m.Source)), LazyMap(data["subjects"], _subject),
        LazyMap(data["entries"], _entry), LazyMap(data["flags"], _maker(m.Flag)), LazyMap(data["tables"], _table),
        data["language"], digest, LazyMap(data["sessions"], _session),
    )  # fmt: skip
    frozen, index = data["lexicon"], data["index"]
    lexicon = Lexicon(
        patterns=LazyList(frozen["patterns"], _pattern), owners=LazyList(frozen["owners"], _owners),
        texts=frozen["texts"], variants=LazyList(frozen["variants"], _variant),
        group_variants=LazyList(frozen["group_variants"], _group_variant),
        first_word=LazyMap(frozen["first_word"], _numbers), first_stem=LazyMap(frozen["first_stem"], _stems),
        first_group=LazyMap(frozen["first_group"], _numbers), first_mark=LazyMap(frozen["first_mark"], _numbers),
        first_number=frozen["first_number"], group_word=LazyMap(frozen["group_word"], _numbers),
        group_stem=LazyMap(frozen["group_stem"], _stems), atom_patterns=LazyList(frozen["atom_patterns"], _numbers),
    )  # fmt: skip
    ids = list(data["entries"])

    def postings(text: str) -> list[tuple[str, float]]:
        return [(ids[int(p.rstrip("h"))], 0.5 if p.endswith("h") else 1.0) for p in text.split(",")]

    return knowledge, lexicon, Index(
        index["general"], index["by_movement"], index["by_condition"], LazyMap(index["postings"], postings),
        index["idf"], frozenset(index["common"]), index["unknown_idf"], WordSet(index["known"]),
        WordSet(index["favoured"]), LazyMap(index["shapes"], str.split),
    )  # fmt: skip


def _numbers(text: str) -> list[int]:
    return [int(number) for number in text.split(",")]


def _stems(text: str) -> list[tuple[str, int]]:
    return [(stem, int(number)) for stem, _, number in (part.partition(":") for part in text.split(","))]


def _pattern(text: str) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(_numbers(part)) for part in text.split("&"))


def _owners(text: str) -> list[tuple[str, str]]:
    return [(kind, owner) for kind, _, owner in (part.partition("=") for part in text.split("\t"))]


def _elements(text: str) -> tuple[Element, ...]:
    return tuple(parse_element(piece) for piece in text.split())


def _variant(text: str) -> tuple[int, tuple[Element, ...]]:
    atom, _, rest = text.partition(" ")
    return int(atom), _elements(rest)


def _group_variant(text: str) -> tuple[str, tuple[Element, ...]]:
    name, _, rest = text.partition(" ")
    return name, _elements(rest)


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
