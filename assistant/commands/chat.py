"""`rungbook chat`: the conversation on a terminal."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from functools import lru_cache

from assistant.commands import offers, plain_words, welcome
from assistant.commands.common import load
from assistant.commands.display import is_dumb, screen
from assistant.commands.offers import Offer
from assistant.commands.prompting import EditedLines, Lines, PlainLines
from assistant.commands.recording import Recorder, redactor
from assistant.commands.talk import Talk
from assistant.conversation import Assistant
from assistant.errors import InputError
from assistant.rulebase.loading import Rulebase

NOBODY = "floor"
RAIL = " |- "
_KEEPING = 6  # columns left free on the bottom line


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = "example: rungbook chat --client a12"
    parser.add_argument(
        "--plain", action="store_true", help="plain lines, nothing redrawn or drawn: for screen readers"
    )


def run(args: argparse.Namespace) -> int:
    """Talk until the coach leaves; exit code 0, or 2 without a terminal."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise InputError(
            "the conversation needs a terminal",
            fix="use `rungbook ask TEXT`, or `rungbook ask -` for lines from a pipe",
        )
    rulebase = load(args)
    assistant = Assistant(rulebase)
    recorder = Recorder(args, assistant)
    talk = Talk(assistant, recorder, lambda: screen(args, keep_layout=True))
    try:
        if welcome.first_time():
            plain_words.act("welcome", talk)
        if recorder.code:
            plain_words.act("client", talk)
        loop(talk, PlainLines() if args.plain or is_dumb() else edited(talk, rulebase))
    finally:
        recorder.close()
    return 0


def edited(talk: Talk, rulebase: Rulebase) -> EditedLines:
    """The editing prompt of this conversation."""

    @lru_cache(maxsize=1)
    def concepts() -> list[Offer]:
        return offers.concepts(rulebase)

    def offered() -> Sequence[Offer]:
        codes = [Offer(f"client {code}", "client card", alone=True) for code in talk.recorder.clients()]
        return [*plain_words.offers(), *codes, *concepts()]

    return EditedLines(offered, lambda: bottom(talk, _columns()), redactor(talk.assistant.reader).text)


def _columns() -> int:
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns
    except OSError:
        return 80


def bottom(talk: Talk, width: int) -> str:
    """The bottom line: client, what is carried or that a referral holds, and the journal, cut to the width."""
    keeps = "REFERRED: training waits (forget: next client)" if talk.referred() else ", ".join(talk.subjects())
    front = f"{talk.client or 'no client'}{RAIL}"
    back = f"{RAIL}{talk.recorder.state}"
    room = max(8, width - len(front) - len(back) - _KEEPING)
    middle = keeps or "nothing carried"
    return front + (middle if len(middle) <= room else f"{middle[: room - 3]}...") + back


def loop(talk: Talk, lines: Lines) -> None:
    """Read and act until the coach leaves; an interrupt clears the line or stops an answer."""
    while talk.going_on:
        try:
            line = lines.read(f"{talk.client or NOBODY}{RAIL}")
        except KeyboardInterrupt:
            if isinstance(lines, PlainLines):
                sys.stdout.write("\n")
            continue
        except EOFError:
            if isinstance(lines, PlainLines):
                sys.stdout.write("\n")
            break
        if not line.strip():
            continue
        try:
            plain_words.act(line, talk)
        except KeyboardInterrupt:
            talk.tell(("STOPPED", "that answer was interrupted; the conversation goes on"))
