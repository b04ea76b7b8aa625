"""One line of the journal: canonical JSON that ends in a checksum over all that stands before it.

A line is `{...,"checksum":"sha256:<64 hex>"}`. The checksum covers the record without that last member, written with
sorted keys and no blanks; so a reader checks the bytes as they stand and need not write them again. `parent` holds the
checksum of the entry before in the same file: a line taken out leaves a gap that shows.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Mapping
from datetime import datetime, timezone
from typing import Any

from assistant import __version__
from assistant.shapes import Answer, Profile

FORMAT = 1
ENTRY, REVIEW, DRILL, REMOVAL = "entry", "review", "drill", "removal"
LONGEST = 1 << 20
Record = dict[str, Any]

# Upgrades of older formats: number -> what turns a record of that format into one of the next. Files are never
# rewritten for it; old lines are upgraded while they are read.
UPGRADES: dict[int, Callable[[Record], Record]] = {}

_MEMBER = b',"checksum":"sha256:'
_TAIL = len(_MEMBER) + 64 + 2
_DECODE = json.JSONDecoder().raw_decode
# Facts that are plain trade figures. Where numbers had to be taken out of a question, only these are kept, because
# another figure may have been read from the very number taken out.
_SAFE_FACTS = frozenset(
    [
        "age",
        "stature_cm",
        "mass_kg",
        "load_kg",
        "reps",
        "step_cm",
        "pad_cm",
        "seat_cm",
        "ramp_cm",
        "systolic",
        "diastolic",
        "pain",
        "sex",
        "side",
        "leg",
        "pole_hand",
    ]
)


class BadLine(Exception):
    """A line that is not a whole, unaltered record; the text says why."""


def _once(pairs: list[tuple[str, Any]]) -> Record:
    """Of two values under one key a reader would see only one."""
    found = dict(pairs)
    if len(found) != len(pairs):
        raise BadLine("altered: a key stands twice")
    return found


_DECODE_ONCE = json.JSONDecoder(object_pairs_hook=_once).raw_decode


def canonical(record: Mapping[str, Any]) -> bytes:
    """The record as bytes that are always the same for the same content."""
    text = json.dumps(record, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return text.encode("utf-8", "replace")


def encode(record: Mapping[str, Any]) -> tuple[bytes, str]:
    """The line with its newline, and its checksum."""
    body = canonical({key: value for key, value in record.items() if key != "checksum"})
    total = hashlib.sha256(body).hexdigest()
    return body[:-1] + _MEMBER + total.encode() + b'"}\n', "sha256:" + total


def decode(line: bytes) -> Record:
    """The record of a line, upgraded to the present format; raises BadLine."""
    line = line.rstrip(b"\r\n")
    body, total = line[:-_TAIL], line[-66:-2]
    if line[-_TAIL:-66] == _MEMBER and hashlib.sha256(body + b"}").hexdigest().encode() == total:
        record = _parse(line)
    else:
        record = _checked(line)
    return _shaped(_upgraded(record))


def _parse(line: bytes, decode: Callable[[str], tuple[Any, int]] = _DECODE) -> Record:
    try:
        text = line.decode("utf-8")
        record, end = decode(text)
    except (ValueError, RecursionError):
        raise BadLine("torn: not a whole JSON line") from None
    if end != len(text) or type(record) is not dict:
        raise BadLine("not one JSON object")
    return record


def _checked(line: bytes) -> Record:
    """A line written anew by another program, with the same content, still counts; anything else is altered."""
    line = line.strip()
    if not line.endswith(b"}"):
        raise BadLine("torn: the end is missing")
    record = _parse(line, _DECODE_ONCE)
    total = record.get("checksum")
    if not isinstance(total, str):
        raise BadLine("no checksum")
    try:
        same = encode(record)[1] == total
    except (ValueError, RecursionError):
        same = False
    if not same:
        raise BadLine("altered: the checksum does not fit")
    return record


def _upgraded(record: Record) -> Record:
    number = record.get("format")
    if number == FORMAT:
        return record
    if not isinstance(number, int) or isinstance(number, bool):
        raise BadLine("no format number")
    if number > FORMAT:
        raise BadLine(f"format {number} was written by a newer rungbook: update this one")
    total = record.get("checksum", "")
    while number < FORMAT:
        if number not in UPGRADES:
            raise BadLine(f"format {number} is not known")
        record = UPGRADES[number](record)
        number += 1
    return {**record, "format": FORMAT, "checksum": total}


def _shaped(record: Record) -> Record:
    """A forged line may fit its checksum and lack fields: those that readers rely on must be there."""
    kind = record.get("kind")
    try:
        fits = _SHAPES[kind](record) if isinstance(kind, str) else False
    except (KeyError, TypeError):
        fits = False
    if not fits:
        raise BadLine("a field is missing or of another kind")
    return record


_TEXT_ONLY = {str}


def _texts(values: list[Any]) -> bool:
    return type(values) is list and (not values or set(map(type, values)) == _TEXT_ONLY)


def _entry_fits(r: Record) -> bool:
    understood = r["understood"]
    return (
        type(r["id"]) is type(r["time"]) is type(r["coach"]) is type(r["client"]) is type(r["conversation"])
        is type(r["question"]) is type(r["status"]) is type(r["answer"]) is type(r["knowledge"]) is type(r["version"]) is str
        and _texts(r["rules"]) and _texts(understood["movements"]) and _texts(understood["conditions"])
    )  # fmt: skip


def _all_texts(*names: str) -> Callable[[Record], bool]:
    return lambda record: all(type(record[name]) is str for name in names)


_SHAPES: Mapping[str, Callable[[Record], bool]] = {
    ENTRY: _entry_fits,
    REVIEW: _all_texts("id", "time", "coach", "entry", "verdict", "comment", "better", "outcome"),
    DRILL: _all_texts("id", "time", "coach", "item", "topic", "reply"),
    REMOVAL: _all_texts("id", "time", "why"),
}


# -- making records --------------------------------------------------------------------------------------------------


def new_id() -> str:
    """Sixteen hexadecimal digits by chance: no two machines need to agree."""
    return os.urandom(8).hex()


def stamp(now: datetime) -> str:
    """Time with its zone, to the millisecond."""
    return (now if now.tzinfo else now.replace(tzinfo=timezone.utc)).isoformat(timespec="milliseconds")


def head(kind: str, now: datetime, coach: str) -> Record:
    """What every record begins with."""
    return {
        "format": FORMAT, "kind": kind, "id": new_id(), "time": stamp(now), "coach": coach, "version": __version__,
    }  # fmt: skip


def entry(
    answer: Answer, text: str, question: str, numbers_taken: bool, start: Record, card: Profile | None = None
) -> Record:
    """The record of an answer; `question` is the redacted text, `start` the head with client and conversation."""
    facts = answer.facts
    if numbers_taken:
        facts = {name: value for name, value in facts.items() if name in _SAFE_FACTS}
    record = {
        **start,
        "question": question,
        "understood": {
            "intent": answer.intent, "movements": answer.movements, "conditions": answer.conditions,
            "equipment": answer.equipment, "carried": answer.carried, "facts": facts,
        },
        "status": answer.status, "urgency": answer.urgency, "score": round(answer.score, 2),
        "rules": [point.rule for point in answer.points],
        "figures": [
            {"quantity": f.quantity, "value": round(f.value, 4), "unit": f.unit} for f in answer.figures
        ],
        "answer": text, "knowledge": answer.knowledge,
    }  # fmt: skip
    if card is not None:
        record["card"] = card.as_dict()
    return record
