"""Ids from what people type: the id, the name, any other name of it, else the nearest one as a suggestion."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from assistant.clean import question_text
from assistant.commands.nearest import nearest
from assistant.errors import InputError
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Axis, Ladder
from assistant.understanding.question import Reader

_KINDS = {"movement": "movement", "condition": "condition", "equipment": "kit", "screen": "screen"}


def subject(typed: str, kind: str, rulebase: Rulebase, reader: Reader) -> str:
    """The id of a movement, condition or piece of kit; a misspelt name is not guessed: InputError names the nearest."""
    text = question_text(typed)
    subjects = rulebase.knowledge.subjects
    slug = re.sub(r"[\s_]+", "-", text.lower())
    if slug in subjects and subjects[slug].kind == kind:
        return slug
    names = {each.name.lower(): each.id for each in subjects.values() if each.kind == kind}
    if text.lower() in names:
        return names[text.lower()]
    question = reader.read(text)
    found = [mention.id for mention in question.mentions if mention.kind == kind]
    mended = any(reader.speller.mend(word.typed) != word.typed for word in question.words)
    if found and not mended:
        return found[0]
    like = subjects[found[0]].name if found else nearest(text, names) or nearest(slug, names.values())
    raise InputError(
        f"no {_KINDS[kind]} {text[:40]!r}",
        fix=f"did you mean {names.get(like, like)!r}?" if like else f"see `rungbook knowledge list {kind}`",
    )


def state(pairs: Iterable[str], ladder: Ladder, movement: str) -> dict[str, str]:
    """Levels by axis from texts such as `height=4` or `support=two-poles`; raises InputError."""
    given: dict[str, str] = {}
    for pair in pairs:
        name, mark, wanted = pair.partition("=")
        if not mark or not wanted:
            raise InputError(f"{pair[:40]!r} is not axis=level", fix=f"write for example {_example(ladder)}")
        axis = ladder.axis(name.strip().lower())
        if axis is None:
            names = [each.id for each in ladder.axes]
            like = nearest(name, names)
            hint = f"did you mean {like!r}?" if like else f"its axes: {', '.join(names)}"
            raise InputError(f"{movement} has no axis {name[:40]!r}", fix=hint)
        given[axis.id] = level(wanted, axis)
    return given


def level(wanted: str, axis: Axis) -> str:
    """The id of a level from its id, its name or its number; raises InputError."""
    text = question_text(wanted).lower()
    slug = re.sub(r"[\s_]+", "-", text)
    by_name: Mapping[str, str] = {each.name.lower(): each.id for each in axis.levels}
    if axis.index(slug) >= 0:
        return slug
    if text in by_name:
        return by_name[text]
    if re.fullmatch(r"\d+(\.\d+)?", text):
        for each in axis.levels:
            if each.value is not None and abs(each.value - float(text)) < 0.01:
                return each.id
    ids = [each.id for each in axis.levels]
    like = nearest(slug, ids)
    hint = f"did you mean {like!r}? " if like else ""
    raise InputError(f"{axis.id} has no level {wanted[:40]!r}", fix=f"{hint}levels: {', '.join(ids)}")


def _example(ladder: Ladder) -> str:
    axis = ladder.axes[0]
    return f"{axis.id}={axis.levels[-1].id}"
