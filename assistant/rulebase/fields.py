"""Fields of a YAML table read by schema; each fault is noted and reading goes on."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from typing import Any

from assistant.clean import harmless
from assistant.errors import Fault
from assistant.rulebase.reading import Rows, Table, Text


class Fields:
    """One table of one file. Methods return a usable value even after noting a fault."""

    def __init__(self, table: Table, file: str, faults: list[Fault], where: str = "") -> None:
        self.table, self.file, self.faults, self.where = table, file, faults, where
        self.line = table.line

    def line_of(self, key: str) -> int:
        return self.table.key_lines.get(key, self.table.line)

    def fault(self, key: str, what: str, fix: str) -> None:
        name = f"{self.where} " if self.where else ""
        self.faults.append(Fault(self.file, self.line_of(key), f"{name}{what}", fix))

    def only(self, allowed: Iterable[str]) -> None:
        """Note every key that is not allowed, with the nearest that is."""
        names = list(allowed)
        for key in self.table:
            if key not in names:
                near = difflib.get_close_matches(key, names, 1)
                fix = f"did you mean '{near[0]}'?" if near else f"use one of {', '.join(names)}"
                self.fault(key, f"unknown key '{key}'", fix)

    def text(self, key: str, required: bool = False, choices: Sequence[str] | None = None, words: int = 0) -> str:
        value = self.table.get(key)
        if value is None or value == "":
            if required:
                self.fault(key, f"'{key}' is missing", f"add `{key}:`")
            return ""
        if not isinstance(value, Text):
            self.fault(key, f"'{key}' is not plain text", "write one line of text")
            return ""
        clean = " ".join(harmless(str(value)).split())
        if choices is not None and clean not in choices:
            near = difflib.get_close_matches(clean, list(choices), 1)
            self.fault(
                key,
                f"'{key}: {clean}' is not known",
                f"did you mean '{near[0]}'?" if near else f"use one of {', '.join(choices[:12])}",
            )
        if words and len(clean.split()) > words:
            self.fault(key, f"'{key}' has {len(clean.split())} words", f"shorten it to {words}")
        return clean

    def texts(self, key: str, required: int = 0) -> tuple[str, ...]:
        value = self.table.get(key)
        if value is None or value == "":
            value = Rows()
        if isinstance(value, Text):
            value = Rows([value])
        if not isinstance(value, Rows) or any(not isinstance(item, Text) for item in value):
            self.fault(key, f"'{key}' is not a list of texts", "write `- text` lines or [a, b]")
            return ()
        items = tuple(" ".join(harmless(str(item)).split()) for item in value)
        if len(items) < required:
            self.fault(key, f"'{key}' has {len(items)} of at least {required}", "add more in other wordings")
        return items

    def number(self, key: str, required: bool = False) -> float | None:
        value = self.table.get(key)
        if value is None or value == "":
            if required:
                self.fault(key, f"'{key}' is missing", f"add `{key}:` with a number")
            return None
        try:
            return float(str(value))
        except (TypeError, ValueError):
            self.fault(key, f"'{key}: {value}' is not a number", "write digits only, the unit in `unit:`")
            return None

    def flag(self, key: str) -> bool:
        value = self.table.get(key)
        if value is None or value == "":
            return False
        if str(value) not in ("true", "false"):
            self.fault(key, f"'{key}: {value}' is not true or false", "write true or false")
        return str(value) == "true"

    def rows(self, key: str, where: str = "") -> list[Fields]:
        value = self.table.get(key)
        if value is None or value == "":
            return []
        if not isinstance(value, Rows):
            self.fault(key, f"'{key}' is not a list", "write each item after `- `")
            return []
        result = []
        for item in value:
            if isinstance(item, Table):
                result.append(Fields(item, self.file, self.faults, where or self.where))
            else:
                self.fault(key, f"an item of '{key}' has no keys", "write `- id: ...` with its keys")
        return result

    def inner(self, key: str) -> Fields | None:
        value = self.table.get(key)
        if value is None or value == "":
            return None
        if not isinstance(value, Table):
            self.fault(key, f"'{key}' is not a set of keys", "write `key: value` lines below it")
            return None
        return Fields(value, self.file, self.faults, self.where)

    def items(self) -> list[tuple[str, Any]]:
        return list(self.table.items())
