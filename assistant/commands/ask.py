"""`rungbook ask`: one question, one answer; or many from standard input."""

from __future__ import annotations

import argparse
import sys

from assistant.commands.common import load
from assistant.conversation import Assistant
from assistant.errors import InputError
from assistant.matching.red_flags import flags
from assistant.rendering import as_json
from assistant.rendering.explained import explained
from assistant.rendering.plain import plain
from assistant.shapes import Answer

EXIT = {"answered": 0, "refer": 0, "unsure": 3, "out_of_scope": 3}


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = 'example: rungbook ask "hip hikes on an 8 inch step, how do I make step-ups easier?"'
    parser.add_argument("text", nargs="+", help="the question, or - to read questions from standard input, one a line")
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    parser.add_argument(
        "--follow", action="store_true", help="standard input is one conversation; a blank line starts anew"
    )
    parser.add_argument("--plain", action="store_true", help="plain text")
    parser.add_argument("--explain", action="store_true", help="also show how the question was understood")


def run(args: argparse.Namespace) -> int:
    """Answer; exit code 0 answered, 3 unsure or out of scope (single question only)."""
    assistant = Assistant(load(args))
    if args.text == ["-"]:
        return _stream(args, assistant)
    text = " ".join(args.text)
    if not text.strip():
        raise InputError("the question is empty", fix="type it in quotes after `rungbook ask`")
    answer = assistant.ask(text)
    if args.explain:
        question = assistant.reader.read(text)
        hits = flags(question, assistant.rulebase)
        print(explained(question, hits, assistant.index.rank(question), assistant.rulebase) + "\n")
    _show(args, assistant, answer)
    return EXIT[answer.status]


def _stream(args: argparse.Namespace, assistant: Assistant) -> int:
    for raw in sys.stdin.buffer:
        line = raw.decode("utf-8", "replace").rstrip("\r\n")
        if not line.strip():
            if args.follow:
                assistant.reset()
            continue
        _show(args, assistant, assistant.ask(line, follow=args.follow))
    return 0


def _show(args: argparse.Namespace, assistant: Assistant, answer: Answer) -> None:
    text = plain(answer, assistant.rulebase.knowledge.sources)
    print(as_json.line(answer, text) if args.json else text, flush=True)
