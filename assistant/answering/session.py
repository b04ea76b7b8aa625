"""A planned session as an answer short enough to read between sets: times, starting rungs, the way to the goal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from assistant.rulebase.model import EVIDENCE, Source
from assistant.session_shapes import Line, Reason, Session
from assistant.shapes import Answer, Figure, Point

BUDGET = 100  # words of the points
_HANDS = {
    "fixed-support": "Hands on a rail or counter", "two-poles": "Two poles", "one-pole-both-hands": "One pole, both hands",
    "contralateral": "One pole, opposite hand", "ipsilateral": "One pole, same side", "one-hand": "One hand on a chair",
    "band": "Band help", "thighs": "Hands on thighs", "touch-down": "Fingertips", "none": "No hands",
}  # fmt: skip


def session_answer(answer: Answer, found: Session, sources: Mapping[str, Source], clinic: str) -> Answer:
    """Fill an answer that was begun for the question; returns it. `clinic` is said when there is a condition."""
    answer.heading = found.heading
    points = [_point(reason.rule, "caution", reason.text, reason.sources, sources) for reason in found.first]
    points.append(_times(found, sources))
    toward = next((line for line in found.lines if line.movement == found.toward and line.slot != "rehearse"), None)
    if toward:
        points.append(_point(toward.rule, "plan", _goal_text(toward), toward.sources, sources))
    rest = [line for line in _by_weight(found) if line is not toward]
    points += _others(points, rest, sources)
    answer.points = points
    answer.notes = [*_out(found), *([clinic] if answer.conditions else [])]
    answer.ask_back = found.ask
    answer.figures = [_minutes(found, points)]
    used = [each for point in points for each in point.sources]
    answer.sources = {each: sources[each].full() for each in dict.fromkeys(used)}
    return answer


def _point(rule: str, kind: str, text: str, cited: Iterable[str], sources: Mapping[str, Source]) -> Point:
    known = tuple(each for each in dict.fromkeys(cited) if each in sources)
    evidence = min((sources[each].kind for each in known), key=EVIDENCE.index, default="common-practice")
    return Point(rule, kind, text, "", known, evidence)


def _times(found: Session, sources: Mapping[str, Source]) -> Point:
    blocks = [block for block in found.blocks if block.lines]
    total = sum(block.minutes for block in blocks)
    of = "" if total == found.minutes else f" of {found.minutes}"
    text = f"{total:g}{of} min: {', '.join(f'{block.name} {block.minutes:g}' for block in blocks)}."
    longest = max(blocks, key=lambda block: block.minutes)
    return _point("session-order-order", "plan", text, longest.sources, sources)


def _goal_text(line: Line) -> str:
    text = f"{line.name.capitalize()}: {line.do}; {line.dose.partition(', rest ')[0].replace(' reps', '')}."
    if not line.next:
        return text
    steps = "; ".join(rung.name for rung in line.next)
    return f"{text} Next, one at a time: {steps}. Each when: {line.next[0].criterion}"


def _by_weight(found: Session) -> list[Line]:
    """The movements of a session, those of the longest part first."""
    blocks = sorted(found.blocks, key=lambda block: -block.minutes)
    return [line for block in blocks for line in block.lines if line.movement and line.slot != "rehearse"]


def _others(points: Sequence[Point], lines: Sequence[Line], sources: Mapping[str, Source]) -> list[Point]:
    """The starting rungs of the other movements by support, as many as the budget allows; of the rest the names."""
    left = BUDGET - sum(len(point.text.split()) for point in points) - sum(len(line.name.split()) for line in lines)
    groups: dict[str, list[str]] = {}
    for line in lines:
        left -= len(line.short.split())
        named = f"{line.name} ({line.short})" if line.short and left >= 0 else line.name
        groups.setdefault(_HANDS.get(line.state.get("support", ""), "Also"), []).append(named)
    if not groups:
        return []
    order = sorted(groups, key=[*_HANDS.values(), "Also"].index)
    text = " ".join(f"{hands}: {', '.join(groups[hands])}." for hands in order)
    cited = [source for line in lines[:2] for source in line.sources]
    return [_point("session-length-order", "plan", text, cited, sources)]


def _out(found: Session) -> list[str]:
    """Parts that are left out, and movements that a caution or a condition closes."""
    notes = [f"No {block.name}: {_why(block.absent)}." for block in found.blocks if not block.lines and block.absent]
    return notes[:2]


def _why(reasons: Sequence[Reason]) -> str:
    return reasons[0].text.rstrip(".")


def _minutes(found: Session, points: Sequence[Point]) -> Figure:
    """The minutes of each part, resting on what the point that tells them rests on."""
    inputs = {block.part: block.minutes for block in found.blocks if block.lines}
    cited = next(point.sources for point in points if point.rule == "session-order-order")
    return Figure("session-minutes", float(sum(inputs.values())), "min", cited, "", None, inputs)
