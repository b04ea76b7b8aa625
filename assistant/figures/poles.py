"""Pole and cane length from the arm. Lengths in cm, elbow bend in degrees (0 straight).

The arm is a two-link chain, upper arm and elbow to grip centre. With the upper arm by the side the grip hangs
`elbow height - forearm x cos(bend)` above the floor; raising or lowering the body moves the elbow and not the tip.
Average proportions of stature (Drillis & Contini 1966, as tabled by Winter) stand in for what was not measured; a
measured elbow or wrist height goes before them. A first setting, good to about 3 cm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.errors import InputError
from assistant.figures import geometry as g
from assistant.units import CM_PER_IN

ELBOW_TOP, ELBOW_STEP, ELBOW_SPLIT = 20.0, 100.0, 110.0
ELBOW_HEIGHT, WRIST_HEIGHT, HAND, GRIP_SHARE = 0.632, 0.485, 0.108, 0.4
WALKING, WALKING_LOW, WALKING_HIGH = 0.68, 0.66, 0.70
ELBOW_RANGE, WRIST_RANGE = (75.0, 135.0), (55.0, 105.0)


@dataclass(frozen=True)
class Arm:
    """The arm of a standing client: elbow height and elbow to grip centre, upper arm, and the stature they belong to."""

    elbow: float
    forearm: float
    upper: float
    stature: float


@dataclass(frozen=True)
class PoleFit:
    """Pole length to the top of the handle, its range, and the elbow's bend at the top and bottom of the movement.

    Without a length that fits (`fits` false) `length` favours the end at which the client stands lowest.
    """

    length: float
    low: float
    high: float
    elbow_top: float
    elbow_bottom: float
    fits: bool


def arm_of(stature: float | None = None, elbow: float | None = None, wrist: float | None = None) -> Arm:
    """The arm from stature, or from a measured elbow height and wrist crease (arm hanging, shoes as trained in).

    Raises InputError when nothing is given, a height is out of range, or the wrist is not below the elbow.
    """
    for height, (low, high), name in ((elbow, ELBOW_RANGE, "elbow"), (wrist, WRIST_RANGE, "wrist crease")):
        if height is not None and not low <= height <= high:
            raise InputError(
                f"an {name} height of {height:g} cm is outside {low:g} to {high:g} cm"
                if name == "elbow"
                else f"a {name} height of {height:g} cm is outside {low:g} to {high:g} cm",
                fix="measure from the floor, arm hanging",
            )
    tall = stature or (elbow / ELBOW_HEIGHT if elbow else wrist / WRIST_HEIGHT if wrist else None)
    if tall is None:
        raise InputError("a pole needs the client's height or elbow height", fix="give one of them")
    g.check_stature(tall)
    top = elbow or ELBOW_HEIGHT * tall
    forearm = g.FOREARM * tall
    if wrist is not None and elbow is not None:
        if not 15 <= elbow - wrist <= 35:
            raise InputError(
                f"elbow and wrist {elbow - wrist:g} cm apart is no forearm of 15 to 35 cm", fix="measure both again"
            )
        forearm = elbow - wrist + GRIP_SHARE * HAND * tall
    return Arm(top, forearm, g.UPPER_ARM * tall, tall)


def walking_pole(stature: float) -> PoleFit:
    """Length for standing and level walking: 0.68 of stature (published range 0.66 to 0.70), elbow near a right angle."""
    g.check_stature(stature)
    return PoleFit(WALKING * stature, WALKING_LOW * stature, WALKING_HIGH * stature, 90.0, 90.0, True)


def standing_pole(arm: Arm) -> PoleFit:
    """Length for standing from the measured arm: grip level with the elbow bent 90 (range 80 to 100) degrees."""
    low, high = (arm.elbow - arm.forearm * g.cos(bend) + g.GRIP_TO_TOP for bend in (80.0, 100.0))
    return PoleFit(arm.elbow + g.GRIP_TO_TOP, low, high, 90.0, 90.0, True)


def elbow(stature: float, grip: float, change: float = 0.0) -> float:
    """Elbow bend for a grip height, body raised (+) or lowered (-) by `change`; 0 straight. Raises when out of reach."""
    return bend(arm_of(stature), grip, change)


def bend(arm: Arm, grip: float, change: float = 0.0) -> float:
    """Elbow bend with the upper arm by the side, body raised (+) or lowered (-); raises InputError out of reach."""
    cosine = (arm.elbow + change - grip) / arm.forearm
    if not -1.0 <= cosine <= 1.0:
        raise InputError(
            "the hand cannot reach that grip height with the upper arm by the side", fix="change the length"
        )
    return math.degrees(math.acos(cosine))


def bend_ahead(arm: Arm, grip: float, ahead: float, change: float = 0.0) -> float:
    """Elbow bend with the upper arm free to swing and the grip planted `ahead` of the shoulder: the two-link chain.

    Law of cosines on upper arm, forearm and the distance from shoulder to grip. Raises InputError out of reach.
    """
    reach = math.hypot(ahead, arm.elbow + arm.upper + change - grip)
    cosine = (reach**2 - arm.upper**2 - arm.forearm**2) / (2 * arm.upper * arm.forearm)
    if not -1.0 <= cosine <= 1.0:
        raise InputError("the hand cannot reach that grip", fix="plant the tip closer or change the length")
    return math.degrees(math.acos(cosine))


def _fit(arm: Arm, start: float, finish: float, widest: float) -> PoleFit:
    """The middle of the grips that keep the elbow between 20 degrees and `widest` at both ends of the body's travel.

    `start` and `finish` are body height changes from standing. Where no grip does, the one that suits the lower end.
    """
    highest, lowest = max(start, finish), min(start, finish)
    low = arm.elbow + highest - arm.forearm * g.cos(ELBOW_TOP)
    high = arm.elbow + lowest - arm.forearm * g.cos(widest)
    fits = low <= high
    grip = (low + high) / 2 if fits else high
    angles = [_held(arm, grip, change) for change in (start, finish)]
    top = g.GRIP_TO_TOP
    return PoleFit(grip + top, min(low, high) + top, max(low, high) + top, min(angles), max(angles), fits)


def _held(arm: Arm, grip: float, change: float) -> float:
    return math.degrees(math.acos(max(-1.0, min(1.0, (arm.elbow + change - grip) / arm.forearm))))


def step_up_pole(stature: float, step: float, arm: Arm | None = None) -> PoleFit:
    """Tip on the floor, body rising by the step (cm); elbow between 20 (top) and 100 degrees (bottom)."""
    g.check_stature(stature)
    g.check_step(step)
    return _fit(arm or arm_of(stature), 0.0, step, ELBOW_STEP)


def split_squat_pole(stature: float, pad: float, arm: Arm | None = None, stance: float | None = None) -> PoleFit:
    """Tip on the floor, hips dropping to a pad under the rear knee; elbow between 20 (top) and 110 degrees (bottom)."""
    split = g.split_squat(stature, pad, stance=stance)
    settle = g.HIP * stature - split.start
    return _fit(arm or arm_of(stature), -settle, -settle - split.drop, ELBOW_SPLIT)


def squat_pole(stature: float, seat_height: float = 45.0, arm: Arm | None = None) -> PoleFit:
    """Tip on the floor, hips dropping to a seat (hip joint 0.05 of stature above it); elbow 20 (top) to 110 degrees."""
    drop = g.seat_drop(stature, seat_height)
    return _fit(arm or arm_of(stature), 0.0, -drop, ELBOW_SPLIT)


def marks(length: float) -> tuple[int, float]:
    """The nearest marks of an adjustable pole: whole centimetres and half inches."""
    if not 40 <= length <= 160:
        raise InputError(f"a pole of {length:g} cm is outside 40 to 160 cm", fix="check the length and unit")
    return round(length), round(2 * length / CM_PER_IN) / 2


def cane(stature: float) -> float:
    """Cane length: 0.45 of stature + 8.7 cm (Kumar et al. 1995), about the height of the wrist crease."""
    g.check_stature(stature)
    return 0.45 * stature + 8.7
