"""Dialogues of transcripts_demo: replayed by test_transcripts.py, made anew by `python tests/transcripts.py`.

A file holds `# ` lines (the scenario), turns `coach: ...` and, below each, what rungbook answers. A line `---` begins
another client's conversation. A line `$ rungbook ...` is a command, run in an empty home of its own.
"""

from __future__ import annotations

import contextlib
import io
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "transcripts_demo"
TURN = "coach: "
BREAK = "---"
COMMAND = "$ rungbook "


def files() -> list[Path]:
    return sorted(FOLDER.glob("*.txt"))


def replayed(text: str, ask: Callable[[str, bool], str]) -> str:
    """The dialogue with every answer made anew; `ask` takes the question and whether it follows on."""
    out: list[str] = []
    follow = False
    for line in _kept(text):
        out.append(line)
        if line == BREAK:
            follow = False
        elif line.startswith(TURN):
            out += ["", ask(line.removeprefix(TURN), follow), ""]
            follow = True
        elif line.startswith(COMMAND):
            out += ["", commanded(line.removeprefix(COMMAND)), ""]
        elif line.startswith("#"):
            continue
    return "\n".join(out).rstrip() + "\n"


def commanded(line: str) -> str:
    """What a command prints into a pipe; the clients' cards lie in the home that the environment names."""
    from assistant import cli

    told = io.StringIO()
    with contextlib.redirect_stdout(told):
        assert cli.main(shlex.split(line)) == 0, line
    return told.getvalue().rstrip()


def _kept(text: str) -> Iterator[str]:
    return (line for line in text.splitlines() if line.startswith(("#", TURN, COMMAND)) or line == BREAK)


if __name__ == "__main__":
    import os
    import tempfile

    from assistant.conversation import Assistant
    from assistant.rendering.plain import plain
    from assistant.rulebase.loading import load, shipped_root

    helper = Assistant(load([shipped_root()])[0])

    def answered(question: str, follow: bool) -> str:
        return plain(helper.ask(question, follow=follow), helper.rulebase.knowledge.sources)

    for path in files():
        with tempfile.TemporaryDirectory() as home:
            os.environ.update(XDG_DATA_HOME=home, XDG_STATE_HOME=home)
            path.write_text(replayed(path.read_text("utf-8"), answered), encoding="utf-8")
