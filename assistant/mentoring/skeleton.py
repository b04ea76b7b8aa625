"""A ready-to-edit knowledge entry for questions that were not answered well."""

from __future__ import annotations

import json
from collections.abc import Sequence

from assistant.rulebase.model import INTENT_KIND
from assistant.shapes import Question

_WANTED = 3


def skeleton(
    question: Question, asks: Sequence[str], say: str = "", name: str = "house", about: Sequence[str] = ()
) -> str:
    """A YAML topic file with one entry for the question; what the coach must write is marked TODO. `say` is the mentor's
    answer where there is one, `name` tells several files of one subject apart, `about` are first patterns."""
    subject = next(iter([*question.movements, *question.conditions, *question.equipment]), "studio")
    kind = INTENT_KIND.get(question.intent, "reason")
    entry_id = f"{subject}-{kind}-{'todo' if name == 'house' else name}"
    patterns = f"[{', '.join(json.dumps(each, ensure_ascii=False) for each in about)}]"
    lines = [
        f"id: {subject}-{name}",
        "kind: topic",
        f"name: {subject.replace('-', ' ')}, house rules",
        "entries:",
        f"  - id: {entry_id}",
        f"    kind: {kind}",
    ]
    if question.movements:
        lines.append(f"    movements: [{', '.join(question.movements)}]")
    if question.conditions:
        lines.append(f"    conditions: [{', '.join(question.conditions)}]")
    lines += [
        f"    about: {patterns.ljust(18)} # TODO patterns of what it is about, see knowledge/README.md",
        f"    say: {json.dumps(say or 'TODO at most 35 words: what to do, with numbers', ensure_ascii=False)}",
        '    why: "TODO at most 18 words"',
        "    sources: [common-practice]",
        "    evidence: common-practice",
        "    asks:                    # at least three, in different wordings",
    ]
    lines += [f"      - {json.dumps(ask, ensure_ascii=False)}" for ask in asks]
    lines += ['      - "TODO"'] * max(0, _WANTED - len(asks))
    return "\n".join(lines) + "\n"
