"""Where the joints are in a set-up, from the same proportions and equations as `geometry`, for drawing it.

Planar, facing right, x forward from the hip over the trailing foot (step, standing) or from the front ankle (split
squat), y up from the floor; cm and degrees.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.errors import InputError
from assistant.figures import geometry as g

HEAD, TOE = 0.93, 0.11
Point = tuple[float, float]


@dataclass(frozen=True)
class Leg:
    """Hip, knee, ankle and toe of one leg."""

    hip: Point
    knee: Point
    ankle: Point
    toe: Point

    @property
    def bend(self) -> float:
        """Knee flexion in degrees, 0 straight."""
        return 180.0 - math.degrees(_angle(self.hip, self.knee, self.ankle))


@dataclass(frozen=True)
class Posture:
    """A segment figure: lead and trail leg, shoulder, head, and with a pole the arm and the pole's two ends."""

    lead: Leg
    trail: Leg
    shoulder: Point
    head: Point
    arm: tuple[Point, Point] | None = None  # elbow, grip
    pole: tuple[Point, Point] | None = None  # tip, top of the handle

    @property
    def elbow_bend(self) -> float:
        """Elbow flexion in degrees, 0 straight; 0 without a pole."""
        return 180.0 - math.degrees(_angle(self.shoulder, *self.arm)) if self.arm else 0.0


def standing(stature: float, pole: float = 0.0) -> Posture:
    """Both legs straight on the floor, the pole upright in front."""
    hip = (0.0, g.HIP * stature)
    leg = _straight(hip, 0.0, stature)
    return _upright(stature, hip, leg, leg, pole)


def step_start(stature: float, step: float, pole: float = 0.0) -> Posture:
    """Start of a step-up: lead foot on the step, trail leg straight, pole tip on the floor."""
    hip = (0.0, g.HIP * stature)
    lead = _leg(hip, (g.FRONT_FOOT * stature, step + g.ANKLE * stature), stature, 1.0)
    return _upright(stature, hip, lead, _straight(hip, 0.0, stature), pole)


def split_bottom(stature: float, pad: float, rise: float = 0.0, pole: float = 0.0) -> Posture:
    """Bottom of a split squat: rear knee on the pad, rear toes on a rise, front foot flat, trunk upright."""
    split = g.split_squat(stature, pad, rise)
    thigh, shank = g.THIGH * stature, g.SHANK * stature
    ankle = g.ANKLE * stature
    hip_x = -math.sqrt(thigh**2 - (ankle + shank - g.KNEE_CENTRE * stature - thigh) ** 2)
    hip = (hip_x, split.start - split.drop)
    rear_y = g.REAR_ANKLE * stature + rise
    rear_x = hip_x - math.sqrt(shank**2 - (g.REAR_ANKLE * stature - g.KNEE_CENTRE * stature) ** 2)
    lead = _leg(hip, (0.0, ankle), stature, 1.0)
    ankle_point = (rear_x, rear_y)
    knee = _leg(hip, ankle_point, stature, 1.0).knee
    return _upright(stature, hip, lead, Leg(hip, knee, ankle_point, (rear_x + 0.06 * stature, rise)), pole)


def _straight(hip: Point, x: float, stature: float) -> Leg:
    ankle = (x, g.ANKLE * stature)
    return Leg(hip, (x, hip[1] - g.THIGH * stature), ankle, (x + TOE * stature, 0.0))


def _leg(hip: Point, ankle: Point, stature: float, side: float) -> Leg:
    """The knee of a two-link leg, bending forward (side 1)."""
    thigh, shank = g.THIGH * stature, g.SHANK * stature
    across, down = ankle[0] - hip[0], ankle[1] - hip[1]
    reach = min(math.hypot(across, down), thigh + shank)
    cosine = (thigh**2 + reach**2 - shank**2) / (2 * thigh * reach)
    turn = math.acos(max(-1.0, min(1.0, cosine)))
    direction = math.atan2(down, across) + side * turn
    knee = (hip[0] + thigh * math.cos(direction), hip[1] + thigh * math.sin(direction))
    return Leg(hip, knee, ankle, (ankle[0] + TOE * stature, ankle[1] - g.ANKLE * stature))


def _upright(stature: float, hip: Point, lead: Leg, trail: Leg, pole: float) -> Posture:
    shoulder = (hip[0], hip[1] + (g.SHOULDER - g.HIP) * stature)
    head = (hip[0], hip[1] + (HEAD - g.HIP) * stature)
    if pole <= 0:
        return Posture(lead, trail, shoulder, head)
    grip_height = pole - g.GRIP_TO_TOP
    elbow = (shoulder[0], shoulder[1] - g.UPPER_ARM * stature)
    cosine = (elbow[1] - grip_height) / (g.FOREARM * stature)
    if not -1.0 <= cosine <= 1.0:
        raise InputError(f"a pole of {pole:g} cm does not fit this hand in this position", fix="change its length")
    grip = (elbow[0] + g.FOREARM * stature * math.sqrt(1 - cosine**2), grip_height)
    return Posture(lead, trail, shoulder, head, (elbow, grip), ((grip[0], 0.0), (grip[0], pole)))


def _angle(one: Point, corner: Point, other: Point) -> float:
    ax, ay = one[0] - corner[0], one[1] - corner[1]
    bx, by = other[0] - corner[0], other[1] - corner[1]
    cosine = (ax * bx + ay * by) / (math.hypot(ax, ay) * math.hypot(bx, by))
    return math.acos(max(-1.0, min(1.0, cosine)))
