"""Coded client cards: one JSON file a client, changed in one step, the version before kept beside it.

A card holds a code and what training needs; no name, no date of birth. What the ids in it may be is told by the caller:
this module knows nothing of the knowledge.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from assistant.errors import InputError
from assistant.journal.places import code, make_private, sync_folder
from assistant.journal.store import JournalError, explain, lock, unlock
from assistant.shapes import Profile

FORMAT = 1
SIDES = ("left", "right", "both", "")
SEXES = ("female", "male")
BAND = 5
YOUNGEST, OLDEST = 40, 110
_DATE = re.compile(r"\d{4}(?:-\d{2}(?:-\d{2})?)?")
Card = dict[str, Any]


@dataclass(frozen=True)
class RealChange:
    """The smallest change of a screen that is more than chance, its unit and source, and which way is better."""

    value: float
    unit: str
    source: str
    better: str


@dataclass(frozen=True)
class Step:
    """A result held against the first and the one before: change in the unit of the smallest real change."""

    day: str
    value: float
    unit: str
    side: str
    change: float | None
    verdict: str


class Clients:
    """The cards in one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, client: str) -> Path:
        """The card's file; a code cannot name anything outside the folder."""
        return self.folder / f"{code(client, 'client')}.json"

    def before(self, client: str) -> Path:
        """The file of the version before."""
        return self.folder / f"{code(client, 'client')}.before.json"

    def codes(self) -> list[str]:
        """Codes of all cards."""
        found = [path.name.removesuffix(".json") for path in self.folder.glob("*.json")]
        return sorted(name for name in found if "." not in name)

    def load(self, client: str) -> Card | None:
        """The card, or None when there is none; raises InputError for a file that is no card."""
        path = self.path(client)
        try:
            card = json.loads(path.read_text("utf-8"))
        except FileNotFoundError:
            return None
        except (ValueError, RecursionError):
            card = None
        except OSError as error:
            raise explain(error, path) from None
        if not _is_card(card):
            raise InputError(
                "this is not a client card", str(path), f"take back the last change: rungbook client undo {path.stem}"
            )
        found: Card = card
        return found

    def must(self, client: str) -> Card:
        """The card; raises InputError when there is none."""
        card = self.load(client)
        if card is None:
            raise InputError(
                "no card", f"client {code(client, 'client')}", f"make one: rungbook client add {code(client, 'client')}"
            )
        return card

    def change(self, client: str, edit: Callable[[Card | None], Card]) -> Card:
        """Read, edit and write a card under one lock; the version before stays beside it. Raises JournalError."""
        path = self.path(client)
        try:
            with self._locked():
                card = edit(self.load(client))
                self._put(path, self.before(client), card)
        except OSError as error:
            raise explain(error, self.folder) from None
        return card

    def undo(self, client: str) -> Card:
        """Swap the card with the version before it."""
        path, before = self.path(client), self.before(client)
        try:
            with self._locked():
                if not before.exists():
                    raise InputError("no version before this one is kept", f"client {path.stem}")
                spare = self.folder / f".{path.stem}.swap"
                if path.exists():
                    os.replace(path, spare)
                os.replace(before, path)
                if spare.exists():
                    os.replace(spare, before)
                sync_folder(self.folder)
        except OSError as error:
            raise explain(error, self.folder) from None
        return self.must(client)

    def remove(self, client: str) -> int:
        """Remove the card with the version before and half-written copies; returns how many files went."""
        count = 0
        if not self.folder.is_dir():
            return 0
        try:
            with self._locked():
                stem = self.path(client).stem
                halves = self.folder.glob(f".{stem}.*")
                for path in (self.path(client), self.before(client), *halves):
                    if path.exists():
                        path.unlink()
                        count += 1
                sync_folder(self.folder)
        except OSError as error:
            raise explain(error, self.folder) from None
        return count

    def clean_notes(self, clean: Callable[[str], str]) -> int:
        """Run every note through `clean`, in the version before too; returns how many cards changed."""
        count = 0
        for client in self.codes():
            changed = False
            for path in (self.path(client), self.before(client)):
                changed |= self._clean_file(path, clean)
            count += changed
        return count

    def _clean_file(self, path: Path, clean: Callable[[str], str]) -> bool:
        try:
            card = json.loads(path.read_text("utf-8"))
        except (OSError, ValueError):
            return False
        if not _is_card(card):
            return False
        notes = [{**note, "text": clean(str(note.get("text", "")))} for note in card["notes"]]
        if notes == card["notes"]:
            return False
        try:
            with self._locked():
                self._write(path, {**card, "notes": notes})
        except OSError as error:
            raise explain(error, self.folder) from None
        return True

    @contextmanager
    def _locked(self) -> Iterator[None]:
        make_private(self.folder)
        path = self.folder / ".lock"
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            lock(handle, path)
            yield
        finally:
            unlock(handle)
            os.close(handle)

    def _put(self, path: Path, before: Path, card: Card) -> None:
        if path.exists():
            _copy_link(path, before)
        self._write(path, card)

    def _write(self, path: Path, card: Card) -> None:
        new = self.folder / f".{path.stem}.new"
        handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(card, file, ensure_ascii=False, indent=1, sort_keys=True)
                file.write("\n")
                file.flush()
                os.fsync(file.fileno())
            os.replace(new, path)
        finally:
            new.unlink(missing_ok=True)
        sync_folder(self.folder)


