"""From read tables to Knowledge and Lexicon, noting every fault of every file in one run."""

from __future__ import annotations

import difflib
import itertools
from collections.abc import Iterable, Mapping
from typing import Any

from assistant.errors import Fault
from assistant.rulebase import model as m
from assistant.rulebase.fields import Fields
from assistant.rulebase.patterns import BadPattern, Lexicon
from assistant.rulebase.reading import Rows, Table, Text
from assistant.rulebase.session_reading import SessionReader

SUBJECT_KINDS = ("movement", "condition", "equipment", "screen", "topic")
MAX_SAY, MAX_WHY, MAX_WATCH, MAX_DO = 45, 26, 26, 26
_ENTRY_KEYS = (
    "id", "kind", "movements", "conditions", "all_conditions", "equipment", "about", "only_about", "decides", "report", "say", "why",
    "watch", "sources", "evidence", "verified", "figures", "forbids", "asks", "asks_not",
)  # fmt: skip
_JOINTS = {"hip", "knee", "shoulder", "ankle", "foot", "leg", "arm", "wrist", "elbow", "hand"}
_ROW_KEYS = ("sex", "age_min", "age_max", "condition", "value", "low", "high", "label", "note")


class Builder:
    """Collects everything from the tables; `faults` holds what was wrong."""

    def __init__(self) -> None:
        self.sources: dict[str, m.Source] = {}
        self.subjects: dict[str, m.Subject] = {}
        self.entries: dict[str, m.Entry] = {}
        self.flags: dict[str, m.Flag] = {}
        self.tables: dict[str, m.Table] = {}
        self.knowledge = m.Knowledge(self.sources, self.subjects, self.entries, self.flags, self.tables)
        self.lexicon = Lexicon()
        self.faults: list[Fault] = []
        self.axes: dict[str, tuple[m.Level, ...]] = {}
        self.axis_terms: dict[str, dict[str, tuple[str, ...]]] = {}
        self.seen_ids: dict[str, str] = {}
        self.house: frozenset[str] = frozenset()
        self.references: list[tuple[str, int, str, str, str]] = []

    def build(self, tables: Mapping[str, Table], house: Iterable[str] = ()) -> None:
        """Build from file name -> table; `house` names the files of a studio's own folders.

        House files add and restrict: they cannot touch the language or the axes, and they are read after the shipped
        ones, so that of two things of one name the studio's is the fault.
        """
        self.house = frozenset(house)
        ordered = sorted(tables.items(), key=lambda item: (item[0] in self.house, item[0]))
        documents = [(name, Fields(table, name, self.faults)) for name, table in ordered]
        kinds = {name: str(fields.table.get("kind", "")) for name, fields in documents}
        for _, fields in documents:
            self._spelling(fields)
        for name, fields in documents:
            if name.endswith("sources.yaml"):
                self._sources(fields)
            self._groups(fields)
        for name, fields in documents:
            if kinds[name] == "axes":
                self._shared_axes(fields)
        for name, fields in documents:
            if not name.endswith("sources.yaml"):
                self._document(name, kinds[name], fields)
        self._sessions([(name, fields) for name, fields in documents if kinds[name] == "session"])
        self._check_references()
        self._check_groups()
        self._check_decisions()

    # -- parts ---------------------------------------------------------------------------------------------

    def _document(self, name: str, kind: str, fields: Fields) -> None:
        if name in self.house and kind in ("language", "axes"):
            fields.fault(
                "kind", f"a house file of kind '{kind}'", "house rules add advice, names and flags, nothing else"
            )
        elif kind in SUBJECT_KINDS:
            self._subject(kind, fields)
        elif kind == "red-flags":
            self._flags(fields)
        elif kind == "language":
            self._language(fields)
        elif kind not in ("axes", "session"):
            known = (*SUBJECT_KINDS, "red-flags", "language", "axes", "session")
            fields.fault("kind", f"'kind: {kind}' is not known", f"use one of {', '.join(known)}")

    def _sessions(self, documents: Iterable[tuple[str, Fields]]) -> None:
        """The rules of sessions, last: they name entries, rungs and tables of all other files."""
        reader = SessionReader(self.knowledge, self._goal_terms)
        found = list(documents)
        for name, fields in found:
            reader.read(fields, name in self.house)
        if found:
            self.knowledge.sessions = {"all": reader.rules()}

    def _goal_terms(self, fields: Fields, key: str, goal: str) -> None:
        self._patterns(fields, key, "goal", goal, 1)

    def _sources(self, fields: Fields) -> None:
        for source_id, value in fields.items():
            if not isinstance(value, Table):
                fields.fault(source_id, f"source '{source_id}' has no keys", "give authors, title, where, kind")
                continue
            each = Fields(value, fields.file, self.faults, source_id)
            each.only(("authors", "year", "title", "where", "doi", "url", "kind", "verified"))
            doi, url = each.text("doi"), each.text("url")
            if source_id in self.sources:
                fields.fault(source_id, f"source '{source_id}' stands in another file too", "keep one of them")
            self.sources[source_id] = m.Source(
                source_id, each.text("authors", True), each.text("year"), each.text("title", True), each.text("where"),
                f"doi:{doi}" if doi else url, each.text("kind", True, m.EVIDENCE),
                each.text("verified", True, ("read", "memory")),
            )  # fmt: skip

    def _spelling(self, fields: Fields) -> None:
        spelled = fields.inner("spelled")
        if spelled:
            words = {word: spelled.text(word) for word, _ in spelled.items()}
            self.knowledge.language.setdefault("spelled", {}).update(words)
            self.lexicon.spelled.update({word: one for word, one in words.items() if one and " " not in one})

    def _groups(self, fields: Fields) -> None:
        groups = fields.inner("groups")
        if groups is None:
            return
        for name, _ in groups.items():
            if name in self.lexicon.groups:
                groups.fault(name, f"word group '{name}' stands twice", "rename one, or add to the first")
            for phrase in groups.texts(name, required=1):
                try:
                    self.lexicon.add_group(name, [phrase])
                except BadPattern as bad:
                    groups.fault(name, f"phrase '{phrase}' of group '{name}': {bad}", "write it in cleaned form")

    def _pattern(self, fields: Fields, key: str, text: str, kind: str, owner: str) -> int:
        try:
            return self.lexicon.add(text, kind, owner)
        except BadPattern as bad:
            fields.fault(key, f"pattern '{text}': {bad}", "see Patterns in knowledge/README.md")
            return -1

    def _patterns(self, fields: Fields, key: str, kind: str, owner: str, required: int = 0) -> tuple[int, ...]:
        texts = fields.texts(key, required)
        if kind == "condition":
            texts = tuple(with_side(text) for text in texts)
        numbers = [self._pattern(fields, key, text, kind, owner) for text in texts]
        return tuple(number for number in numbers if number >= 0)

    def _new_id(self, fields: Fields, what: str) -> str:
        found = fields.text("id", True)
        here = f"{fields.file}:{fields.line_of('id')}"
        key = f"{what} {found}"
        if found and key in self.seen_ids:
            fields.fault("id", f"{what} id '{found}' is already used at {self.seen_ids[key]}", "choose another id")
        self.seen_ids.setdefault(key, here)
        return found

    def _refer(self, fields: Fields, key: str, kind: str, ids: Iterable[str]) -> None:
        for each in ids:
            self.references.append((fields.file, fields.line_of(key), fields.where, kind, each))

    def _cited(self, fields: Fields) -> tuple[str, ...]:
        sources = fields.texts("sources")
        if not sources:
            fields.fault("sources", "no source is cited", "add `sources: [id]`, or [common-practice] for trade custom")
        self._refer(fields, "sources", "source", sources)
        return sources

    # -- subjects and entries --------------------------------------------------------------------------------

    def _subject(self, kind: str, fields: Fields) -> None:
        fields.only(
            (
                "id",
                "kind",
                "name",
                "terms",
                "hints",
                "not_terms",
                "ladder",
                "entries",
                "groups",
                "current_only",
                "movements",
                "tables",
            )
        )
        subject = self._new_id(fields, "subject")
        fields.where = subject
        name = fields.text("name", True)
        self._patterns(fields, "terms", kind, subject, 1 if kind in ("movement", "condition", "equipment") else 0)
        self._patterns(fields, "hints", f"{kind}-hint", subject)
        self._patterns(fields, "not_terms", "not", subject)
        ladder = None
        if kind == "movement":
            inner = fields.inner("ladder")
            if inner is None:
                fields.fault("ladder", "a movement has no ladder", "add `ladder:` with start, axes, first, up, down")
            else:
                ladder = self._ladder(subject, inner)
        movements = fields.texts("movements")
        self._refer(fields, "movements", "movement", movements)
        self.subjects[subject] = m.Subject(
            subject, kind, name, fields.file, ladder, fields.flag("current_only"), movements
        )
        for table in fields.rows("tables"):
            self._table(subject, table)
        for entry in fields.rows("entries"):
            self._entry(kind, subject, entry)

    def _entry(self, subject_kind: str, subject: str, fields: Fields) -> None:
        entry_id = self._new_id(fields, "entry")
        fields.where = entry_id
        fields.only(_ENTRY_KEYS)
        movements, conditions = fields.texts("movements"), fields.texts("conditions")
        if subject_kind == "movement" and not movements:
            movements = (subject,)
        if subject_kind == "condition" and not conditions:
            conditions = (subject,)
        equipment = fields.texts("equipment")
        for key, kind, ids in (
            ("movements", "movement", movements),
            ("conditions", "condition", conditions),
            ("equipment", "equipment", equipment),
        ):
            self._refer(fields, key, kind, ids)
        about = self._patterns(fields, "about", "about", entry_id)
        only = fields.flag("only_about")
        if only and not about:
            fields.fault("only_about", "only_about without any `about` pattern", "add patterns or drop only_about")
        self.entries[entry_id] = m.Entry(
            entry_id, fields.text("kind", True, m.KINDS), subject, movements, conditions, fields.flag("all_conditions"),
            equipment, about, only, fields.text("report", choices=m.REPORTS), fields.text("say", True, words=MAX_SAY),
            fields.text("why", words=MAX_WHY), fields.text("watch", words=MAX_WATCH), self._cited(fields),
            fields.text("evidence", True, m.EVIDENCE), fields.text("verified", choices=("read", "memory")),
            tuple(self._figure(each) for each in fields.rows("figures")),
            tuple(self._forbid(each, movements, subject) for each in fields.rows("forbids")),
            fields.texts("asks", required=3), fields.texts("asks_not"), fields.file, fields.line,
            fields.file in self.house, fields.text("decides"),
        )  # fmt: skip

    def _figure(self, fields: Fields) -> m.StaticFigure:
        fields.only(("quantity", "value", "unit", "range", "source"))
        span = fields.texts("range")
        low = high = None
        if span:
            try:
                low, high = float(span[0]), float(span[1])
            except (ValueError, IndexError):
                fields.fault("range", "'range' is not two numbers", "write [low, high]")
        source = fields.text("source", True)
        self._refer(fields, "source", "source", [source] if source else [])
        return m.StaticFigure(
            fields.text("quantity", True),
            fields.number("value", True) or 0.0,
            fields.text("unit", True),
            low,
            high,
            source,
        )

    def _forbid(self, fields: Fields, movements: tuple[str, ...], subject: str) -> m.Forbid:
        fields.only(("movements", "axis", "level", "above", "below"))
        own = fields.texts("movements") or movements
        self._refer(fields, "movements", "movement", own)
        forbid = m.Forbid(
            own, fields.text("axis", True), fields.text("level"), fields.text("above"), fields.text("below")
        )
        if not (forbid.level or forbid.above or forbid.below):
            fields.fault("axis", "forbids names no level", "add `level:`, `above:` or `below:`")
        return forbid

    def _table(self, subject: str, fields: Fields) -> None:
        fields.only(
            ("id", "quantity", "unit", "better", "meaning", "rows", "smallest_change", "source", "verified", "sources")
        )
        table_id = self._new_id(fields, "table")
        fields.where = table_id
        source = fields.text("source", True)
        self._refer(fields, "source", "source", [source] if source else [])
        change = fields.inner("smallest_change")
        change_source = change.text("source") if change else ""
        if change and change_source:
            self._refer(change, "source", "source", [change_source])
        rows = []
        for row in fields.rows("rows"):
            extra = {key: row.text(key) for key, _ in row.items() if key not in _ROW_KEYS}
            rows.append(m.Row(
                row.text("sex", choices=("female", "male", "any")), row.number("age_min"), row.number("age_max"),
                row.text("condition"), row.number("value"), row.number("low"), row.number("high"), row.text("label"), extra,
            ))  # fmt: skip
        self.tables[table_id] = m.Table(
            table_id, subject, fields.text("quantity", True), fields.text("unit", True),
            fields.text("better", choices=("higher", "lower")), fields.text("meaning"), tuple(rows),
            change.number("value") if change else None, change.text("unit") if change else "", source, change_source,
            fields.text("verified", choices=("read", "memory")), change.text("condition") if change else "",
        )  # fmt: skip

    # -- ladders -----------------------------------------------------------------------------------------------

    def _levels(
        self, fields: Fields, sources: tuple[str, ...]
    ) -> tuple[tuple[m.Level, ...], dict[str, tuple[str, ...]]]:
        levels, terms = [], {}
        for each in fields.rows("levels"):
            each.only(("id", "name", "do", "value", "terms", "needs", "sources", "instead"))
            level_id = each.text("id", True)
            needs = each.texts("needs")
            self._refer(each, "needs", "equipment", needs)
            own = each.texts("sources") or sources
            other = each.inner("instead")
            if other:
                other.only(("do", "needs"))
                self._refer(other, "needs", "equipment", other.texts("needs"))
            levels.append(
                m.Level(
                    level_id,
                    each.text("name", True),
                    each.text("do", True, words=MAX_DO),
                    each.number("value"),
                    needs,
                    own,
                    other.text("do", True, words=MAX_DO) if other else "",
                    other.texts("needs") if other else (),
                )
            )
            terms[level_id] = each.texts("terms")
        if len({level.id for level in levels}) != len(levels):
            fields.fault("levels", "two levels bear the same id", "rename one")
        return tuple(levels), terms

    def _shared_axes(self, fields: Fields) -> None:
        fields.only(("id", "kind", "axes"))
        axes = fields.inner("axes")
        for name, _ in axes.items() if axes else ():
            inner = axes.inner(name) if axes else None
            if inner is not None:
                self.axes[name], self.axis_terms[name] = self._levels(inner, inner.texts("sources"))

    def _ladder(self, movement: str, fields: Fields) -> m.Ladder:
        fields.only(
            (
                "start",
                "axes",
                "first",
                "harder",
                "up",
                "down",
                "sources",
                "easier_movements",
                "harder_movements",
                "needs_first",
            )
        )
        sources = self._cited(fields)
        axes = tuple(axis for each in fields.rows("axes") if (axis := self._axis(movement, each, sources)))
        names = {axis.id for axis in axes}
        start = {key: str(value) for key, value in (fields.inner("start") or Fields(Table(), "", [])).items()}
        by_id = {axis.id: axis for axis in axes}
        for key, level in start.items():
            if key not in by_id or by_id[key].index(level) < 0:
                fields.fault(
                    "start",
                    f"start '{key}: {level}' is not a level of this ladder",
                    "use an axis and a level id from `axes`",
                )
        inner_first = fields.inner("first")
        first = {key: inner_first.texts(key) for key, _ in inner_first.items()} if inner_first else {}
        if "default" not in first:
            fields.fault("first", "'first' has no default", "add `default: [axis, ...]`")
        harder = fields.texts("harder")
        for key, used in [*first.items(), ("harder", harder)]:
            if key not in (*m.REPORTS, "default", "harder"):
                fields.fault("first", f"report '{key}' is not known", f"use one of {', '.join(m.REPORTS)}")
            for wanted in used:
                if wanted not in names:
                    fields.fault(
                        "first", f"axis '{wanted}' is not on this ladder", f"use one of {', '.join(sorted(names))}"
                    )
        return m.Ladder(
            axes, start, first, harder, fields.text("up", True), fields.text("down", True), sources,
            self._neighbours(fields, "easier_movements", "do", sources),
            self._neighbours(fields, "harder_movements", "do", sources),
            self._neighbours(fields, "needs_first", "criterion", sources),
        )  # fmt: skip

    def _neighbours(self, fields: Fields, key: str, text_key: str, sources: tuple[str, ...]) -> tuple[m.Neighbour, ...]:
        result = []
        for each in fields.rows(key):
            each.only(("movement", text_key, "sources", "why"))
            movement = each.text("movement", True)
            self._refer(each, "movement", "movement", [movement] if movement else [])
            result.append(m.Neighbour(movement, each.text(text_key, True), each.texts("sources") or sources))
        return tuple(result)

    def _axis(self, movement: str, fields: Fields, sources: tuple[str, ...]) -> m.Axis | None:
        fields.only(("axis", "use", "only", "unit", "levels", "name"))
        axis = fields.text("axis", True)
        shared = fields.text("use")
        if shared and shared not in self.axes:
            fields.fault("use", f"shared axis '{shared}' is not known", f"use one of {', '.join(self.axes)}")
            return None
        levels, terms = (self.axes[shared], self.axis_terms[shared]) if shared else self._levels(fields, sources)
        only = fields.texts("only")
        for each in only:
            if each not in {level.id for level in levels}:
                fields.fault("only", f"level '{each}' is not on axis '{axis}'", "use a level id of that axis")
        chosen = tuple(level for level in levels if not only or level.id in only)
        if not chosen:
            fields.fault("axis", f"axis '{axis}' has no levels", "add `levels:` or `use:`")
        for level in chosen:
            for text in terms.get(level.id, ()):
                self._pattern(fields, "axis", text, "level", f"{movement}/{axis}/{level.id}")
        return m.Axis(axis, fields.text("unit"), chosen)

    # -- flags and language --------------------------------------------------------------------------------------

    def _flags(self, fields: Fields) -> None:
        fields.only(("id", "kind", "flags", "groups"))
        for each in fields.rows("flags"):
            flag = self._new_id(each, "flag")
            each.where = flag
            each.only(
                (
                    "id",
                    "tier",
                    "sees",
                    "signs",
                    "weak_signs",
                    "unless",
                    "settled_by",
                    "do",
                    "tell",
                    "worse",
                    "anyone",
                    "sources",
                    "evidence",
                    "verified",
                    "asks",
                    "asks_not",
                    "why",
                )
            )
            signs = self._patterns(each, "signs", "sign", flag)
            weak = self._patterns(each, "weak_signs", "weak-sign", flag)
            if not signs and not weak:
                each.fault("signs", "a flag has no signs", "add `signs:` patterns")
            self._patterns(each, "unless", "unless", flag)
            if self._patterns(each, "settled_by", "settled-by", flag) and each.text("tier") != "soon":
                each.fault("settled_by", "only a flag of tier soon can be settled by words", "drop settled_by")
            self.flags[flag] = m.Flag(
                flag, each.text("tier", True, m.TIERS), each.text("sees", True), each.texts("do", required=1),
                each.text("tell"), each.text("worse"), each.flag("anyone"), self._cited(each), each.text("evidence", True, m.EVIDENCE),
                each.texts("asks", required=6), each.texts("asks_not", required=3), each.file, each.line,
                each.file in self.house,
            )  # fmt: skip

    def _language(self, fields: Fields) -> None:
        fields.only(("id", "kind", "groups", "patterns", "spelled", "readings", "decisions", "sources"))
        patterns = fields.inner("patterns")
        for kind, _ in patterns.items() if patterns else ():
            owners = patterns.inner(kind) if patterns else None
            for owner, _ in owners.items() if owners else ():
                self._patterns(owners, owner, kind, owner)  # type: ignore[arg-type]
        for name in ("readings", "decisions"):
            inner = fields.inner(name)
            if inner:
                self.knowledge.language[name] = _plain(inner.table)

    # -- references ------------------------------------------------------------------------------------------------

    def _check_references(self) -> None:
        known: dict[str, Any] = {"source": self.sources}
        for kind in ("movement", "condition", "equipment"):
            known[kind] = {s.id for s in self.subjects.values() if s.kind == kind}
        for file, line, where, kind, each in self.references:
            if each not in known[kind]:
                near = difflib.get_close_matches(each, list(known[kind]), 1)
                fix = f"did you mean '{near[0]}'?" if near else f"add the {kind} or correct the id"
                self.faults.append(
                    Fault(file, line, f"{where} names {kind} '{each}', which does not exist".strip(), fix)
                )

    def _check_decisions(self) -> None:
        known = self.knowledge.language.get("decisions", {})
        for entry in self.entries.values():
            if entry.decides and entry.decides not in known:
                fix = f"write one of {', '.join(sorted(known))}, or add it to language/decisions.yaml"
                self.faults.append(Fault(entry.file, entry.line, f"unknown decision '{entry.decides}'", fix))

    def _check_groups(self) -> None:
        used: dict[str, str] = {}
        texts = {atom: text for text, atom in self.lexicon.atom_ids.items()}
        for atom, variant in self.lexicon.variants:
            for element in variant:
                if element[0] == "group" and element[1] not in self.lexicon.groups:
                    used[element[1]] = texts[atom]
        for group, atom_text in used.items():
            owners = [self.lexicon.owners[n] for n in self.lexicon.atom_patterns[self.lexicon.atom_ids[atom_text]]]
            owner = owners[0][0] if owners and owners[0] else ("", "")
            file, line = self._place(owner)
            near = difflib.get_close_matches(group, list(self.lexicon.groups), 1)
            fix = f"did you mean '@{near[0]}'?" if near else "add it under `groups:`"
            self.faults.append(Fault(file, line, f"pattern '{atom_text}' uses an unknown group '@{group}'", fix))

    def _place(self, owner: tuple[str, str]) -> tuple[str, int]:
        kind, name = owner
        item = self.entries.get(name) if kind == "about" else self.flags.get(name)
        if item is not None:
            return item.file, item.line
        subject = self.subjects.get(name.split("/")[0])
        return (subject.file, 1) if subject else ("language", 1)


def with_side(text: str) -> str:
    """A condition's pattern that lets a side stand before its joint: "frozen shoulder" also means "frozen left shoulder"."""
    pieces = text.split()
    sided = pieces[:1]
    for before, piece in itertools.pairwise(pieces):
        free = not before.startswith((".", "#")) and not {"left", "right"} & set(before.rstrip("?").split("|"))
        if free and _JOINTS & set(piece.split("|")):
            sided.append("left|right?")
        sided.append(piece)
    return " ".join(sided)


def _plain(value: Any) -> Any:
    if isinstance(value, Table):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, Rows):
        return [_plain(each) for each in value]
    return str(value) if isinstance(value, Text) else value
