"""A question as typed or pasted, however long: no part of it may hide a red flag."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.clean import MAX_QUESTION, question_text
from assistant.conversation import Assistant
from assistant.shapes import Answer, Profile

OVERLAP = 200
LONGEST = 100_000  # beyond this a text is no question any more
HALF = MAX_QUESTION // 2 - 2  # of a longer text the start, where the client is told, and the end, where the question is
_STOPS = ".?!;:,"


def ask_whole(assistant: Assistant, raw: str, follow: bool, card: Profile | None = None) -> Answer:
    """Answer a question of any length. A paste is read with its line breaks as blanks and as full stops, piece by piece;
    a piece with a red flag is the one that is answered."""
    raw = raw[:LONGEST]
    if "\n" in raw.strip() or len(raw) > MAX_QUESTION:
        for piece in readings(raw):
            if assistant.flags(assistant.reader.read(piece)):
                return assistant.ask(piece, follow=follow, card=card)
    text = " ".join(raw.split())
    if len(text) <= MAX_QUESTION:
        return assistant.ask(raw, follow=follow, card=card)
    answer = assistant.ask(f"{text[:HALF]}. {text[-HALF:]}", follow=follow, card=card)
    answer.notes.append("Long text: its start and end were answered, all of it was searched for danger signs.")
    return answer


def readings(raw: str) -> Iterator[str]:
    """The text in pieces of a readable length that overlap: a line may end a sentence, or be wrapped within one."""
    lines = [" ".join(line.split()) for line in raw.splitlines() if line.strip()]
    stopped = " ".join(line if line[-1] in _STOPS else f"{line}." for line in lines)
    for text in dict.fromkeys((" ".join(lines), stopped)):
        for at in range(0, max(1, len(text)), MAX_QUESTION - OVERLAP):
            yield question_text(text[at : at + MAX_QUESTION])