def _copy_link(path: Path, before: Path) -> None:
    """Let `before` name the present version too, so that no moment is without a whole card."""
    spare = before.with_name(f".{before.stem}.link")
    spare.unlink(missing_ok=True)
    try:
        os.link(path, spare)
    except OSError:
        spare.write_bytes(path.read_bytes())
        spare.chmod(0o600)
    os.replace(spare, before)


def _is_card(card: object) -> bool:
    if not isinstance(card, dict) or card.get("format") != FORMAT or not isinstance(card.get("code"), str):
        return False
    lists = ("conditions", "kit", "rungs", "results", "notes")
    return all(isinstance(card.get(name), list) for name in lists) and all(
        isinstance(each, dict) for name in lists if name != "kit" for each in card[name]
    )


def new_card(client: str) -> Card:
    """An empty card."""
    return {
        "format": FORMAT, "code": code(client, "client"), "ages": None, "sex": "", "stature_cm": None, "conditions": [],
        "kit": [], "rungs": [], "results": [], "notes": [],
    }  # fmt: skip


# -- parts of a card -------------------------------------------------------------------------------------------------


def age_band(raw: str) -> list[int]:
    """A band of five years from an age (72) or a band (70-74); raises InputError."""
    match = re.fullmatch(r"\s*(\d{2,3})(?:\s*-\s*(\d{2,3}))?\s*", raw)
    low = int(match[1]) if match else 0
    high = int(match[2]) if match and match[2] else low
    if not (YOUNGEST <= low <= high <= OLDEST and high - low < 2 * BAND):
        raise InputError("not an age", raw[:20], "give an age such as 72, or a band such as 70-74")
    if high == low:
        low = low - low % BAND
        high = low + BAND - 1
    return [low, high]


def day(raw: str, today: date) -> str:
    """A date as YYYY, YYYY-MM or YYYY-MM-DD that is not to come; raises InputError."""
    text = raw.strip()
    try:
        if not _DATE.fullmatch(text):
            raise ValueError
        first_day(text)
    except ValueError:
        raise InputError("not a date", raw[:20], "write 2024, 2024-11 or 2024-11-30") from None
    if first_day(text) > today:
        raise InputError("that date is still to come", raw[:20], "check the year")
    return text


def first_day(text: str) -> date:
    """The first day that a date with or without month and day can mean."""
    parts = [int(part) for part in text.split("-")]
    return date(parts[0], parts[1] if len(parts) > 1 else 1, parts[2] if len(parts) > 2 else 1)


def side(raw: str) -> str:
    """left, right, both or nothing; raises InputError."""
    found = {"l": "left", "r": "right", "b": "both"}.get(raw.strip().lower(), raw.strip().lower())
    if found not in SIDES:
        raise InputError("not a side", raw[:20], "left, right or both")
    return found


def profile(card: Card, today: date) -> Profile:
    """What a question takes from the card. Conditions with a side come first, then the latest."""
    conditions = []
    for each in card["conditions"]:
        since = each.get("since") or ""
        weeks = round((today - first_day(since)).days / 7, 1) if len(since) >= 7 else None
        conditions.append((str(each.get("id")), str(each.get("side") or ""), weeks))
    conditions.sort(key=lambda c: (not c[1], c[2] if c[2] is not None else 1e9, c[0]))
    ages = card.get("ages")
    rungs: dict[str, dict[str, str]] = {}
    for each in card["rungs"]:
        name = (
            f"{each.get('movement')}/{each['side']}"
            if each.get("side") in ("left", "right")
            else str(each.get("movement"))
        )
        rungs.setdefault(name, {}).update(
            {str(axis): str(level) for axis, level in dict(each.get("levels") or {}).items()}
        )
    return Profile(
        code=str(card["code"]), ages=(int(ages[0]), int(ages[1])) if ages else None, sex=str(card.get("sex") or ""),
        stature_cm=card.get("stature_cm"), conditions=tuple(conditions), kit=tuple(map(str, card["kit"])), rungs=rungs,
        results=_latest(card), dated=tuple(str(each["id"]) for each in card["conditions"] if _is_dated(each, today)),
    )  # fmt: skip


