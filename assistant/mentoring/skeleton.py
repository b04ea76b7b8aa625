"""A ready-to-edit knowledge entry for questions that were not answered well."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence

from assistant.rulebase.model import INTENT_KIND
from assistant.shapes import Question
from assistant.words import tidy

_WANTED = 3


def skeleton(
    question: Question, asks: Sequence[str], say: str = "", name: str = "house", about: Sequence[str] = ()
) -> str:
    """A YAML topic file with one entry for the question; what the coach must write is marked TODO. `say` is the mentor's
    answer where there is one, `name` tells several files of one subject apart, `about` are first patterns."""
    subject = next(iter([*question.movements, *question.conditions, *question.equipment]), "studio")
    kind = INTENT_KIND.get(question.intent, "reason")
    entry_id = f"{subject}-{kind}-{'todo' if name == 'house' else name}"
    lines = [
        f"id: {subject}-{name}", "kind: topic", f"name: {subject.replace('-', ' ')}, house rules",
        *_entry(entry_id, kind),
    ]  # fmt: skip
    if question.movements:
        lines.append(f"    movements: [{', '.join(question.movements)}]")
    if question.conditions:
        lines.append(f"    conditions: [{', '.join(question.conditions)}]")
    return "\n".join([*lines, *_rest(asks, say, about)]) + "\n"


def condition(name: str, question: Question, asks: Sequence[str]) -> str:
    """A YAML condition file with one caution, for a condition that is not known yet."""
    plain = re.sub(r"[^a-z0-9]+", " ", tidy(name)).strip()
    subject = plain.replace(" ", "-")
    lines = [
        f"id: {subject}", "kind: condition", f"name: {json.dumps(name, ensure_ascii=False)}",
        f"terms: [{json.dumps(plain)}]".ljust(29) + " # TODO its other names and short forms, in cleaned form",
        *_entry(f"{subject}-caution", "caution"),
    ]  # fmt: skip
    if question.movements:
        lines.append(
            f"    movements: [{', '.join(question.movements)}]  # drop it if the caution holds for every movement"
        )
    return "\n".join([*lines, *_rest(asks, "", ())]) + "\n"


def _entry(entry_id: str, kind: str) -> list[str]:
    return ["entries:", f"  - id: {entry_id}", f"    kind: {kind}"]


def _rest(asks: Sequence[str], say: str, about: Sequence[str]) -> list[str]:
    patterns = f"[{', '.join(json.dumps(each, ensure_ascii=False) for each in about)}]"
    return [
        f"    about: {patterns.ljust(18)} # TODO patterns of what it is about, see knowledge/README.md",
        f"    say: {json.dumps(say or 'TODO at most 35 words: what to do, with numbers', ensure_ascii=False)}",
        '    why: "TODO at most 18 words"',
        "    sources: [common-practice]",
        "    evidence: common-practice",
        "    asks:                    # at least three, in different wordings",
        *(f"      - {json.dumps(ask, ensure_ascii=False)}" for ask in asks),
        *['      - "TODO"'] * max(0, _WANTED - len(asks)),
    ]
