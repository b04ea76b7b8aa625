"""A planned session as an answer short enough to read between sets: times, starting rungs, the way to the goal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from assistant.rulebase.model import EVIDENCE, Source
from assistant.session_shapes import Block, Line, Reason, Session
from assistant.shapes import Answer, Figure, Point

BUDGET = 96  # words of the points


def session_answer(answer: Answer, found: Session, sources: Mapping[str, Source]) -> Answer:
    """Fill an answer that was begun for the question; returns it."""
    answer.heading = found.heading
    points = [_point(reason.rule, "caution", reason.text, reason.sources, sources) for reason in found.first]
    points.append(_times(found, sources))
    toward = next((line for line in found.lines if line.movement == found.toward and line.slot != "rehearse"), None)
    if toward:
        points.append(_point(toward.rule, "plan", _goal_text(toward), toward.sources, sources))
    for block in found.blocks:
        rest = [line for line in block.lines if line.movement and line is not toward and line.slot != "rehearse"]
        if rest:
            points += _fitting(points, block, rest, sources)
    answer.points = points
    answer.watch = toward.back if toward else ""
    answer.notes = _out(found)
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
    text = f"{line.name.capitalize()}: {line.do}; {line.dose}."
    if not line.next:
        return text
    steps = "; ".join(rung.name for rung in line.next)
    return f"{text} Next, one at a time: {steps}. Each when: {line.next[0].criterion}"


def _fitting(
    points: Sequence[Point], block: Block, lines: Sequence[Line], sources: Mapping[str, Source]
) -> list[Point]:
    """The starting rungs of a part, as many as the budget allows; none are dropped silently."""
    used = sum(len(point.text.split()) for point in points)
    said: list[Line] = []
    for line in lines:
        if used + sum(len(_rung(each).split()) for each in (*said, line)) > BUDGET:
            break
        said.append(line)
    names = [line.name for line in lines if line not in said]
    text = f"{block.name.capitalize()}: {'; '.join(_rung(line) for line in said)}"
    text += f"{'; also ' if said else ''}{', '.join(names)}" if names else ""
    return [_point(lines[0].rule, "plan", f"{text}.", said[0].sources if said else block.sources, sources)]


def _rung(line: Line) -> str:
    return f"{line.name}, {line.do}"


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
