"""`rungbook ask`: one question, one answer; or many from standard input."""

from __future__ import annotations

import argparse
import sys

from assistant.commands.asking import ask_whole
from assistant.commands.common import load
from assistant.commands.display import screen, write
from assistant.commands.recording import Recorder, warn
from assistant.conversation import Assistant
from assistant.errors import InputError
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
    recorder = Recorder(args, assistant)
    if recorder.code and recorder.card is None:
        warn(f"no card {recorder.code}, so nothing is known of this client: rungbook client add {recorder.code}")
    try:
        return _stream(args, recorder) if args.text == ["-"] else _single(args, recorder)
    finally:
        recorder.close()


def _single(args: argparse.Namespace, recorder: Recorder) -> int:
    assistant = recorder.assistant
    text = " ".join(args.text)
    if not text.strip():
        raise InputError("the question is empty", fix="type it in quotes after `rungbook ask`")
    answer = ask_whole(assistant, text, follow=False, card=recorder.card)
    if args.explain:
        question = assistant.reader.read(text)
        hits = assistant.flags(question)
        print(explained(question, hits, assistant.index.rank(question), assistant.rulebase) + "\n")
    _show(args, recorder, answer)
    return EXIT[answer.status]


def _stream(args: argparse.Namespace, recorder: Recorder) -> int:
    for raw in sys.stdin.buffer:
        line = raw.decode("utf-8", "replace").rstrip("\r\n")
        if not line.strip() or not args.follow:
            recorder.new_conversation()
        if not line.strip():
            if args.follow:
                recorder.assistant.reset()
            continue
        _show(args, recorder, ask_whole(recorder.assistant, line, follow=args.follow, card=recorder.card))
    return 0


def _show(args: argparse.Namespace, recorder: Recorder, answer: Answer) -> None:
    """Keep the answer, then show it."""
    sources = recorder.assistant.rulebase.knowledge.sources
    text = plain(answer, sources)
    warn(recorder.keep(answer.question, answer, text))
    where = None if args.json else screen(args)
    if where is None:
        print(as_json.line(answer, text) if args.json else text, flush=True)
        return
    from assistant.rendering.terminal import printed

    write(printed(answer, sources, where))
