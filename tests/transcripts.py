"""Dialogues of transcripts_demo: replayed by test_transcripts.py, made anew by `python tests/transcripts.py`.

A file holds `# ` lines (the scenario), turns `coach: ...` and, below each, what rungbook answers. A line `---` begins
another client's conversation. `$ rungbook ...` runs a command, with the lines `> ...` below it as what is typed into it;
what it prints is indented, with ids, days and times masked. `$ edit FILE` writes the lines `| ...` below it into a file.
The commands of one dialogue share a home folder.
"""

from __future__ import annotations

import contextlib
import io
import os
import shlex
import sys
import tempfile
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # this checkout, whatever is installed

import docs

FOLDER = docs.ROOT / "transcripts_demo"
TURN, BREAK, COMMAND, EDIT = "coach: ", "---", "$ rungbook ", "$ edit "
_TYPED, _WRITTEN = "> ", "|"


def files() -> list[Path]:
    return sorted(FOLDER.glob("*.txt"))


def replayed(text: str, ask: Callable[[str, bool], str], run: Callable[[str, str], str]) -> str:
    """The dialogue with every answer made anew; `ask` takes the question and whether it follows on, `run` a command with
    what is typed into it."""
    out: list[str] = []
    follow = False
    lines = list(_kept(text))
    for number, line in enumerate(lines):
        if line.startswith((_TYPED, _WRITTEN)):
            continue
        out.append(line)
        if line == BREAK:
            follow = False
        elif line.startswith(TURN):
            out += ["", ask(line.removeprefix(TURN), follow), ""]
            follow = True
        elif line.startswith(EDIT):
            written = _below(lines, number, _WRITTEN)
            _write(line.removeprefix(EDIT), [each[2:] for each in written])
            out += [*written, ""]
        elif line.startswith(COMMAND):
            typed = _below(lines, number, _TYPED)
            answer = run(line.removeprefix("$ "), "".join(f"{each.removeprefix(_TYPED)}\n" for each in typed))
            out += [*typed, "", textwrap.indent(answer.strip("\n"), "  "), ""]
    return "\n".join(out).rstrip() + "\n"


def _kept(text: str) -> Iterator[str]:
    marks = ("# ", TURN, COMMAND, EDIT, _TYPED, f"{_WRITTEN} ")
    return (line for line in text.splitlines() if line.startswith(marks) or line in (BREAK, _WRITTEN))


def _below(lines: list[str], number: int, mark: str) -> list[str]:
    found = []
    for line in lines[number + 1 :]:
        if not line.startswith(mark):
            break
        found.append(line)
    return found


def _write(name: str, lines: list[str]) -> None:
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(lines) + "\n", "utf-8")


def run(line: str, typed: str) -> str:
    """What a command prints, typed text and errors included, masked."""
    from assistant import cli

    out, before = io.StringIO(), sys.stdin
    sys.stdin = io.TextIOWrapper(io.BytesIO(typed.encode()), "utf-8")
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
            cli.main(shlex.split(line)[1:])
    finally:
        sys.stdin = before
    return docs.masked(out.getvalue())


@contextlib.contextmanager
def own_folder(folder: Path) -> Iterator[None]:
    """Commands run in this folder, with their home there."""
    before = Path.cwd()
    os.environ.update({name: str(folder / "home") for name in ("XDG_STATE_HOME", "XDG_DATA_HOME")})
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


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
        with tempfile.TemporaryDirectory() as home, own_folder(Path(home)):
            made = replayed(path.read_text("utf-8"), answered, run)
        path.write_text(made, encoding="utf-8")