def _is_dated(condition: Mapping[str, Any], today: date) -> bool:
    """Whether the date tells if the condition is recent: a month is given, or the year before last or earlier."""
    since = str(condition.get("since") or "")
    return len(since) >= 7 or (len(since) == 4 and int(since) < today.year - 1)


def _latest(card: Card) -> tuple[tuple[str, str, float, str], ...]:
    """The latest result of each screen and side as (screen, side, value, unit)."""
    found = {
        (str(each["screen"]), str(each.get("side") or "")): (float(each["value"]), str(each.get("unit") or ""))
        for each in sorted(card["results"], key=lambda each: str(each.get("date")))
    }
    return tuple((screen, side, value, unit) for (screen, side), (value, unit) in found.items())


def profile_of(data: Mapping[str, Any], client: str) -> Profile:
    """The profile that a journal entry kept."""
    ages = data.get("ages")
    return Profile(
        code=client, ages=(int(ages[0]), int(ages[1])) if ages else None, sex=str(data.get("sex") or ""),
        stature_cm=data.get("stature_cm"),
        conditions=tuple((str(c[0]), str(c[1]), c[2]) for c in data.get("conditions") or ()),
        kit=tuple(map(str, data.get("kit") or ())), rungs=dict(data.get("rungs") or {}),
        results=tuple((str(r[0]), str(r[1]), float(r[2]), str(r[3])) for r in data.get("results") or ()),
        dated=tuple(map(str, data.get("dated") or ())),
    )  # fmt: skip


# -- history ---------------------------------------------------------------------------------------------------------

_METRES = {"m": 1.0, "yd": 0.9144, "ft": 0.3048, "cm": 0.01, "in": 0.0254}
_KILOS = {"kg": 1.0, "lb": 0.45359237}


def converted(value: float, unit: str, to: str) -> float | None:
    """A value in another unit of length or mass; None when the units do not fit."""
    if unit == to or not to:
        return value
    for scale in (_METRES, _KILOS):
        if unit in scale and to in scale:
            return value * scale[unit] / scale[to]
    return None


def history(card: Card, screen: str, real: RealChange | None) -> list[Step]:
    """The screen's results oldest first, each held against the one before of the same side."""
    results = sorted(
        (each for each in card["results"] if each.get("screen") == screen), key=lambda each: str(each.get("date"))
    )
    last: dict[str, tuple[float, str]] = {}
    steps = []
    for each in results:
        value, unit, where = float(each["value"]), str(each.get("unit") or ""), str(each.get("side") or "")
        change, verdict = None, "first result"
        if where in last:
            change, verdict = _held(last[where], (value, unit), real)
        last[where] = (value, unit)
        steps.append(Step(str(each.get("date")), value, unit, where, change, verdict))
    return steps


def first_to_last(card: Card, screen: str, where: str, real: RealChange | None) -> tuple[float | None, str]:
    """The change from the first result to the last of a side: slow gains pass the line only over several tests."""
    results = [step for step in history(card, screen, None) if step.side == where]
    if len(results) < 2:
        return None, "one result"
    first, last = results[0], results[-1]
    return _held((first.value, first.unit), (last.value, last.unit), real)


def _held(before: tuple[float, str], now: tuple[float, str], real: RealChange | None) -> tuple[float | None, str]:
    unit = real.unit if real else now[1]
    one, two = converted(before[0], before[1], unit), converted(now[0], now[1], unit)
    if one is None or two is None:
        return None, "units do not fit"
    change = round(two - one, 6)
    if real is None:
        return change, "no published smallest real change"
    if abs(change) < real.value - 1e-9:
        return change, f"within chance (under {real.value:g} {real.unit})"
    if real.better not in ("higher", "lower"):
        return change, f"a real change ({real.value:g} {real.unit} or more)"
    better = (change > 0) == (real.better == "higher")
    return change, f"really {'better' if better else 'worse'} ({real.value:g} {real.unit} or more)"


__all__ = [
    "Card", "Clients", "JournalError", "RealChange", "Step", "age_band", "converted", "day", "first_day", "first_to_last",
    "history", "new_card", "profile", "profile_of", "side",
]  # fmt: skip
