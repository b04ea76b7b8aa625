"""Examples in the documents: made anew by `python tests/docs.py`, compared by test_docs.py.

A comment before a fenced block says what it holds: `answer: QUESTION`, `talk: QUESTION / FOLLOW-UP / ...`, `run: rungbook
...` (commands of one document share a home folder, in their order; ids, days and times are masked), or `file: PATH`, a
file of a worked example.
"""

from __future__ import annotations

import contextlib
import io
import re
import shlex
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from assistant import cli
from assistant.conversation import Assistant
from assistant.rendering.plain import plain

ROOT = Path(__file__).resolve().parent.parent
README, DEVELOPERS, DICTIONARY = ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "knowledge" / "README.md"
_BLOCK = re.compile(r"<!-- (answer|talk|run|file): (.*?) -->\n```(\w*)\n(.*?)```", re.DOTALL)
DAY, WEEK, ENTRY = "2026-06-15", "2026-W25", "3f2a91c7"


class Block(NamedTuple):
    """What a block is, of what, and what stands in it."""

    kind: str
    of: str
    body: str


def blocks(path: Path, *kinds: str) -> list[Block]:
    """The blocks of a document."""
    found = (Block(kind, of, body) for kind, of, _, body in _BLOCK.findall(path.read_text("utf-8")))
    return [block for block in found if block.kind in kinds]


def made(block: Block, helper: Assistant) -> str:
    """What stands in a block of today, with a newline at its end."""
    if block.kind == "run":
        return masked(_run(block.of))
    return "\n".join(_said(block, helper)) + "\n"


def _said(block: Block, helper: Assistant) -> Iterator[str]:
    sources = helper.rulebase.knowledge.sources
    questions = block.of.split(" / ") if block.kind == "talk" else [block.of]
    for number, question in enumerate(questions):
        if block.kind == "talk":
            yield from ([""] if number else [])
            yield f"floor |- {question}"
        yield plain(helper.ask(question, follow=number > 0), sources)


def _run(line: str) -> str:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        cli.main(shlex.split(line)[1:])
    return out.getvalue()


def masked(text: str) -> str:
    """Ids, days and times as the documents show them."""
    now = datetime.now()
    year, week, _ = now.isocalendar()
    text = re.sub(r"\b[0-9a-f]{8}(?=  \d{4}-)|(?<=entry )[0-9a-f]{8}\b", ENTRY, text)
    text = re.sub(r"(?<=-\d\dT)\d\d:\d\d", "09:30", text)
    return text.replace(f"{now:%Y-%m-%d}", DAY).replace(f"{year}-W{week:02d}", WEEK)


def renew(path: Path, helper: Assistant) -> None:
    """Write every block of a document anew, but for its files."""

    def block(match: re.Match[str]) -> str:
        if match[1] == "file":
            return match[0]
        body = made(Block(match[1], match[2], ""), helper)
        return f"<!-- {match[1]}: {match[2]} -->\n```{match[3]}\n{body}```"

    path.write_text(_BLOCK.sub(block, path.read_text("utf-8")), encoding="utf-8")


if __name__ == "__main__":
    import os
    import tempfile

    from assistant.rulebase.loading import load, shipped_root

    rulebase = load([shipped_root()])[0]
    with tempfile.TemporaryDirectory() as home:
        os.environ.update({"XDG_STATE_HOME": home, "XDG_DATA_HOME": home})
        renew(README, Assistant(rulebase))
