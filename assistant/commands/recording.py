"""Keeps answers in the journal, for every command that answers: on disk before it is shown, or one line that says why not."""

from __future__ import annotations

import argparse
import atexit
import sys
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from assistant.conversation import Assistant
from assistant.journal import places
from assistant.journal import record as records
from assistant.journal.redaction import Redactor
from assistant.journal.store import JournalError, Store, local_now
from assistant.shapes import Answer, Profile
from assistant.understanding.question import Reader

if TYPE_CHECKING:
    from assistant.journal.clients import Clients


def redactor(reader: Reader) -> Redactor:
    """The redactor that knows the words of the trade and of the language."""
    known, real = reader.speller.index.known, reader.speller.real
    return Redactor(lambda word: word in known or word in real, reader.speller.mend)


def cards() -> Clients:
    """The client cards of this machine."""
    from assistant.journal.clients import Clients

    return Clients(places.data_home() / "clients")


class Recorder:
    """Records the answers of one run; with --no-log nothing is kept. One conversation until `new_conversation`."""

    def __init__(self, args: argparse.Namespace, assistant: Assistant) -> None:
        self.assistant = assistant
        self.folder = places.journal_folder(args.journal)
        self.coach = places.coach_code(args.coach)
        self.code = ""
        self.card: Profile | None = None
        self._redactor = redactor(assistant.reader)
        self._store = None if args.no_log else Store(self.folder, self.coach, places.machine_code())
        self._talk, self._turn = records.new_id(), 0
        if args.client:
            self.client(args.client)

    @property
    def state(self) -> str:
        """In two words, whether answers are kept."""
        return "journal on" if self._store else "journal off"

    def client(self, code: str) -> Profile | None:
        """Turn to a client (empty: nobody); returns the card, None when there is none. Raises InputError."""
        self.code = places.code(code, "client") if code else ""
        self.card = self._load(self.code) if self.code else None
        self.new_conversation()
        return self.card

    def _load(self, code: str) -> Profile | None:
        from assistant.journal.clients import profile

        card = cards().load(code)
        return profile(card, date.today()) if card else None

    def clients(self) -> Sequence[str]:
        """Codes of the cards that exist."""
        return cards().codes()

    def new_conversation(self) -> None:
        """What comes next does not lean on what came before."""
        self._talk, self._turn = records.new_id(), 0

    def keep(self, question: str, answer: Answer, text: str) -> str:
        """Put one answer on disk; returns what to tell when that failed, else an empty text. Never raises."""
        if self._store is None:
            return ""
        try:
            self._append(self._store, answer, text)
        except JournalError as error:
            return f"not logged: {error}"
        return ""

    def _append(self, store: Store, answer: Answer, text: str) -> None:
        redacted = self._redactor.redact(answer.question)
        start = {
            **records.head(records.ENTRY, store.now(), self.coach),
            "client": self.code, "conversation": self._talk, "turn": self._turn,
        }  # fmt: skip
        record = records.entry(answer, text, redacted.text, redacted.numbers, start, self.card)
        store.append(record)
        if not self._turn:
            atexit.register(self.close)
        self._turn += 1

    def close(self) -> None:
        """Close the journal; once for each state of the knowledge its rules' fingerprints are kept for replays."""
        atexit.unregister(self.close)
        if self._store is None:
            return
        self._store.close()
        from assistant.mentoring import manifest

        rulebase = self.assistant.rulebase
        try:
            if self._turn and not manifest.known(self.folder, rulebase.knowledge.digest):
                manifest.keep(self.folder, rulebase)
        except OSError:
            return


def warn(trouble: str) -> None:
    """Tell on standard error that an answer could not be kept."""
    if trouble:
        print(f"rungbook: {trouble}", file=sys.stderr, flush=True)


__all__ = ["Recorder", "cards", "local_now", "redactor", "warn"]
