"""The minutes of a session shared out between its parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.rulebase.session_model import Part

REST = "main"  # the part that takes what the others leave


@dataclass(frozen=True)
class Share:
    """A part and its minutes; 0 when there is no time for it."""

    part: Part
    minutes: int


def shares(parts: Sequence[Part], total: int, favoured: str = "") -> list[Share]:
    """Minutes by part, in the order given. Short of time the parts with the lowest `drop` go first; a favoured part gets
    its most, as far as the main part keeps its least."""
    kept = list(parts)
    while sum(part.least for part in kept) > total and any(part.drop for part in kept):
        droppable = [part for part in kept if part.drop]
        kept.remove(min(droppable, key=lambda part: (part.id == favoured, part.drop)))
    minutes = {part.id: _own(part, total) for part in kept if part.id != REST}
    main = next((part for part in kept if part.id == REST), None)
    if favoured in minutes:
        minutes[favoured] = next(part.most for part in kept if part.id == favoured)
    least = main.least if main else 0
    for part in sorted(kept, key=lambda part: (part.id == favoured, part.drop == 0, part.drop)):
        over = sum(minutes.values()) + least - total
        if over > 0 and part.id != REST:
            minutes[part.id] -= min(over, minutes[part.id] - part.least)
    if main:
        minutes[REST] = min(total - sum(minutes.values()), main.most)
    return [Share(part, minutes.get(part.id, 0)) for part in parts]


def _own(part: Part, total: int) -> int:
    return max(part.least, min(part.most, round(part.share * total / 100)))
