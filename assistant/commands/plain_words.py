"""The words that act when they stand alone on a line. Each is declared once: names, help, what it does."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from assistant.commands import pictures, welcome
from assistant.commands.offers import Offer
from assistant.commands.recording import cards
from assistant.commands.talk import Talk
from assistant.errors import InputError
from assistant.journal.places import CODE
from assistant.rendering import charts, drawing, side_view, terminal
from assistant.rendering.plain import marks, numbering

KEYS = (
    ("Tab", "list names of movements, conditions, kit, tests and words; Tab again picks"),
    ("right arrow", "take the grey suggestion from your own history"),
    ("up, down", "earlier questions"),
    ("Ctrl-R", "search earlier questions"),
    ("F2", "sources of the last answer in full; your line stays"),
    ("F3", "draw the last answer; your line stays"),
    ("Ctrl-C", "clear the line"),
    ("Ctrl-D", "leave, on an empty line"),
)

Drawing = side_view.Scene | charts.HelpChart | charts.History | drawing.LadderView


@dataclass(frozen=True)
class PlainWord:
    """A word, its other names, its help, and its handler, which gets what follows the word."""

    name: str
    others: tuple[str, ...]
    help: str
    act: Callable[[Talk, str], None]
    takes: str = ""  # what may follow, as help shows it


def find(line: str, talk: Talk) -> tuple[PlainWord, str] | None:
    """The word that a whole line is, with what follows it; None when the line is a question."""
    typed = re.sub(r"[.!?]+$", "", " ".join(line.lower().split()))
    for word in WORDS:
        if typed in (word.name, *word.others):
            return word, ""
    head, _, rest = typed.partition(" ")
    if head == "client" and _is_code(rest, talk):
        return next(word for word in WORDS if word.name == "client"), rest
    return None


def _is_code(rest: str, talk: Talk) -> bool:
    """`client a12` turns to a client, `client wobbles` is a question."""
    if rest == "off" or rest in talk.recorder.clients():
        return True
    return bool(CODE.fullmatch(rest)) and any(char.isdigit() for char in rest)


def offers() -> list[Offer]:
    """The words as completion offers them."""
    return [Offer(word.name, f"word: {word.help}", word.others, 9, alone=True) for word in WORDS]


# -- what they do ------------------------------------------------------------------------------------------------------


def _follow(question: str) -> Callable[[Talk, str], None]:
    def act(talk: Talk, rest: str) -> None:
        if talk.assistant.turn.question is None:
            talk.tell(("FIRST", "ask about a movement; then this word changes it"))
            return
        talk.ask(question)

    return act


def _why(talk: Talk, rest: str) -> None:
    if talk.answer is None or not (talk.answer.points or talk.answer.figures):
        talk.tell(("FIRST", "ask something; then `why` gives the reasons"))
        return
    knowledge = talk.assistant.rulebase.knowledge
    numbers = numbering(talk.answer)
    for point in talk.answer.points:
        entry = knowledge.entries.get(point.rule)
        why = point.why or (entry.why if entry else "")
        grounds = f"rests on {point.evidence.replace('-', ' ')} {marks(point.sources, numbers)}".rstrip()
        talk.tell(("ADVICE", point.text), ("  why", f"{why} ({grounds})" if why else grounds))
    for figure in talk.answer.figures:
        given = ", ".join(f"{name.replace('_', ' ')} {value:g}" for name, value in figure.inputs.items())
        talk.tell(("FIGURE", f"{figure.quantity.replace('-', ' ')} {figure.value:.4g} {figure.unit}"
                             f"{f' from {given}' if given else ''} {marks(figure.sources, numbers)}"))  # fmt: skip


def _sources(talk: Talk, rest: str) -> None:
    if talk.answer is None or not talk.answer.sources:
        talk.tell(("FIRST", "ask something; then `sources` lists where it comes from"))
        return
    screen = talk.screen
    if screen is None:
        talk.tell(*((f"[{n}]", text) for n, text in enumerate(talk.answer.sources.values(), 1)))
    else:
        talk.draw(terminal.full_sources(talk.answer, talk.assistant.rulebase.knowledge.sources, screen))


def _draw(talk: Talk, rest: str) -> None:
    if talk.question is None or talk.answer is None:
        talk.tell(("FIRST", "ask about a movement; then `draw` shows its ladder and set-up"))
        return
    if talk.referred():
        talk.tell(("WAIT", "nothing to draw: training waits for the clinician"))
        return
    knowledge = talk.assistant.rulebase.knowledge
    parts = (
        pictures.set_up(talk.question, knowledge),
        pictures.help_at_depth(talk.answer.figures, talk.question),
        pictures.ladder_of(talk.question, knowledge),
    )
    found = [part for part in parts if part is not None]
    if not found:
        talk.tell(("NOTHING", "no drawing for this: ask about a movement, a pole, a pad or a step"))
    for part in found:
        _draw_one(talk, part)


def _draw_one(talk: Talk, part: Drawing) -> None:
    """A drawing where there is a screen, else its sentences."""
    screen = talk.screen
    if screen is None:
        talk.tell(*(("", sentence) for sentence in _in_words(part)))
        return
    width, unicode = screen.usable, screen.unicode
    if isinstance(part, side_view.Scene):
        talk.draw([*side_view.side_view(part, width, unicode), ""])
    elif isinstance(part, charts.HelpChart):
        talk.draw([*charts.help_chart(part, width, unicode), ""])
    elif isinstance(part, charts.History):
        talk.draw([part.title, *charts.history_line(part, width, unicode)])
    else:
        talk.draw([part.title, "", *drawing.ladder(part, width, unicode)])


def _in_words(part: Drawing) -> list[str]:
    if isinstance(part, side_view.Scene):
        return [side_view.side_view_words(part)]
    if isinstance(part, charts.History):
        return [charts.history_words(part)]
    return [charts.help_words(part)] if isinstance(part, charts.HelpChart) else drawing.ladder_words(part)


def _forget(talk: Talk, rest: str) -> None:
    had, referred = talk.subjects(), talk.referred()
    talk.forget()
    talk.tell(("DROPPED", ", ".join(had) or "a referral" if had or referred else "nothing was carried"))
    if referred:
        talk.tell(("MIND", "for the client it was about the referral stands: training waits for the clinician"))


def _client(talk: Talk, rest: str) -> None:
    if rest:
        talk.turn_to("" if rest == "off" else rest)
    talk.tell(("CLIENT", _whose(talk)))


def _whose(talk: Talk) -> str:
    if not talk.client:
        return "nobody (`client a12` turns to a card, `client off` away from it)"
    if talk.recorder.card is None:
        return f"{talk.client}, who has no card yet: rungbook client add {talk.client}"
    return f"{talk.client}, with the card"


def _history(talk: Talk, rest: str) -> None:
    card = cards().load(talk.client) if talk.client else None
    found = pictures.histories(card, talk.assistant.rulebase.knowledge) if card else []
    if not found:
        talk.tell(("FIRST", "turn to a client with results: client CODE, and rungbook client result CODE tug 13.8"))
    for each in found:
        _draw_one(talk, each)


def _help(talk: Talk, rest: str) -> None:
    talk.tell(("ASK", "in your own words: the client, the movement, what goes wrong, what you want"))
    for word in WORDS:
        also = f" (or {', '.join(word.others)})" if word.others else ""
        talk.tell(("WORD", f"{f'{word.name} {word.takes}'.strip()}: {word.help}{also}"))
    talk.tell(*(("KEY", f"{key}: {text}") for key, text in KEYS))


def _welcome(talk: Talk, rest: str) -> None:
    where = f"{talk.recorder.folder} ({talk.recorder.state}; `rungbook log` reads it)"
    talk.tell(*welcome.rows(where, talk.recorder.coach))


def _quit(talk: Talk, rest: str) -> None:
    talk.going_on = False


WORDS: tuple[PlainWord, ...] = (
    PlainWord("easier", ("simpler", "regress"), "an easier version of what was just asked", _follow("make it easier")),
    PlainWord("harder", ("progress",), "a harder version, with the criteria to move up", _follow("make it harder")),
    PlainWord("set-up", ("setup", "set up"), "how to set it up", _follow("how do I set it up")),
    PlainWord("why", ("reasons",), "the reason and the evidence behind each piece of advice", _why),
    PlainWord("sources", ("source",), "the sources in full", _sources),
    PlainWord("draw", ("picture", "ladder"), "draw the ladder, the set-up, or help against depth", _draw),
    PlainWord("forget", ("new", "start over"), "drop everything carried and start with another client", _forget),
    PlainWord("client", (), "turn to a client's card, or away from it", _client, takes="CODE, or client off"),
    PlainWord("history", ("results",), "the client's results over time", _history),
    PlainWord("help", ("?", "h"), "this list", _help),
    PlainWord("welcome", (), "the first screen again", _welcome),
    PlainWord("quit", ("exit", "q", "bye"), "leave", _quit),
)


def act(line: str, talk: Talk) -> None:
    """Do what a line asks: a plain word acts, anything else is a question."""
    try:
        found = find(line, talk)
        if found is None:
            talk.ask(line)
        else:
            found[0].act(talk, found[1])
    except InputError as error:
        talk.tell(("CANNOT", str(error)))
    if talk.going_on:
        talk.gap()
