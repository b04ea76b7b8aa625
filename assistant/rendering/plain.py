"""An answer as plain text: no colour, no wrapping, reads well line by line."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.rulebase.model import Source
from assistant.shapes import Answer

TIER = {
    "emergency": "STOP. EMERGENCY: call the emergency number now (911, 999 or 112).",
    "same-day": "STOP. Do not train: a clinician needs to see this today (GP, urgent care or the team that treats it).",
    "soon": "HOLD. Do not train on: book the GP or treating clinician this week and wait until they have checked it.",
}
AFTER = {
    "emergency": "No training advice until a clinician has cleared it. Stay with them; do not let them drive.",
    "same-day": "The training question waits until a clinician has cleared it.",
    "soon": "The training question waits until it has been reviewed.",
}


def plain(answer: Answer, sources: Mapping[str, Source]) -> str:
    """The whole answer as `--plain` prints it and as `text` of the JSON carries it."""
    lines = {
        "refer": _referral, "out_of_scope": _declined, "unsure": _unsure,
    }.get(answer.status, _advice)(answer)  # fmt: skip
    if answer.sources:
        lines.append(source_line(answer, sources))
    return "\n".join(lines)


def source_line(answer: Answer, sources: Mapping[str, Source]) -> str:
    """Sources in one line, numbered as the marks in the text, each with its evidence level."""
    numbers = numbering(answer)
    parts = []
    for source_id, number in numbers.items():
        source = sources[source_id]
        kind = "" if source.kind == "common-practice" else f", {source.kind}"
        parts.append(f"[{number}] {source.short()}{kind}")
    return "Sources: " + "; ".join(parts)


def numbering(answer: Answer) -> dict[str, int]:
    """Source id -> number, in the order of `answer.sources`."""
    return {source_id: number for number, source_id in enumerate(answer.sources, 1)}


def marks(ids: tuple[str, ...], numbers: dict[str, int]) -> str:
    """The source marks after a point, such as [1][3]."""
    return "".join(f"[{numbers[i]}]" for i in ids if i in numbers)


def _referral(answer: Answer) -> list[str]:
    numbers = numbering(answer)
    lines = [TIER[answer.urgency or "soon"], f"Seen: {'; '.join(answer.lead)}."]
    lines += [f"Do now: {point.text} {marks(point.sources, numbers)}" for point in answer.points]
    lines += answer.notes
    if answer.watch:
        lines.append(f"Worse if: {answer.watch}")
    lines.append(AFTER[answer.urgency or "soon"])
    return lines


def _declined(answer: Answer) -> list[str]:
    return list(answer.lead)


def _unsure(answer: Answer) -> list[str]:
    heard = f"I heard: {answer.heading}. " if answer.heading else ""
    lines = [f"{heard}I am not sure what you need and will not guess."]
    if answer.nearest:
        lines.append("Nearest topics: " + "; ".join(answer.nearest) + ".")
    lines.append(
        "Say the movement, what goes wrong, and whether you want it easier, harder, set up, dosed or explained."
    )
    return lines + answer.notes


def _advice(answer: Answer) -> list[str]:
    numbers = numbering(answer)
    lines = [f"For {answer.heading}:"] if answer.heading else []
    lines += answer.lead
    for count, point in enumerate(answer.points, 1):
        why = f" Because: {point.why}" if point.why else ""
        lines.append(f"{count}. {point.text}{why} {marks(point.sources, numbers)}".rstrip())
    if answer.watch:
        lines.append(f"Watch: {answer.watch}")
    if answer.criteria:
        label = "Move up when" if answer.intent == "progress" else "Back up when"
        lines.append(f"{label}: {answer.criteria}")
    lines += answer.notes
    if answer.ask_back:
        lines.append(answer.ask_back)
    return lines
