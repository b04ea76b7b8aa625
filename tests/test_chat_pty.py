"""The real conversation on a pseudo-terminal: keys, words, pastes, narrow, dumb and missing terminals."""

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


def test_first_run_is_shown_once(tmp_path: Path) -> None:
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
        talk.type("quit\r")
        assert talk.ended() == 0


def test_question_follow_up_why_sources_and_forget(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
        assert "ask about a movement" in talk.line("harder")
        answer = talk.line(EASIER)
        assert "NEXT" in answer and "KEPT" not in answer
        follow = talk.line("harder")
        assert "NEXT" in follow and re.search(r"KEPT\s+step-up from before \(say forget", follow)
        assert "rests on" in talk.line("why")
        assert "[1]" in talk.line("sources")
        assert re.search(r"DROPPED\s+step-up", talk.line("forget"))
        assert "ask about a movement" in talk.line("easier")


def test_a_referral_cannot_be_overlooked_and_holds(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
        shown = talk.line("chest pain and sweating on the step")
        assert shown.startswith("\n STOP. EMERGENCY") and "NEXT" not in shown
        assert "\x1b[1;7;31m STOP." in talk.raw
        assert "REFERRED" in talk.text
        assert " STOP. EMERGENCY" in talk.line("harder")
        assert "clinician" in talk.line("draw")
        assert "the referral stands" in talk.line("forget")


def test_completion_explains_and_takes_other_names(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
        talk.type("her thr\t")
        talk.until(r"floor \|- her hip replacement\n +hip replacement +condition: ")
        talk.type("\x15step-\t")
        menu = talk.until(r"step-down +movement: ladder of")
        assert "step-up" in menu
        talk.type("\x03")
        talk.until(PROMPT)


def test_interrupt_clears_the_line_and_end_of_file_leaves(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
        talk.type("chest pain")
        talk.settle()
        talk.type("\x03")
        talk.until(PROMPT)
        assert "STOP" not in talk.text
        talk.type("\x04")
        assert talk.ended() == 0
    history = tmp_path / "rungbook" / "history"
    assert b"chest" not in history.read_bytes()


def test_history_is_private_redacted_suggested_and_searched(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
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
    assert "+tandem stance easier" in text
    assert "step-ups easier" in text and "Miller" not in text and "867" not in text


def test_key_for_sources_keeps_the_line(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat") as talk:
        talk.until(PROMPT)
        talk.line(EASIER)
        talk.type("and hard")
        talk.settle()
        talk.type("\x1bOQ")
        shown = talk.until(r"floor \|- sources\n\[1\][\s\S]*floor \|- and hard$")
        assert shown.count("and hard") == 1
        talk.type("er")
        talk.settle()
        assert "KEPT" in talk.enter()


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


@pytest.mark.parametrize("columns", [60, 120])
def test_narrow_wide_and_resized(columns: int, tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat", columns=columns) as talk:
        talk.until(PROMPT)
        first = _widest(talk.line(EASIER))
        assert first <= columns
        assert _widest(talk.line("draw")) <= columns
        talk.type("a line that is being written")
        talk.settle()
        talk.resize(180 - columns)
        talk.settle()
        talk.type("\x15")
        second = _widest(talk.line(EASIER))
        assert second <= 180 - columns
        assert (second > first) == (columns == 60)


def _widest(shown: str) -> int:
    return max(map(len, shown.splitlines()))


@pytest.mark.parametrize("args", [("chat",), ("chat", "--plain")])
def test_dumb_terminals_and_screen_readers_get_lines_only(args: tuple[str, ...], tmp_path: Path) -> None:
    with Session(*args, TERM="dumb" if len(args) == 1 else "xterm") as talk:
        first = talk.until(PROMPT)
        assert "Rungbook: " in first
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


def test_no_colour(tmp_path: Path) -> None:
    _seen_before(tmp_path)
    with Session("chat", NO_COLOR="1") as talk:
        talk.until(PROMPT)
        assert "NEXT" in talk.line(EASIER)
        assert not re.search(r"\x1b\[[0-9;]*3[0-7]m", talk.raw)
    with Session("ask", "--no-log", EASIER, NO_COLOR="1") as one:
        assert one.ended() == 0
        assert "\x1b" not in one.raw and one.text.startswith("For step-up")


def test_ask_on_a_terminal_has_the_layout_and_plain_has_not(tmp_path: Path) -> None:
    with Session("ask", "--no-log", EASIER) as one:
        assert one.ended() == 0
        assert one.text.startswith("NEXT") and "\x1b[1;35m" in one.raw
    with Session("ask", "--no-log", "--plain", EASIER) as one:
        assert one.ended() == 0
        assert "\x1b" not in one.raw


@pytest.mark.parametrize("args", [(), ("chat",)])
def test_without_a_terminal_one_line_and_exit_2(args: tuple[str, ...]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "assistant", *args], cwd=ROOT, input=b"step ups\n", capture_output=True, check=False
    )
    assert done.returncode == 2 and done.stdout == b""
    assert done.stderr.count(b"\n") == 1 and b"needs a terminal" in done.stderr and b"rungbook ask" in done.stderr
