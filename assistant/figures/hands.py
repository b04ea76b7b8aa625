"""Which hand holds the pole and which the load, from the working, weak or operated side.

A push in the hand opposite the working leg takes load off the muscles at that hip's side, on the same side it does not
(Neumann 1998); a weight does the reverse: opposite the leg it adds, on the same side it spares (Neumann 1999).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from assistant.errors import InputError
from assistant.figures.ask import CUSTOM, Ask
from assistant.shapes import Figure, Question

POLE, LOAD = "neumann-1998-hip-abductor", "neumann-1999-electromyographic-study"
EASE, HARDER, STAIRS = "ease", "harder", "stairs"
OTHER = {"left": "right", "right": "left"}
# How the working leg is named in each movement, and what is done with the pole when the legs change.
_WORKING = {
    "step-up": "leg on the step", "lateral-step-up": "leg on the step", "step-down": "leg staying on the step",
    "split-squat": "leg in front", "reverse-lunge": "leg in front", "walking-lunge": "leg in front",
    "half-kneel-to-stand": "leg in front", "forward-lunge": "leg stepping forward", "lateral-lunge": "leg stepping out",
    "single-leg-stance": "standing leg", "kickstand-deadlift": "front leg", "single-leg-deadlift": "standing leg",
    "tandem-stance": "front leg",
}  # fmt: skip
_FLIP = {
    "alternating-step-up": "Leave it there: it is opposite on one rep and same-side on the next",
    "walking-lunge": "Swap it while the feet are together, before each step",
    "gait-step": "Keep it there for the whole walk",
}
_BOTH_LEGS = ("alternating-step-up", "gait-step", "sit-to-stand", "squat", "belt-squat", "heel-raise")
_SWAP = "Swap it when the legs swap"
_JOINTS = ("hip", "knee", "leg", "foot", "ankle")
_WEAK = ("weak", "weaker", "bad", "operated", "sore", "hip", "knee", "worse")
ARM_CONDITIONS = ("shoulder-problem", "pacemaker")
_ARM_WORDS = ("shoulder", "arm", "cuff", "wrist", "elbow", "hand", "side")
_SIDED = (
    "hip-replacement", "knee-replacement", "awaiting-joint-replacement", "knee-osteoarthritis", "hip-osteoarthritis",
    "knee-injury", "stroke", "multiple-sclerosis", "foot-pain", "recent-surgery", "amputation", "neuropathy",
)  # fmt: skip


@dataclass(frozen=True)
class Hands:
    """Pole hand, load hand and the leg that leads ('' where a hand stays free), what to do as legs change, and why."""

    leg: str
    pole: str
    load: str
    leading: str
    flip: str
    why: str


def hands_for(movement: str, leg: str, goal: str = EASE, weak_arm: str = "") -> Hands:
    """Hands for the working leg (or the weak or operated one) `leg`, 'left' or 'right'.

    `goal`: EASE puts the load on the leg's side, HARDER opposite it with no pole, STAIRS leads up with the other leg.
    `weak_arm` is a hand that cannot hold a pole (after a stroke). Raises InputError for any other side or goal.
    """
    if leg not in OTHER or weak_arm not in ("", *OTHER):
        raise InputError(f"a side is left or right, not {leg or weak_arm!r}", fix="name the working or weaker leg")
    if goal not in (EASE, HARDER, STAIRS):
        raise InputError(f"no goal {goal!r}", fix=f"use {EASE}, {HARDER} or {STAIRS}")
    other = OTHER[leg]
    if goal == HARDER:
        why = "a weight opposite the leg makes its hip side work harder"
        return Hands(leg, "", other, leg, "Swap the weight when the legs swap", why)
    leading = other if goal == STAIRS else leg
    if not weak_arm:
        why = "from the opposite side a push helps hold the pelvis level"
        return Hands(leg, other, leg, leading, _FLIP.get(movement, _SWAP), why)
    why = f"the {weak_arm} hand cannot hold one safely"
    return Hands(leg, OTHER[weak_arm], "", leading, "It stays in that hand for both legs", why)


def leg_named(movement: str, leg: str) -> str:
    """The working leg in words: 'left leg in front', 'left leg on the step'."""
    return f"{leg} {_WORKING.get(movement, 'leg working')}"


def hand_text(leg: str, movement: str = "") -> str:
    """Which hand holds the single pole, for the working leg named, or for both."""
    if leg in OTHER:
        return f"{leg_named(movement, leg)}, {OTHER[leg]} hand"
    return f"{leg_named(movement, 'left')}, right hand; {leg_named(movement, 'right')}, left hand"


def leg_of(question: Question) -> str:
    """The leg told: the working leg, else the side of a weak or operated joint; '' when none is."""
    words = question.facts.words
    if words.get("leg") in OTHER:
        return words["leg"]
    joint = _beside(question, _JOINTS)
    if joint:
        return joint
    told = any(word.text in _WEAK for word in question.words)
    sided = any(condition in _SIDED for condition in question.conditions)
    return words.get("side", "") if (told or sided) and "pole_hand" not in words else ""


def _beside(question: Question, names: tuple[str, ...]) -> str:
    """'left' or 'right' when it stands right before or after one of the words."""
    texts = [word.text for word in question.words]
    pairs = list(itertools.pairwise(texts))
    return next((a if a in OTHER else b for a, b in pairs if {a, b} & set(OTHER) and {a, b} & set(names)), "")


def sore_arm(question: Question) -> str:
    """The side of an arm that cannot hold a pole ('?' when its side is not told): shoulder trouble, a new device, a stroke."""
    if "stroke" in question.conditions:
        return leg_of(question)
    if not any(condition in ARM_CONDITIONS for condition in question.conditions):
        return ""
    return _beside(question, _ARM_WORDS) or "?"


def which_hand(ask: Ask) -> list[Figure]:
    """The pole hand for the leg told, when a hand is asked for and the movement is known."""
    question = ask.question
    movement = next(iter(question.movements), "")
    leg, arm = leg_of(question), sore_arm(question)
    known = movement in (*_WORKING, *_BOTH_LEGS, "loaded-carry")
    if not ask.now("which-hand") or not leg or not known or arm == "?":
        return []
    goal = HARDER if ask.now("hand-harder") else STAIRS if ask.now("hand-stairs") else EASE
    found = hands_for(movement, leg, goal, arm)
    sentence = _sentence(found, movement, movement in _BOTH_LEGS)
    hand = found.pole or found.load
    name = "pole-hand" if found.pole else "load-hand"
    sources = CUSTOM if arm else (POLE, LOAD)
    return [Figure(name, 1.0, f"{hand} hand", sources, sentence)]


def _sentence(found: Hands, movement: str, both: bool) -> str:
    who = f"Weaker {found.leg} leg" if both else leg_named(movement, found.leg).capitalize()
    if not found.pole:
        return f"{who}: the weight goes in the {found.load} hand, {found.why}. {found.flip}."
    load = f"; a single weight goes in the {found.load} hand" if found.load and not both else ""
    lead = f" Up stairs the {found.leading} leg goes first, down the {found.leg}." if found.leading != found.leg else ""
    return f"{who}: pole in the {found.pole} hand{load} ({found.why}). {found.flip}.{lead}"
