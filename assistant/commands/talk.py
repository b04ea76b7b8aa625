"""A conversation in progress: what was asked last, for whom, where it is shown and whether it is recorded."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.clean import harmless
from assistant.commands.asking import ask_whole
from assistant.commands.display import show, write
from assistant.commands.recording import Recorder
from assistant.conversation import Assistant
from assistant.rendering import terminal
from assistant.rendering.plain import plain
from assistant.shapes import Answer, Question

if TYPE_CHECKING:
    from rich.text import Text

    from assistant.rendering.terminal import Screen

FORGET_HINT = "say forget to drop them"
CARD_HINT = "forget drops what was said, client off the card"


@dataclass
class Talk:
    """The state between two lines of the conversation; `look` gives the screen as it is now, None in plain mode."""

    assistant: Assistant
    recorder: Recorder
    look: Callable[[], Screen | None]
    answer: Answer | None = None
    question: Question | None = None
    going_on: bool = True

    @property
    def screen(self) -> Screen | None:
        """The terminal at its present size, None for plain text."""
        return self.look()

    # -- showing -------------------------------------------------------------------------------------------------

    def tell(self, *rows: tuple[str, str]) -> None:
        """Labelled lines; in plain mode `Label: text`."""
        screen = self.screen
        if screen is None:
            lines = [f"{label.strip().capitalize()}: {text}" if label.strip() else text for label, text in rows]
            write("\n".join(harmless(line) for line in lines) + "\n")
        else:
            laid = [terminal.Row(label, terminal.words(text)) for label, text in rows]
            show(terminal.laid_out(laid, screen), screen)

    def draw(self, lines: Iterable[Text | str]) -> None:
        """Finished lines of a drawing."""
        from rich.text import Text

        screen = self.screen
        if screen is not None:
            show([line if isinstance(line, Text) else Text(line) for line in lines], screen)

    def gap(self) -> None:
        """An empty line before the next prompt."""
        write("\n")

    def show_answer(self, answer: Answer) -> None:
        """Keep an answer, then show it with what was carried into it."""
        sources = self.assistant.rulebase.knowledge.sources
        text = plain(answer, sources)
        trouble = self.recorder.keep(answer.question, answer, text)
        kept = self.kept(answer)
        screen = self.screen
        if screen is None:
            write(text + (f"\nKept: {kept}" if kept else "") + "\n")
        else:
            write(terminal.printed(answer, sources, screen, kept))
        if trouble:
            self.tell(("NOT KEPT", trouble))

    def kept(self, answer: Answer) -> str:
        """What was carried from before, by name."""
        names = [self.name(each) for each in answer.carried]
        if self.recorder.card is None:
            return f"{', '.join(names)} from before ({FORGET_HINT})" if names else ""
        return f"{', '.join(names)} from before or the card ({CARD_HINT})" if names else ""

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
        """Answer a question, record it and show it."""
        self.answer = ask_whole(self.assistant, text, follow=True, card=self.recorder.card)
        self.question = self.assistant.turn.question
        self.show_answer(self.answer)

    def forget(self) -> None:
        """Drop everything carried."""
        self.assistant.reset()
        self.recorder.new_conversation()
        self.answer = self.question = None

    def turn_to(self, code: str) -> None:
        """Turn to a client and drop what was carried; an empty code means nobody. Raises InputError."""
        self.recorder.client(code)
        self.forget()

    @property
    def client(self) -> str:
        """The client's code, empty for nobody."""
        return self.recorder.code

    def referred(self) -> bool:
        """Whether a referral holds until it is forgotten."""
        return bool(self.assistant.turn.referral)
