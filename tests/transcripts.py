"""Dialogues of transcripts_demo: replayed by test_transcripts.py, made anew by `python tests/transcripts.py`.

A file holds `# ` lines (the scenario), turns `coach: ...` and, below each, what rungbook answers. A line `---` begins
another client's conversation.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "transcripts_demo"
TURN = "coach: "
BREAK = "---"


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
        elif line.startswith("#"):
            continue
    return "\n".join(out).rstrip() + "\n"


def _kept(text: str) -> Iterator[str]:
    return (line for line in text.splitlines() if line.startswith(("#", TURN)) or line == BREAK)


if __name__ == "__main__":
    from assistant.conversation import Assistant
    from assistant.rendering.plain import plain
    from assistant.rulebase.loading import load, shipped_root

    helper = Assistant(load([shipped_root()])[0])

    def answered(question: str, follow: bool) -> str:
        return plain(helper.ask(question, follow=follow), helper.rulebase.knowledge.sources)

    for path in files():
        path.write_text(replayed(path.read_text("utf-8"), answered), encoding="utf-8")
