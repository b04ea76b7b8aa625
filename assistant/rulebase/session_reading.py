"""The rules of sessions read from knowledge/sessions/, each fault noted with file and line."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable

from assistant.rulebase import session_model as s
from assistant.rulebase.fields import Fields
from assistant.rulebase.model import Forbid, Knowledge

KEYS = (
    "id", "kind", "minutes", "parts", "stations", "doses", "adjust", "starts", "goals", "holds", "waits", "watching", "apart",
)  # fmt: skip
HOUSE_KEYS = ("id", "kind", "holds", "waits", "apart")
WORKS = ("leg", "arm", "floor", "balance")
_CITED = ("rule", "sources")


class SessionReader:
    """Reads session files after all other knowledge is built, so that every id in them can be looked up."""

    def __init__(self, knowledge: Knowledge, term: Callable[[Fields, str, str], None]) -> None:
        self.knowledge, self.term = knowledge, term
        self.minutes, self.stations = s.Minutes(), s.Stations()
        self.parts: list[s.Part] = []
        self.doses: list[s.Dose] = []
        self.adjust: list[s.Adjust] = []
        self.starts: list[s.Start] = []
        self.goals: list[s.Goal] = []
        self.holds: list[s.Hold] = []
        self.waits: list[s.Wait] = []
        self.watching: list[s.Watch] = []
        self.apart: list[s.Apart] = []
        self.seen: dict[str, str] = {}
        self.later: list[tuple[Fields, str, str, str]] = []
        self._slot_fields: dict[str, Fields] = {}
        self._start_fields: dict[str, Fields] = {}

    def read(self, fields: Fields, house: bool) -> None:
        """Read one file; a house file may only hold back, never widen."""
        fields.only(HOUSE_KEYS if house else KEYS)
        self.holds += map(self._hold, fields.rows("holds"))
        self.waits += map(self._wait, fields.rows("waits"))
        self.apart += map(self._apart, fields.rows("apart"))
        if house:
            return
        if minutes := fields.inner("minutes"):
            minutes.only(("least", "usual", "most", *_CITED))
            least, usual, most = (_whole(minutes, key) for key in ("least", "usual", "most"))
            self.minutes = s.Minutes(least, usual, most, *self._cited(minutes))
        if stations := fields.inner("stations"):
            stations.only(("least", "most", "minutes", "pair", *_CITED))
            least, most, each, pair = (_whole(stations, key) for key in ("least", "most", "minutes", "pair"))
            self.stations = s.Stations(least, most, each, pair, *self._cited(stations))
        self.parts += map(self._part, fields.rows("parts"))
        self.doses += map(self._dose, fields.rows("doses"))
        self.adjust += map(self._adjust, fields.rows("adjust"))
        self.starts += map(self._start, fields.rows("starts"))
        self.goals += map(self._goal, fields.rows("goals"))
        self.watching += map(self._watch, fields.rows("watching"))

    def rules(self) -> s.SessionRules:
        """All that was read; references between session rules are looked up now."""
        slots = {slot.id for part in self.parts for slot in part.slots}
        known = {"part": {part.id for part in self.parts}, "slot": slots}
        for fields, key, kind, name in self.later:
            if name not in known[kind]:
                fields.fault(key, f"'{name}' is no {kind} of a session", _nearest(name, known[kind]))
        self._whole_layout()
        return s.SessionRules(
            self.minutes, self.stations, tuple(self.parts), tuple(self.doses), tuple(self.adjust), tuple(self.starts),
            tuple(self.goals), tuple(self.holds), tuple(self.waits), tuple(self.watching), tuple(self.apart),
        )  # fmt: skip

    def _whole_layout(self) -> None:
        """Every movement that a slot names has a start, and every unit a dose."""
        starts = {start.movement for start in self.starts}
        units = {dose.unit for dose in self.doses}
        for place, fields in self._slot_fields.items():
            slots = (each for part in self.parts for each in part.slots if each.id == place)
            for movement in (movement for slot in slots for movement in slot.movements):
                if starts and movement not in starts:
                    fields.fault("movements", f"'{movement}' has no start", "add it under `starts:`")
        for start in self.starts:
            if units and start.unit not in units:
                self._start_fields[start.movement].fault(
                    "unit", f"no dose counts '{start.unit}'", "add it under `doses:`"
                )

    # -- what several rules have -------------------------------------------------------------------------------------

    def _named(self, fields: Fields, kind: str) -> str:
        name = fields.text("id", True)
        fields.where = f"{kind} {name}"
        if fields.where in self.seen:
            fields.fault("id", f"is already used at {self.seen[fields.where]}", "choose another id")
        self.seen.setdefault(fields.where, f"{fields.file}:{fields.line_of('id')}")
        return name

    def _cited(self, fields: Fields) -> tuple[str, tuple[str, ...]]:
        """The entry that the rule rests on, and its sources."""
        rule, sources = fields.text("rule", True), fields.texts("sources")
        self._known(fields, "rule", "entry", [rule] if rule else [], self.knowledge.entries)
        if not sources:
            fields.fault("sources", "no source is cited", "add `sources: [id]`, or [common-practice] for trade custom")
        self._known(fields, "sources", "source", sources, self.knowledge.sources)
        return rule, sources

    def _known(self, fields: Fields, key: str, kind: str, names: Iterable[str], known: Iterable[str]) -> None:
        options = list(known)
        for name in names:
            if name not in options:
                fields.fault(key, f"names {kind} '{name}', which does not exist", _nearest(name, options))

    def _subjects(self, fields: Fields, key: str, kind: str, required: int = 0) -> tuple[str, ...]:
        names = fields.texts(key, required)
        known = [each.id for each in self.knowledge.subjects.values() if each.kind == kind]
        self._known(fields, key, kind, names, known)
        return names

    def _state(self, fields: Fields, key: str, movement: str) -> tuple[tuple[str, str], ...]:
        inner = fields.inner(key)
        subject = self.knowledge.subjects.get(movement)
        ladder = subject.ladder if subject else None
        state = tuple((axis, inner.text(axis)) for axis, _ in inner.items()) if inner else ()
        for name, level in state:
            axis = ladder.axis(name) if ladder else None
            if axis is None or axis.index(level) < 0:
                where = f"of {movement}" if ladder else "of a movement that is not known"
                fields.fault(key, f"'{name}: {level}' is no rung {where}", "use an axis and a level id of its ladder")
        return state

    def _later(self, fields: Fields, key: str, kind: str) -> tuple[str, ...]:
        names = fields.texts(key)
        self.later += [(fields, key, kind, name) for name in names]
        return names

    # -- the rules -----------------------------------------------------------------------------------------------------

    def _part(self, fields: Fields) -> s.Part:
        name = self._named(fields, "part")
        fields.only(("id", "name", "aim", "least", "share", "most", "drop", "slots", "fixed", "rehearse", *_CITED))
        rehearse = fields.inner("rehearse")
        found = None
        if rehearse:
            rehearse.only(("from", "minutes", "name", *_CITED))
            self.later.append((rehearse, "from", "part", rehearse.text("from", True)))
            found = s.Rehearsal(
                rehearse.text("from"), _whole(rehearse, "minutes"), rehearse.text("name", True), *self._cited(rehearse)
            )
        fixed = []
        for each in fields.rows("fixed"):
            each.only(("id", "name", "do", *_CITED))
            fixed.append(
                s.Fixed(self._named(each, "line"), each.text("name", True), each.text("do", True), *self._cited(each))
            )
        return s.Part(
            name, fields.text("name", True), fields.text("aim", choices=s.AIMS), _whole(fields, "least"),
            _whole(fields, "share"), _whole(fields, "most"), _whole(fields, "drop"),
            tuple(self._slot(each) for each in fields.rows("slots")), tuple(fixed), found, *self._cited(fields),
        )  # fmt: skip

    def _slot(self, fields: Fields) -> s.Slot:
        fields.only(("id", "name", "works", "movements", *_CITED))
        name = self._named(fields, "slot")
        self._slot_fields[name] = fields
        return s.Slot(
            name, fields.text("name", True), fields.text("works", choices=WORKS) or "balance",
            self._subjects(fields, "movements", "movement", 1), *self._cited(fields),
        )  # fmt: skip

    def _dose(self, fields: Fields) -> s.Dose:
        name = self._named(fields, "dose")
        fields.only(("id", "aim", "unit", "sets", "count", "reserve", "seconds", "rest", *_CITED))
        return s.Dose(
            name, fields.text("aim", True, (*s.AIMS, "any")), fields.text("unit", True, s.UNITS),
            _span(fields, "sets") or (1, 1), _span(fields, "count") or (1, 1), _whole(fields, "reserve"),
            _whole(fields, "seconds"), _whole(fields, "rest"), *self._cited(fields),
        )  # fmt: skip

    def _adjust(self, fields: Fields) -> s.Adjust:
        name = self._named(fields, "adjustment")
        fields.only((
            "id", "conditions", "age_from", "movements", "units", "sets", "count", "reserve", "rest", "minutes", "effort", *_CITED,
        ))  # fmt: skip
        conditions, age = self._subjects(fields, "conditions", "condition"), fields.number("age_from")
        if not conditions and age is None:
            fields.fault("id", "it applies to nobody", "add `conditions:` or `age_from:`")
        return s.Adjust(
            name, conditions, age, self._subjects(fields, "movements", "movement"), fields.texts("units"),
            _span(fields, "sets"), _span(fields, "count"), _maybe(fields, "reserve"), _maybe(fields, "rest"),
            _maybe(fields, "minutes"), fields.text("effort"), *self._cited(fields),
        )  # fmt: skip

    def _start(self, fields: Fields) -> s.Start:
        fields.only(("movement", "unit", "sides", "ask", "ready", "unknown", "cases", "safe", *_CITED))
        movement = fields.text("movement", True)
        fields.where = f"start of {movement}"
        known = [each.id for each in self.knowledge.subjects.values() if each.ladder is not None]
        self._known(fields, "movement", "movement", [movement], known)
        if movement in self._start_fields:
            fields.fault("movement", f"'{movement}' has two starts", "keep one of them")
        self._start_fields[movement] = fields
        return s.Start(
            movement, fields.text("unit", True, s.UNITS), _maybe(fields, "sides") or 1,
            self._subjects(fields, "ask", "screen"), tuple(self._check(each) for each in fields.rows("ready")),
            fields.text("unknown", choices=("safe", "wait")) == "safe",
            tuple(self._case(movement, each) for each in fields.rows("cases")),
            self._state(fields, "safe", movement), *self._cited(fields),
        )  # fmt: skip

    def _case(self, movement: str, fields: Fields) -> s.Case:
        fields.only(("every", "some", "to", *_CITED))
        every, some = (tuple(self._check(each) for each in fields.rows(key)) for key in ("every", "some"))
        if bool(every) == bool(some):
            fields.fault("to", "a case needs checks", "give it `every:` or `some:`, not both")
        return s.Case(every, some, self._state(fields, "to", movement), *self._cited(fields))

    def _check(self, fields: Fields) -> s.Check:
        fields.only(("screen", "line", "is", "from", "under", "trained", "at"))
        screen, line, trained = fields.text("screen"), fields.text("line"), fields.text("trained")
        if bool(screen) == bool(trained):
            fields.fault("screen", "a check needs a screen or a movement trained", "give `screen:` or `trained:`")
        self._known(fields, "screen", "screen", [screen] if screen else [], self._of_kind("screen"))
        self._known(fields, "trained", "movement", [trained] if trained else [], self._of_kind("movement"))
        tables = [table.id for table in self.knowledge.tables.values() if table.screen == screen]
        self._known(fields, "line", "table", [line] if line else [], tables)
        found = s.Check(
            screen, line, fields.text("is", choices=("met", "missed")) != "missed", fields.number("from"),
            fields.number("under"), trained, self._state(fields, "at", trained) if trained else (),
        )  # fmt: skip
        if screen and not line and found.least is None and found.under is None:
            fields.fault("screen", f"the check of '{screen}' has no line", "add `line:`, `from:` or `under:`")
        return found

    def _of_kind(self, kind: str) -> list[str]:
        return [each.id for each in self.knowledge.subjects.values() if each.kind == kind]

    def _goal(self, fields: Fields) -> s.Goal:
        name = self._named(fields, "goal")
        fields.only(("id", "name", "terms", "movement", "at", "via", "favours", "early", *_CITED))
        self.term(fields, "terms", name)
        movement = fields.text("movement", True)
        self._known(fields, "movement", "movement", [movement], self._of_kind("movement"))
        early = fields.text("early")
        if early:
            self.later.append((fields, "early", "part", early))
        return s.Goal(
            name, fields.text("name", True), movement, self._state(fields, "at", movement),
            self._subjects(fields, "via", "movement"), self._later(fields, "favours", "slot"), early, *self._cited(fields),
        )  # fmt: skip

    def _hold(self, fields: Fields) -> s.Hold:
        name = self._named(fields, "hold")
        fields.only((
            "id", "conditions", "within_weeks", "unless_trained", "refuse", "keep_held", "back", "forbids", "say", "cleared", *_CITED,
        ))  # fmt: skip
        return s.Hold(
            name, self._subjects(fields, "conditions", "condition", 1), fields.number("within_weeks"),
            fields.flag("unless_trained"), self._later(fields, "refuse", "part"), fields.flag("keep_held"), fields.texts("back"),
            tuple(self._forbid(each) for each in fields.rows("forbids")), fields.text("say", True, words=26),
            fields.text("cleared", True), *self._cited(fields),
        )  # fmt: skip

    def _forbid(self, fields: Fields) -> Forbid:
        fields.only(("movements", "axis", "level", "above", "below"))
        return Forbid(
            self._subjects(fields, "movements", "movement"), fields.text("axis", True), fields.text("level"),
            fields.text("above"), fields.text("below"),
        )  # fmt: skip

    def _wait(self, fields: Fields) -> s.Wait:
        name = self._named(fields, "wait")
        fields.only(("id", "conditions", "movements", "parts", "say", *_CITED))
        return s.Wait(
            name, self._subjects(fields, "conditions", "condition", 1), self._subjects(fields, "movements", "movement"),
            self._later(fields, "parts", "part"), fields.text("say", True, words=20), *self._cited(fields),
        )  # fmt: skip

    def _watch(self, fields: Fields) -> s.Watch:
        name = self._named(fields, "watch")
        fields.only(("id", "level", "limit", "conditions", "movements", "works", "axis", "from", *_CITED))
        limit = _whole(fields, "limit")
        if limit < 1:
            fields.fault("limit", "'limit' is under 1", "write how many such workers one coach can watch")
        return s.Watch(
            name, fields.text("level", True, s.WATCH), max(limit, 1), self._subjects(fields, "conditions", "condition"),
            self._subjects(fields, "movements", "movement"), fields.texts("works"), fields.text("axis"),
            fields.text("from"), *self._cited(fields),
        )  # fmt: skip

    def _apart(self, fields: Fields) -> s.Apart:
        name = self._named(fields, "apart")
        fields.only(("id", "conditions", "say", *_CITED))
        conditions = self._subjects(fields, "conditions", "condition", 1)
        return s.Apart(name, conditions, fields.text("say", True), *self._cited(fields))


def _whole(fields: Fields, key: str) -> int:
    return int(fields.number(key, True) or 0)


def _maybe(fields: Fields, key: str) -> int | None:
    number = fields.number(key)
    return None if number is None else int(number)


def _span(fields: Fields, key: str) -> s.Span | None:
    values = fields.texts(key)
    if not values:
        return None
    try:
        low, high = (int(value) for value in values)
    except ValueError:
        low, high = 1, 0
    if not 0 < low <= high:
        fields.fault(key, f"'{key}' is not two rising whole numbers", "write [least, most]")
        return None
    return low, high


def _nearest(name: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(name, list(known), 1)
    return f"did you mean '{near[0]}'?" if near else "add it or correct the id"
