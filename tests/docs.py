"""Answers pasted into README.md: made anew by `python tests/docs.py`, compared by test_docs.py."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

README = Path(__file__).resolve().parent.parent / "README.md"
_BLOCK = re.compile(r"<!-- answer: (.*?) -->\n```text\n(.*?)```", re.DOTALL)


def blocks() -> list[tuple[str, str]]:
    """(question, pasted answer) of README.md."""
    return _BLOCK.findall(README.read_text("utf-8"))


def renew(answer: Callable[[str], str]) -> None:
    """Write every pasted answer anew."""
    text = README.read_text("utf-8")
    README.write_text(
        _BLOCK.sub(lambda m: f"<!-- answer: {m[1]} -->\n```text\n{answer(m[1])}\n```", text), encoding="utf-8"
    )


if __name__ == "__main__":
    from assistant.conversation import Assistant
    from assistant.rendering.plain import plain
    from assistant.rulebase.loading import load, shipped_root

    helper = Assistant(load([shipped_root()])[0])
    renew(lambda question: plain(helper.ask(question), helper.rulebase.knowledge.sources))
