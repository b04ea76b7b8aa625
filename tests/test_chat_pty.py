"""The real conversation on a pseudo-terminal: keys, words, pastes, narrow, dumb and missing terminals.

A start costs most of a second, so that each session here goes through several things a coach does in a row.
"""

from __future__ import annotations

import os
import re
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from pty_session import PROMPT, ROOT, Session

from assistant.rulebase.loading import Rulebase

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
EASIER = "how do I make step-ups easier"


@pytest.fixture(autouse=True)
def compiled(rulebase: Rulebase) -> None:
    """The rulebase is compiled once, so that every session starts quickly."""


def _seen_before(tmp_path: Path) -> None:
    (tmp_path / "rungbook").mkdir(exist_ok=True)
    (tmp_path / "rungbook" / "welcomed").touch()


def test_first_run_is_shown_once_and_end_of_file_leaves(tmp_path: Path) -> None:
    with Session("chat") as talk:
        first = talk.until(PROMPT)
        talk.type("\x04")
        assert talk.ended() == 0
    assert first.count("?") >= 3
    for word in ("RUNGBOOK", "JOURNAL", str(tmp_path / "rungbook" / "journal"), "RUNGBOOK_COACH", "UNITS"):
        assert word in first or word in re.sub(r"\n *", "", first), word
    assert len(first.splitlines()) <= 24
    with Session() as talk:
        assert "RUNGBOOK_COACH" not in talk.until(PROMPT)
        assert "RUNGBOOK_COACH" in talk.line("welcome")
        assert "Ctrl-R" in talk.line("help")
        talk.type("quit\r")
        assert talk.ended() == 0


def test_completion_interrupt_and_history(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
        talk.type("her thr\t")  # another name of the one thing it can be: written at once, and explained
        talk.until(r"floor \|- her hip replacement\n +hip replacement +condition: ")
        talk.type("\x15step-\t")
        assert "step-up" in talk.until(r"step-down +movement: ladder of")
        talk.type("\x03")
        talk.until(PROMPT)
        talk.type("chest pain")
        talk.settle()
        talk.type("\x03")
        talk.until(PROMPT)
        assert "STOP" not in talk.text
        talk.line(f"client Mary Miller, 555-867-5309, {EASIER}")
        talk.line("tandem stance easier")
        talk.type("tandem")
        talk.settle()
        talk.type("\x1b[C")  # the right arrow takes the suggestion
        talk.settle()
        assert "NEXT" in talk.enter()
        assert talk.text.count("floor |- tandem stance easier") == 2
        talk.type("\x12mary")
        talk.until(r"earlier with mary \|- client Mary")
        talk.type("\x03")
    history = tmp_path / "rungbook" / "history"
    assert stat.S_IMODE(history.stat().st_mode) == 0o600
    text = history.read_text()
    assert "+tandem stance easier" in text and "step-ups easier" in text
    assert "Miller" not in text and "867" not in text and "chest" not in text


def test_follow_ups_and_a_referral_that_holds(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
        assert "ask about a movement" in talk.line("harder")
        answer = talk.line(EASIER)
        assert answer.startswith("NEXT") and "KEPT" not in answer
        follow = talk.line("harder")
        assert "NEXT" in follow and re.search(r"KEPT\s+step-up from before \(say forget", follow)
        assert "rests on" in talk.line("why")
        talk.type("and hard")
        talk.settle()
        talk.type("\x1bOQ")  # F2
        shown = talk.until(r"floor \|- sources\n\[1\][\s\S]*floor \|- and hard$")
        assert shown.count("and hard") == 1
        talk.type("\x15")
        assert re.search(r"DROPPED\s+step-up", talk.line("forget"))
        shown = talk.line("chest pain and sweating on the step")
        assert shown.startswith("\n STOP. EMERGENCY") and "NEXT" not in shown
        assert "\x1b[1;7;31m STOP." in talk.raw
        assert "REFERRED" in talk.text
        assert " STOP. EMERGENCY" in talk.line("harder")
        assert "clinician" in talk.line("draw")
        assert "the referral stands" in talk.line("forget")


def test_a_paste_of_200_lines_is_one_question_and_hides_no_danger_sign(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    lines = [f"session {number}: ten squats to a chair, went well" for number in range(200)]
    with Session("chat") as talk:
        talk.until(PROMPT)
        talk.type("\x1b[200~" + "\n".join([*lines, f"step-ups next, {EASIER}"]) + "\x1b[201~")
        talk.settle()
        shown = talk.enter()
        assert shown.count("NEXT") == 1 and "searched for danger signs" in " ".join(shown.split())
        lines[120] = "crushing chest pain and sweating on the last set"
        talk.type("\x1b[200~" + "\n".join(lines) + "\x1b[201~")
        talk.settle()
        assert "STOP. EMERGENCY" in talk.enter()


def test_narrow_resized_and_without_colour(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat", columns=60, NO_COLOR="1") as talk:
        talk.until(PROMPT)
        narrow = _widest(talk.line(EASIER))
        assert narrow <= 60
        assert _widest(talk.line("draw")) <= 60
        talk.type("a line that is being written")
        talk.settle()
        talk.resize(120)
        talk.settle()
        talk.type("\x15")
        assert narrow < _widest(talk.line(EASIER)) <= 120
        talk.resize(60)
        talk.settle()
        assert _widest(talk.line(EASIER)) <= 60
        assert not re.search(r"\x1b\[[0-9;]*3[0-7]m", talk.raw)


def _widest(shown: str) -> int:
    return max(map(len, shown.splitlines()))


@pytest.mark.parametrize("args", [("chat",), ("chat", "--plain")])
def test_dumb_terminals_and_screen_readers_get_lines_only(args: tuple[str, ...]) -> None:
    with Session(*args, TERM="dumb" if len(args) == 1 else "xterm") as talk:
        assert "Rungbook: " in talk.until(PROMPT)
        assert re.search(r"\n1\. ", talk.line(EASIER))
        assert "Kept: step-up" in talk.line("harder")
        assert "Support: 1 " in talk.line("draw")
        talk.type(f"line one of a paste\nhe is 70\n{EASIER}\n")
        assert talk.until(PROMPT).count("Sources:") == 1
        talk.type("half a line\x03")
        talk.until(PROMPT)
        talk.type("\x04")
        assert talk.ended() == 0
        assert "\x1b" not in talk.raw


def test_ask_on_a_terminal_has_the_layout_and_no_colour_has_not() -> None:
    with Session("ask", "--no-log", EASIER) as one:
        assert one.ended() == 0
        assert one.text.startswith("NEXT") and "\x1b[1;35m" in one.raw
    with Session("ask", "--no-log", EASIER, NO_COLOR="1") as one:
        assert one.ended() == 0
        assert "\x1b" not in one.raw and one.text.startswith("For step-up")


def test_without_a_terminal_one_line_and_exit_2() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "assistant"], cwd=ROOT, input=b"step ups\n", capture_output=True, check=False
    )
    assert done.returncode == 2 and done.stdout == b""
    assert done.stderr.count(b"\n") == 1 and b"needs a terminal" in done.stderr and b"rungbook ask" in done.stderr
