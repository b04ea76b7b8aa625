"""Examples in the documents: made anew by `python tests/docs.py`, compared by test_docs.py.

A comment before a fenced block says what it holds: `answer: QUESTION`, `talk: QUESTION / FOLLOW-UP / ...`, `run: rungbook
...` (commands of one document share a home folder, in their order; ids, days and times are masked), or `file: PATH`, a
file of a worked example.
"""

from __future__ import annotations

import contextlib
import importlib.util
import io
import re
import shlex
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parent.parent
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))  # this checkout, whatever is installed

from assistant import cli  # noqa: E402
from assistant.conversation import Assistant  # noqa: E402
from assistant.errors import Fault  # noqa: E402
from assistant.figures import choose  # noqa: E402
from assistant.mentoring.proving import prove  # noqa: E402
from assistant.rendering.plain import plain  # noqa: E402
from assistant.rulebase.building import Builder  # noqa: E402
from assistant.rulebase.index import build_index  # noqa: E402
from assistant.rulebase.loading import Rulebase, load, read_all, shipped_root  # noqa: E402

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
        return f"$ {block.of}\n{masked(_run(block.of))}"
    return "\n".join(_said(block, helper)) + "\n"


def _said(block: Block, helper: Assistant) -> Iterator[str]:
    sources = helper.rulebase.knowledge.sources
    questions = block.of.split(" / ") if block.kind == "talk" else [block.of]
    for number, question in enumerate(questions):
        yield from ([""] if number else [])
        yield f"floor |- {question}" if block.kind == "talk" else f'$ rungbook ask "{question}"'
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


def examples(folder: Path, path: Path = DEVELOPERS) -> tuple[Assistant, list[Fault]]:
    """An assistant over the shipped knowledge with the worked examples of a document laid beside it as if they were
    shipped, their figure among those that are looked for, and every fault of their files. `folder` receives them."""
    for block in blocks(path, "file"):
        file = folder / block.of
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(block.body, "utf-8")
    tables, _, faults = read_all([shipped_root(), folder])
    builder = Builder()
    builder.faults = faults
    builder.build(tables)
    index = build_index(builder.knowledge, builder.lexicon, shipped_root())
    helper = Assistant(Rulebase(builder.knowledge, builder.lexicon, index, shipped_root()))
    return helper, [*builder.faults, *prove(helper, only=str(folder))]


def figure(folder: Path) -> Any:
    """The module of the figure's example."""
    spec = importlib.util.spec_from_file_location("lifted", folder / "figures" / "lifted.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


if __name__ == "__main__":
    import os
    import tempfile

    rulebase = load([shipped_root()])[0]
    with tempfile.TemporaryDirectory() as home:
        os.environ.update({"XDG_STATE_HOME": home, "XDG_DATA_HOME": home})
        renew(README, Assistant(rulebase))
        taught, found = examples(Path(home) / "examples")
        print("\n".join(map(str, found)), end="\n" if found else "")
        choose.ASKERS = ((figure(Path(home) / "examples").lifted, "dose"), *choose.ASKERS)
        renew(DEVELOPERS, taught)
