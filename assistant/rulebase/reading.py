"""YAML files read safely, every scalar as text with its line; equal keys, aliases and depth are refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

MAX_BYTES = 4_000_000
MAX_DEPTH = 14
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Text(str):
    """A scalar and the line it stands on."""

    line: int = 0

    @staticmethod
    def at(value: str, line: int) -> Text:
        text = Text(value)
        text.line = line
        return text


class Rows(list[Any]):
    """A list and its line."""

    line: int = 0


class Table(dict[str, Any]):
    """A mapping, its line and the line of each key."""

    line: int = 0
    key_lines: dict[str, int]


class Unreadable(Exception):
    """A file that cannot be used, with the line and what to do."""

    def __init__(self, line: int, what: str, fix: str) -> None:
        super().__init__(what)
        self.line, self.what, self.fix = line, what, fix


def _build(node: Any, seen: set[int], depth: int) -> Any:
    line = node.start_mark.line + 1
    if depth > MAX_DEPTH:
        raise Unreadable(line, f"nested deeper than {MAX_DEPTH} levels", "flatten it")
    if isinstance(node, yaml.ScalarNode):
        return Text.at("" if node.tag == "tag:yaml.org,2002:null" else node.value, line)
    if id(node) in seen:
        raise Unreadable(line, "an alias (*name) is used", "write the value out in full")
    seen.add(id(node))
    if isinstance(node, yaml.SequenceNode):
        rows = Rows(_build(child, seen, depth + 1) for child in node.value)
        rows.line = line
        return rows
    table = Table()
    table.line, table.key_lines = line, {}
    for key_node, value_node in node.value:
        key, key_line = str(key_node.value), key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            raise Unreadable(key_line, "a key is not plain text", "use a word as the key")
        if key in table:
            raise Unreadable(key_line, f"the key '{key}' stands twice", "keep one of them")
        table[key] = _build(value_node, seen, depth + 1)
        table.key_lines[key] = key_line
    return table


def read_file(path: Path) -> Table:
    """Read one YAML file into a Table; raises Unreadable with line, fault and fix."""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise Unreadable(1, f"larger than {MAX_BYTES // 1_000_000} MB", "split it into smaller files")
        raw = path.read_bytes()
    except OSError as error:
        raise Unreadable(1, f"cannot be read ({error.strerror})", "check the path and its permissions") from error
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise Unreadable(line, "not UTF-8 text", "save the file as UTF-8") from error
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise Unreadable(
            mark.line + 1 if mark else 1, f"not valid YAML ({error.problem})", "mend the indent or quote the text"
        ) from error
    except (yaml.YAMLError, RecursionError) as error:
        raise Unreadable(1, "not valid YAML", "save it as plain text without control characters") from error
    if not isinstance(node, yaml.MappingNode):
        raise Unreadable(1, "does not begin with keys", "start with `id:` and `kind:`")
    built: Table = _build(node, set(), 0)
    return built
