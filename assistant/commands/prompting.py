"""Where the lines of the conversation come from: an editing prompt, or plain lines on a terminal that cannot redraw."""

from __future__ import annotations

import os
import select
import sys
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from assistant.commands.offers import Offer, matching
from assistant.journal.places import make_private, state_home

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.history import History
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent

HISTORY = "history"
PASTE_SECONDS = 0.05
SEARCH = "earlier with "
_KEY_WORDS = {"f2": "sources", "f3": "draw"}


class Lines(Protocol):
    """A source of lines."""

    def read(self, prompt: str) -> str:
        """The next line or paste; raises KeyboardInterrupt (clear the line) and EOFError (leave)."""


class PlainLines:
    """Lines as the terminal itself edits them; nothing is redrawn. Lines that arrive together are one paste."""

    def read(self, prompt: str) -> str:
        """The next line, or all lines of a paste."""
        sys.stdout.write(prompt)
        sys.stdout.flush()
        lines = [self._line()]
        while self._more():
            lines.append(self._line())
        return "\n".join(lines)

    @staticmethod
    def _line() -> str:
        raw = os.read(sys.stdin.fileno(), 1 << 16)
        if not raw:
            raise EOFError
        return raw.decode(sys.stdin.encoding or "utf-8", "replace").rstrip("\r\n")

    @staticmethod
    def _more() -> bool:
        return os.name == "posix" and bool(select.select([sys.stdin], [], [], PASTE_SECONDS)[0])


class EditedLines:
    """A prompt with history, suggestion, reverse search, completion and a bottom line."""

    def __init__(
        self, offers: Callable[[], Sequence[Offer]], bottom: Callable[[], str], clean: Callable[[str], str]
    ) -> None:
        self.kept = self.pressed = ""  # a half-written line that a key such as F2 must not lose, and its word
        self.session = _session(offers, bottom, clean, self._key_word)

    def read(self, prompt: str) -> str:
        """The next line or paste."""
        default, self.kept, self.pressed = self.kept, "", ""
        self.session.app.erase_when_done = False
        line = self.session.prompt(prompt, default=default)
        if self.pressed:
            sys.stdout.write(f"{prompt}{line}\n")
        return line

    def _key_word(self, event: KeyPressEvent, word: str) -> None:
        self.kept, self.pressed = event.current_buffer.text, word
        event.app.erase_when_done = True
        event.app.exit(result=word)


def _session(
    offers: Callable[[], Sequence[Offer]],
    bottom: Callable[[], str],
    clean: Callable[[str], str],
    key_word: Callable[[KeyPressEvent, str], None],
) -> PromptSession[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.auto_suggest import AutoSuggestFromHistory
    from prompt_toolkit.completion import ThreadedCompleter
    from prompt_toolkit.shortcuts import CompleteStyle
    from prompt_toolkit.styles import Style

    # No colours but one grey that reads on white and on black: reverse and bold tell the rest.
    style = Style.from_dict(
        {
            "bottom-toolbar": "noreverse", "bottom-toolbar.text": "noreverse", "auto-suggestion": "fg:#767676",
            "completion-menu": "bg:default fg:default noreverse",
            "completion-menu.completion": "bg:default fg:default",
            "completion-menu.completion.current": "bg:default fg:default reverse bold",
            "completion-menu.meta.completion": "bg:default fg:default",
            "completion-menu.meta.completion.current": "bg:default fg:default reverse",
            "scrollbar.background": "bg:default", "scrollbar.button": "reverse",
        }
    )  # fmt: skip
    session: PromptSession[str] = PromptSession(
        history=_history(clean), auto_suggest=AutoSuggestFromHistory(), completer=ThreadedCompleter(_completer(offers)),
        complete_while_typing=False, search_ignore_case=True, complete_style=CompleteStyle.COLUMN, bottom_toolbar=bottom,
        key_bindings=_keys(key_word), style=style, reserve_space_for_menu=6, prompt_continuation=_continued,
    )  # fmt: skip
    _own_search(session)
    return session


def _own_search(session: PromptSession[str]) -> None:
    """Searching earlier questions, in our words."""
    from prompt_toolkit.layout.controls import SearchBufferControl
    from prompt_toolkit.layout.processors import ReverseSearchProcessor, Transformation, TransformationInput

    class Earlier(ReverseSearchProcessor):
        """Shows `earlier with WORDS |- the question found`."""

        def apply_transformation(self, ti: TransformationInput) -> Transformation:
            made = super().apply_transformation(ti)
            if made.fragments is ti.fragments:
                return made
            front, (_, *found) = made.fragments[3], made.fragments[4:]
            shift = len(SEARCH)
            return Transformation(
                [("", SEARCH), front, ("", " |- "), *found],
                source_to_display=lambda at: at + shift,
                display_to_source=lambda at: at - shift,
            )

    for control in session.layout.find_all_controls():
        if isinstance(control, SearchBufferControl):
            control.input_processors = [Earlier()]


def _continued(width: int, number: int, wrapped: int) -> str:
    return " " * width


def _completer(offers: Callable[[], Sequence[Offer]]):  # type: ignore[no-untyped-def]
    from prompt_toolkit.completion import CompleteEvent, Completer, Completion
    from prompt_toolkit.document import Document

    class Concepts(Completer):
        """Offers concepts for the words before the cursor."""

        def get_completions(self, document: Document, event: CompleteEvent) -> Iterable[Completion]:
            for offer, taken in matching(document.text_before_cursor, offers()):
                yield Completion(offer.text, start_position=-taken, display_meta=offer.hint)

    return Concepts()


def _keys(key_word: Callable[[KeyPressEvent, str], None]) -> KeyBindings:
    from prompt_toolkit.key_binding import KeyBindings

    bindings = KeyBindings()
    for key, word in _KEY_WORDS.items():

        def pressed(event: KeyPressEvent, word: str = word) -> None:
            key_word(event, word)

        bindings.add(key)(pressed)
    return bindings


# -- history -----------------------------------------------------------------------------------------------------------


def _history(clean: Callable[[str], str]) -> History:
    from prompt_toolkit.history import FileHistory, InMemoryHistory

    path = state_home() / HISTORY
    if not _private(path):
        return InMemoryHistory()

    class CleanHistory(FileHistory):
        """A history file that never holds what names a person."""

        def store_string(self, string: str) -> None:
            try:
                with open(self.filename, "ab") as file:
                    file.write(_stored(clean(string), datetime.now()))
            except OSError:
                pass  # a history that cannot be written must not end the conversation

    return CleanHistory(str(path))


def _stored(text: str, now: datetime) -> bytes:
    lines = "".join(f"+{line}\n" for line in text.split("\n"))
    return f"\n# {now}\n{lines}".encode("utf-8", "replace")


def _private(path: Path) -> bool:
    """Make the file readable for its owner only; False when it cannot be had."""
    try:
        make_private(path.parent)
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600))
        path.chmod(0o600)
        return True
    except OSError:
        return False
