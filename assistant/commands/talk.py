"""A conversation in progress: what was asked last, for whom, where it is shown and whether it is recorded."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from assistant.clean import harmless
from assistant.commands.asking import ask_whole
from assistant.commands.display import show, write
from assistant.conversation import Assistant
from assistant.errors import InputError
from assistant.rendering import terminal
from assistant.rendering.plain import plain
from assistant.shapes import Answer, Profile, Question

if TYPE_CHECKING:
    from rich.text import Text

    from assistant.rendering.terminal import Screen

FORGET_HINT = "say forget to drop them"


class Keeper(Protocol):
    """What the conversation needs of the journal and the cards."""

    state: str  # in two or three words, for the bottom line

    def keep(self, question: str, answer: Answer, text: str) -> str:
        """Record one answer; returns what to tell the coach when that failed, else an empty text."""

    def client(self, code: str) -> Profile | None:
        """Turn to a client (empty: nobody) and return the card, None when there is none. Raises InputError."""

    def clients(self) -> Sequence[str]:
        """The codes of the cards that exist."""


@dataclass
class Talk:
    """The state between two lines of the conversation; `screen` is None in plain mode."""

    assistant: Assistant
    keeper: Keeper
    screen: Screen | None = None
    client: str = ""
    card: Profile | None = None
    answer: Answer | None = None
    question: Question | None = None
    going_on: bool = True

    # -- showing -------------------------------------------------------------------------------------------------

    def tell(self, *rows: tuple[str, str]) -> None:
        """Labelled lines; in plain mode `Label: text`."""
        if self.screen is None:
            lines = [f"{label.strip().capitalize()}: {text}" if label.strip() else text for label, text in rows]
            write("\n".join(harmless(line) for line in lines) + "\n")
        else:
            laid = [terminal.Row(label, terminal.words(text)) for label, text in rows]
            show(terminal.laid_out(laid, self.screen), self.screen)

    def draw(self, lines: Iterable[Text | str]) -> None:
        """Finished lines of a drawing."""
        from rich.text import Text

        if self.screen is not None:
            show([line if isinstance(line, Text) else Text(line) for line in lines], self.screen)

    def show_answer(self, answer: Answer) -> str:
        """Show an answer with what was carried into it; returns its plain text."""
        sources = self.assistant.rulebase.knowledge.sources
        text = plain(answer, sources)
        kept = self.kept(answer)
        if self.screen is None:
            write(text + (f"\nKept: {kept}" if kept else "") + "\n")
        else:
            write(terminal.printed(answer, sources, self.screen, kept))
        return text

    def kept(self, answer: Answer) -> str:
        """What was carried from before, by name."""
        names = [self.name(each) for each in answer.carried]
        return f"{', '.join(names)} from before ({FORGET_HINT})" if names else ""

    def name(self, subject: str) -> str:
        """The name of a subject."""
        known = self.assistant.rulebase.knowledge.subjects.get(subject)
        return known.name if known else subject.replace("-", " ")

    def subjects(self) -> list[str]:
        """The names of what the next question would lean on."""
        turn = self.assistant.turn.question
        return [self.name(each) for each in (*turn.movements, *turn.conditions)] if turn else []

    # -- doing ---------------------------------------------------------------------------------------------------

    def ask(self, text: str) -> None:
        """Answer a question, show it and record it."""
        self.answer = ask_whole(self.assistant, text, follow=True, card=self.card)
        self.question = self.assistant.turn.question
        shown = self.show_answer(self.answer)
        trouble = self.keeper.keep(text, self.answer, shown)
        if trouble:
            self.tell(("NOT KEPT", trouble))

    def forget(self) -> None:
        """Drop everything carried."""
        self.assistant.reset()
        self.answer = self.question = None

    def turn_to(self, code: str) -> None:
        """Turn to a client and drop what was carried; an empty code means nobody. Raises InputError."""
        card = self.keeper.client(code)
        self.forget()
        self.client, self.card = code, card

    def referred(self) -> bool:
        """Whether a referral holds until it is forgotten."""
        return bool(self.assistant.turn.referral)


class NoKeeper:
    """Stands in where nothing is recorded."""

    def __init__(self, state: str = "journal off") -> None:
        self.state = state

    def keep(self, question: str, answer: Answer, text: str) -> str:
        """Nothing to do."""
        return ""

    def client(self, code: str) -> Profile | None:
        """No cards here."""
        if code:
            raise InputError(f"no card {code!r}", fix="`rungbook client add` starts one")
        return None

    def clients(self) -> Sequence[str]:
        """None."""
        return ()
