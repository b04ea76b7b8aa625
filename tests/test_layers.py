"""Imports run one way: a module imports from lower ranks and from its own folder only."""

from __future__ import annotations

import ast
from pathlib import Path

import assistant

ROOT = Path(assistant.__file__).parent
RANKS = {
    "__init__": 0, "shapes": 0, "session_shapes": 0, "errors": 0, "clean": 0, "units": 0, "words": 1,
    "rulebase": 2, "rendering": 3, "journal": 3, "understanding": 3, "matching": 4, "figures": 4, "planning": 5,
    "answering": 6, "conversation": 7, "mentoring": 8, "commands": 9, "cli": 10, "__main__": 11,
}  # fmt: skip


def _part(path: Path) -> str:
    relative = path.relative_to(ROOT)
    return relative.parts[0] if len(relative.parts) > 1 else relative.stem


def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("assistant"):
            parts = (node.module or "").split(".")
            found |= {parts[1]} if len(parts) > 1 else {alias.name for alias in node.names}
    return {name for name in found if name in RANKS}


def test_imports_run_one_way() -> None:
    wrong = []
    for path in sorted(ROOT.rglob("*.py")):
        here = _part(path)
        if here == "_knowledge":
            continue
        for other in _imports(path):
            if other != here and RANKS[other] >= RANKS[here]:
                wrong.append(f"{path.relative_to(ROOT)} imports {other}")
    assert not wrong, wrong


def test_rendering_knows_nothing_of_matching() -> None:
    for path in (ROOT / "rendering").glob("*.py"):
        assert not _imports(path) & {"matching", "answering", "conversation", "journal", "figures"}, path
