"""What `draw` shows for an answer: the ladder with the present rungs, the set-up to scale, help against depth."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from assistant.commands import rungs
from assistant.commands.client import real_change
from assistant.errors import InputError
from assistant.figures import geometry, poles, posture, relief
from assistant.figures.norms import better_of
from assistant.figures.targets import target
from assistant.journal import clients
from assistant.journal.clients import Card
from assistant.matching.ladder import position
from assistant.matching.limits import limits
from assistant.rendering import charts, drawing
from assistant.rendering.side_view import Block, Line, Scene
from assistant.rulebase.model import Knowledge
from assistant.shapes import Figure, Question
from assistant.units import CM_PER_IN, length, plain

DEFAULT_STATURE, DEFAULT_DEPTH = 165.0, 30.0
STEPS = ("step-up", "alternating-step-up", "lateral-step-up", "step-down")
SPLITS = ("split-squat", "reverse-lunge", "half-kneel-to-stand")
_POLED = ("two-poles", "contralateral", "ipsilateral", "touch-down")


def histories(card: Card, knowledge: Knowledge) -> list[charts.History]:
    """The results on a client's card with the line ahead, for each screen and side, in the unit of the latest result."""
    found = []
    person = clients.profile(card, date.today())
    age = sum(person.ages) / 2 if person.ages else None
    known = [condition for condition, _, _ in person.conditions]
    for screen in sorted({str(each.get("screen")) for each in card["results"]}):
        steps = clients.history(card, screen, None)
        subject, real = knowledge.subjects.get(screen), real_change(knowledge, screen, card)
        for side in dict.fromkeys(step.side for step in steps):
            own = [step for step in steps if step.side == side]
            values = [(step.day, clients.converted(step.value, step.unit, own[-1].unit)) for step in own]
            title = f"{subject.name if subject else screen}{f', {side}' if side else ''}"
            points = tuple((day, value) for day, value in values if value is not None)
            ahead = target(knowledge, screen, age, person.sex, known, own[-1].value, own[-1].unit)
            better = (real.better if real else "") or better_of(knowledge, screen)
            found.append(charts.History(title, own[-1].unit, points, ahead, better))
    return found


def ladder_of(question: Question, knowledge: Knowledge) -> drawing.LadderView | None:
    """The ladder of the question's first movement, stated rungs marked, rungs that its conditions close broken."""
    movement = next(iter(question.movements), "")
    subject = knowledge.subjects.get(movement)
    if subject is None or subject.ladder is None:
        return None
    place = position(question, movement, subject.ladder)
    here = {axis: level for axis, level in place.levels.items() if axis in place.stated}
    return rungs.view(knowledge, movement, limits(knowledge, question.conditions, question.missing_kit), here, {})


def set_up(question: Question, knowledge: Knowledge) -> Scene | None:
    """The set-up from the side for step-ups and split stances, from the question's own numbers or the ladder's."""
    movement = next(iter(question.movements), "")
    subject = knowledge.subjects.get(movement)
    if subject is None or subject.ladder is None or movement not in (*STEPS, *SPLITS):
        return None
    place = position(question, movement, subject.ladder)
    levels = {
        axis.id: (axis.levels[axis.index(place.levels[axis.id])].value or 0.0) * (CM_PER_IN if axis.unit == "in" else 1)
        for axis in subject.ladder.axes
    }
    stature = question.facts.values.get("stature_cm", 0.0)
    unit = "in" if {"in", "ft"} & set(question.facts.units.values()) else "cm"
    poled = place.levels.get("support") in _POLED and "walking-poles" not in question.missing_kit
    try:
        if movement in STEPS:
            return step_scene(
                subject.name, stature, question.facts.values.get("step_cm") or levels["height"], poled, unit
            )
        pad = question.facts.values.get("pad_cm", levels.get("pad", 0.0))
        rise = question.facts.values.get("ramp_cm", levels.get("ramp", 0.0))
        return split_scene(subject.name, stature, pad, rise, poled, unit)
    except InputError:
        return None


def step_scene(name: str, stature: float, step: float, poled: bool, unit: str = "cm") -> Scene:
    """The start of a step-up; raises InputError outside what the model covers."""
    tall = stature or DEFAULT_STATURE
    fit = poles.step_up_pole(tall, step) if poled else None
    body = posture.step_start(tall, step, fit.length if fit else 0.0)
    edge = body.lead.ankle[0] - 0.045 * tall
    facts = [_person(stature, unit), f"lead knee bent {plain(body.lead.bend, 0)} degrees"]
    if fit:
        bends = sorted((fit.elbow_top, fit.elbow_bottom))
        facts += _pole_facts(fit, unit, f"elbow {plain(bends[1], 0)} degrees here, {plain(bends[0], 0)} on top")
    block = Block(f"step {length(step, unit)} high", edge, edge + 36.0, step, step)
    return _scene(f"Start of {name}, side view to scale", body, (block,), facts)


