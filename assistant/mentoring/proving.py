"""Runs every entry's own questions through the path and says which land elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from assistant.conversation import Assistant
from assistant.errors import Fault
from assistant.rulebase.model import KIND_INTENT, TIERS, Entry, Flag, Knowledge


def examples(knowledge: Knowledge, only: str = "") -> int:
    """How many questions `prove` asks."""
    return sum(len(each.asks) + len(each.asks_not) for each in _wanted(knowledge, only))


def prove(assistant: Assistant, only: str = "", tell: Callable[[int], None] | None = None) -> Iterator[Fault]:
    """A Fault for each `asks` that misses its entry or flag and each `asks_not` that reaches it. With `only` those of
    files whose name contains it; `tell` hears of every question asked."""
    for each in _wanted(assistant.rulebase.knowledge, only):
        yield from _entry(assistant, each) if isinstance(each, Entry) else _flag(assistant, each)
        if tell is not None:
            tell(len(each.asks) + len(each.asks_not))


def _wanted(knowledge: Knowledge, only: str) -> Iterator[Entry | Flag]:
    every: list[Entry | Flag] = [*knowledge.entries.values(), *knowledge.flags.values()]
    return (each for each in every if only in each.file)


def _entry(assistant: Assistant, entry: Entry) -> Iterator[Fault]:
    for ask in entry.asks:
        answer = assistant.ask(ask)
        if answer.status == "refer":
            yield Fault(
                entry.file,
                entry.line,
                f'{entry.id}: "{ask}" raises a red flag ({answer.points[0].rule})',
                "reword the question or narrow the flag",
            )
            continue
        question = assistant.reader.read(ask)
        ranked = assistant.index.rank(question)
        place = next((i for i, m in enumerate(ranked) if m.entry == entry.id), -1)
        if place < 0:
            yield Fault(
                entry.file,
                entry.line,
                f'{entry.id}: "{ask}" does not reach it ({_heard(question)})',
                "add the missing name to `terms`, or reword the question",
            )
        elif place > 2:
            yield Fault(
                entry.file,
                entry.line,
                f'{entry.id}: "{ask}" reaches {ranked[0].entry} first (place {place + 1}; heard {_heard(question)}; wants {KIND_INTENT[entry.kind]})',
                "sharpen `about` of one of them or reword the question",
            )
    for ask in entry.asks_not:
        ranked = assistant.index.rank(assistant.reader.read(ask))
        if ranked and ranked[0].entry == entry.id:
            yield Fault(entry.file, entry.line, f'{entry.id}: "{ask}" reaches it and must not', "narrow `about`")


def _heard(question: object) -> str:
    intent = getattr(question, "intent", "")
    return f"{intent or 'no intent'}; {', '.join([*getattr(question, 'movements', []), *getattr(question, 'conditions', [])]) or 'no subject'}"


def _flag(assistant: Assistant, flag: Flag) -> Iterator[Fault]:
    for ask in flag.asks:
        answer = assistant.ask(ask)
        if answer.status != "refer":
            yield Fault(flag.file, flag.line, f'{flag.id}: "{ask}" raises no flag', "add a sign pattern for it")
        elif answer.urgency is None or TIERS.index(answer.urgency) > TIERS.index(flag.tier):
            yield Fault(
                flag.file, flag.line, f'{flag.id}: "{ask}" is only {answer.urgency}', "add a sign pattern for it"
            )
    for ask in flag.asks_not:
        answer = assistant.ask(ask)
        if answer.status == "refer":
            yield Fault(
                flag.file,
                flag.line,
                f'{flag.id}: "{ask}" raises {answer.points[0].rule}',
                "narrow its patterns or add `unless`",
            )