def split_scene(name: str, stature: float, pad: float, rise: float, poled: bool, unit: str = "cm") -> Scene:
    """The bottom of a split stance; raises InputError outside what the model covers."""
    tall = stature or DEFAULT_STATURE
    split = geometry.split_squat(tall, pad, rise)
    fit = poles.split_squat_pole(tall, pad) if poled else None
    body = posture.split_bottom(tall, pad, rise, fit.length if fit else 0.0)
    facts = [
        _person(stature, unit), f"front knee bent {plain(split.front_knee, 0)}, rear knee {plain(split.rear_knee, 0)} degrees",
        f"hips {length(split.drop, unit)} below the start",
    ]  # fmt: skip
    if fit:
        facts += _pole_facts(fit, unit, f"elbow {plain(body.elbow_bend, 0)} degrees here")
    knee, toe = body.trail.knee[0], body.trail.toe[0]
    blocks = [Block(f"pad {length(pad, unit)} thick", knee - 14.0, knee + 14.0, pad, pad)] if pad > 0 else []
    if rise > 0:
        blocks.append(Block(f"ramp {length(rise, unit)} high", toe - 26.0, toe + 4.0, rise, 0.0))
    return _scene(f"Bottom of {name}, side view to scale", body, tuple(blocks), facts)


def _person(stature: float, unit: str) -> str:
    return (
        f"client {length(stature, unit)} tall"
        if stature
        else f"client drawn {length(DEFAULT_STATURE, unit)} tall: none was given"
    )


def _pole_facts(fit: poles.PoleFit, unit: str, angles: str) -> list[str]:
    if not fit.fits:
        return [f"no single pole length fits: drawn at {length(fit.length, unit)}, adjust between sets", angles]
    return [f"pole {length(fit.length, unit)} long, {plain(fit.low, 0)} to {plain(fit.high, 0)} cm will do", angles]


def _scene(title: str, body: posture.Posture, blocks: tuple[Block, ...], facts: Sequence[str]) -> Scene:
    segments: list[Line] = []
    feet: list[Line] = []
    for leg in (body.lead, body.trail):
        segments += [Line(leg.hip, leg.knee), Line(leg.knee, leg.ankle)]
        flat = leg.ankle[1] - leg.toe[1] < 10.0
        if flat:
            feet.append(Line((leg.ankle[0] - 6.0, leg.toe[1]), leg.toe))
        else:
            segments.append(Line(leg.ankle, leg.toe))
    segments += [Line(body.trail.hip, body.shoulder), Line(body.shoulder, (body.head[0], body.head[1] - 8.0))]
    joints = [body.lead.hip, body.lead.knee, body.trail.knee, body.shoulder]
    if body.arm:
        segments += [Line(body.shoulder, body.arm[0]), Line(*body.arm)]
        joints += [*body.arm]
    poles = (Line(*body.pole),) if body.pole else ()
    return Scene(title, tuple(segments), tuple(feet), tuple(joints), body.head, blocks, poles, tuple(facts))


def help_at_depth(figures: Sequence[Figure], question: Question) -> charts.HelpChart | None:
    """A measured support share drawn over depth: a band slackens as the client rises, a pole can press evenly."""
    band = next((figure for figure in figures if figure.quantity == "band-pull" and "body_kg" in figure.inputs), None)
    if band is not None:
        return _band_chart(band)
    share = next((figure for figure in figures if figure.quantity == "support-share"), None)
    if share is None:
        return None
    pad, stature = question.facts.values.get("pad_cm"), question.facts.values.get("stature_cm", DEFAULT_STATURE)
    try:
        depth = geometry.split_squat(stature, pad).drop if pad is not None else DEFAULT_DEPTH
    except InputError:
        depth = DEFAULT_DEPTH
    at = "" if pad is not None else f" (depth not given: {plain(depth)} cm)"
    lines = (
        charts.HelpLine("pole pressed evenly", ((0.0, share.value), (depth, share.value))),
        charts.HelpLine("hanging band, just taut when standing", ((0.0, 0.0), (depth, share.value))),
    )
    return charts.HelpChart(f"Help at depth, {plain(share.value)}% of body weight measured at the bottom{at}", lines)


def _band_chart(figure: Figure) -> charts.HelpChart:
    """A band of known anchor, slack and stiffness over depth, beside a pole pressed evenly with its help at the bottom."""
    told = figure.inputs
    band = relief.Band(told["anchor_cm"], told["held_cm"], told["slack_cm"], told["stiffness_kg_per_cm"])
    curve = relief.band_curve(band, told["body_kg"], told["depth_cm"])
    deep, most = curve[-1]
    lines = (
        charts.HelpLine("pole pressed evenly", ((0.0, most), (deep, most))),
        charts.HelpLine("hanging band", tuple(curve)),
    )
    return charts.HelpChart(
        f"Help at depth, band and pole set to the same {plain(most)}% of body weight at the bottom", lines
    )
