"""Set-up geometry: poles, canes, split stance, steps, ramps and seats. Lengths in cm, angles in degrees.

Planar, static and built on average proportions of stature (Drillis & Contini 1966, as tabled by Winter): a first
setting, good to about 3 cm and 10 degrees for a client who was not measured.
"""

from __future__ import annotations

import math

from assistant.errors import InputError
from assistant.shaping import dataclass

THIGH, SHANK, ANKLE, HIP, SHOULDER, UPPER_ARM, FOREARM = 0.245, 0.246, 0.039, 0.530, 0.818, 0.186, 0.189
KNEE_CENTRE, REAR_ANKLE, FRONT_FOOT = 0.035, 0.083, 0.15
GRIP_TO_TOP = 5.0
HIP_OVER_SEAT = 0.05
STATURE_RANGE = (130.0, 210.0)
ELBOW_TOP, ELBOW_STEP, ELBOW_SPLIT = 20.0, 100.0, 110.0


def _check_stature(stature: float) -> None:
    low, high = STATURE_RANGE
    if not low <= stature <= high:
        raise InputError(
            f"a stature of {stature:g} cm is outside {low:g} to {high:g} cm", fix="check the number and unit"
        )


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


@dataclass(frozen=True)
class PoleFit:
    """Pole length to the top of the handle, its range, and the elbow's bend at the top and bottom of the movement."""

    length: float
    low: float
    high: float
    elbow_top: float
    elbow_bottom: float
    fits: bool


def walking_pole(stature: float) -> PoleFit:
    """Length for standing and level walking: 0.68 of stature (published range 0.66 to 0.70), elbow near a right angle."""
    _check_stature(stature)
    return PoleFit(0.68 * stature, 0.66 * stature, 0.70 * stature, 90.0, 90.0, True)


def elbow(stature: float, grip: float, change: float = 0.0) -> float:
    """Elbow bend for a grip height, body raised (+) or lowered (-) by `change`; 0 straight. Raises when out of reach."""
    _check_stature(stature)
    cosine = ((SHOULDER - UPPER_ARM) * stature + change - grip) / (FOREARM * stature)
    if not -1.0 <= cosine <= 1.0:
        raise InputError(
            "the hand cannot reach that grip height with the upper arm by the side", fix="change the length"
        )
    return math.degrees(math.acos(cosine))


def _fit(stature: float, low: float, high: float, start: float, finish: float) -> PoleFit:
    """The middle of the grip range; `start` and `finish` are body height changes at both ends."""
    fits = low <= high
    grip = (low + high) / 2
    reach = (SHOULDER - UPPER_ARM) * stature
    angles = []
    for change in (start, finish):
        cosine = max(-1.0, min(1.0, (reach + change - grip) / (FOREARM * stature)))
        angles.append(math.degrees(math.acos(cosine)))
    return PoleFit(
        grip + GRIP_TO_TOP, min(low, high) + GRIP_TO_TOP, max(low, high) + GRIP_TO_TOP, min(angles), max(angles), fits
    )


def step_up_pole(stature: float, step: float) -> PoleFit:
    """Tip on the floor, body rising by the step; elbow between 20 (top) and 100 degrees (bottom)."""
    _check_stature(stature)
    if not 0 < step <= 45:
        raise InputError(f"a step of {step:g} cm is outside 0 to 45 cm", fix="check the unit")
    reach, arm = (SHOULDER - UPPER_ARM) * stature, FOREARM * stature
    return _fit(stature, reach + step - arm * _cos(ELBOW_TOP), reach - arm * _cos(ELBOW_STEP), 0.0, step)


def split_squat_pole(stature: float, pad: float) -> PoleFit:
    """Tip on the floor, hips dropping to a pad under the rear knee; elbow between 20 (top) and 110 degrees (bottom)."""
    split = split_squat(stature, pad)
    settle = HIP * stature - split.start
    reach, arm = (SHOULDER - UPPER_ARM) * stature, FOREARM * stature
    low = reach - settle - arm * _cos(ELBOW_TOP)
    high = reach - settle - split.drop - arm * _cos(ELBOW_SPLIT)
    return _fit(stature, low, high, -settle, -settle - split.drop)


def squat_pole(stature: float, seat_height: float = 45.0) -> PoleFit:
    """Tip on the floor, hips dropping to a seat (hip joint 0.05 of stature above it); elbow 20 (top) to 110 degrees."""
    _check_stature(stature)
    if not 20 <= seat_height <= 70:
        raise InputError(f"a seat of {seat_height:g} cm is outside 20 to 70 cm", fix="check the unit")
    drop = HIP * stature - seat_height - HIP_OVER_SEAT * stature
    if drop <= 0:
        raise InputError("that seat is as high as the hips", fix="give a lower seat")
    reach, arm = (SHOULDER - UPPER_ARM) * stature, FOREARM * stature
    return _fit(stature, reach - arm * _cos(ELBOW_TOP), reach - drop - arm * _cos(ELBOW_SPLIT), 0.0, -drop)


def cane(stature: float) -> float:
    """Cane length: 0.45 of stature + 8.7 cm (Kumar et al. 1995), about the height of the wrist crease."""
    _check_stature(stature)
    return 0.45 * stature + 8.7


@dataclass(frozen=True)
class Split:
    """Split squat on a pad: hip drop, front and rear knee bend, share of the full depth, hip height at the start."""

    drop: float
    front_knee: float
    rear_knee: float
    share: float
    start: float


def _bend(distance: float, thigh: float, shank: float) -> float:
    cosine = (distance**2 - thigh**2 - shank**2) / (2 * thigh * shank)
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


def _split(stature: float, pad: float, rise: float) -> tuple[float, float, float, float]:
    thigh, shank, ankle = THIGH * stature, SHANK * stature, ANKLE * stature
    centre, rear = KNEE_CENTRE * stature, REAR_ANKLE * stature
    hip_x = -math.sqrt(thigh**2 - (ankle + shank - centre - thigh) ** 2)
    rear_x = hip_x - math.sqrt(shank**2 - (rear - centre) ** 2)
    knee_y = pad + centre
    drop_of_shin = knee_y - rear - rise
    if abs(drop_of_shin) > shank:
        raise InputError(
            "that pad and ramp do not fit this stature", fix="use a pad of 0 to 30 cm and a ramp of 0 to 20 cm"
        )
    knee_x = rear_x + math.sqrt(shank**2 - drop_of_shin**2)
    hip_y = knee_y + math.sqrt(thigh**2 - (hip_x - knee_x) ** 2)
    front = _bend(math.hypot(hip_x, hip_y - ankle), thigh, shank)
    back = _bend(math.hypot(hip_x - rear_x, hip_y - rear - rise), thigh, shank)
    straight = thigh + shank
    start = min(ankle + math.sqrt(straight**2 - hip_x**2), rear + rise + math.sqrt(straight**2 - (hip_x - rear_x) ** 2))
    return start, start - hip_y, front, back


def split_squat(stature: float, pad: float, rise: float = 0.0) -> Split:
    """Bottom position with the rear knee on a pad and the rear foot raised by `rise`."""
    _check_stature(stature)
    if not 0 <= pad <= 30 or not 0 <= rise <= 25:
        raise InputError("pad or ramp is outside what the model covers", fix="pad 0 to 30 cm, ramp 0 to 25 cm")
    start, drop, front, back = _split(stature, pad, rise)
    return Split(drop, front, back, drop / _split(stature, 0.0, rise)[1], start)


def pad_for_knee(stature: float, angle: float, rear: bool, rise: float = 0.0) -> float:
    """Thinnest pad (cm) that keeps the front (or rear) knee within a bend of `angle` degrees, by bisection."""
    _check_stature(stature)

    def bend(pad: float) -> float:
        found = split_squat(stature, pad, rise)
        return found.rear_knee if rear else found.front_knee

    low, high = 0.0, 30.0
    if bend(low) <= angle:
        return 0.0
    if bend(high) > angle:
        raise InputError(
            f"no pad up to 30 cm keeps the knee within {angle:g} degrees", fix="start from a higher seat instead"
        )
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if bend(middle) > angle else (low, middle)
    return high


def step_knee(stature: float, step: float) -> float:
    """Lead-knee bend at the start of a step-up, foot 0.15 of stature ahead of the hip, trail leg straight."""
    _check_stature(stature)
    if not 0 < step <= 45:
        raise InputError(f"a step of {step:g} cm is outside 0 to 45 cm", fix="check the unit")
    distance = math.hypot(FRONT_FOOT * stature, (HIP - ANKLE) * stature - step)
    return _bend(distance, THIGH * stature, SHANK * stature)


def slope(rise: float, run: float) -> float:
    """Angle of a ramp in degrees from its height and base, same unit."""
    if rise < 0 or run <= 0:
        raise InputError("a ramp needs a height of 0 or more and a base above 0", fix="give both in one unit")
    return math.degrees(math.atan2(rise, run))


def seat(knee_height: float, percent: float = 120.0) -> float:
    """Seat height as a share of lower-leg length (floor to knee crease)."""
    if not 25 <= knee_height <= 65 or not 60 <= percent <= 200:
        raise InputError("knee height or percentage is out of range", fix="knee crease 25 to 65 cm, 60 to 200 percent")
    return knee_height * percent / 100


def knee_crease(stature: float) -> float:
    """Floor to knee crease from stature: shank and ankle (0.285 H) less about a tenth for the crease below the joint."""
    _check_stature(stature)
    return (SHANK + ANKLE) * stature * 0.9


def step_work(mass: float, step: float) -> float:
    """Work against gravity per step-up in joules: mass (kg) x 9.81 x height (cm)."""
    if not 25 <= mass <= 300 or not 0 < step <= 45:
        raise InputError("work per step covers 25 to 300 kg and steps to 45 cm", fix="check both numbers")
    return mass * 9.81 * step / 100


def tip_tilt(friction: float) -> float:
    """Largest tilt from upright, in degrees, at which a pole tip under axial load holds: atan(friction)."""
    if not 0 < friction <= 2:
        raise InputError(f"a friction coefficient of {friction:g} is outside 0 to 2", fix="give it as 0.3, 0.6")
    return math.degrees(math.atan(friction))


def friction_for(tilt: float) -> float:
    """Friction coefficient a tip needs at a tilt from upright: tan(tilt)."""
    if not 0 <= tilt <= 60:
        raise InputError(f"a tilt of {tilt:g} degrees is outside 0 to 60", fix="measure from upright")
    return math.tan(math.radians(tilt))


def band_relief(pull: float, body: float, angle: float = 0.0) -> float:
    """Percent of body weight a high-anchored band takes off: 100 x pull x cos(angle from vertical) / body."""
    if not 0 <= angle < 90 or not body > 0 or not 0 <= pull <= body:
        raise InputError("band pull must be below body weight and its angle below 90 degrees", fix="check the numbers")
    return 100 * pull * _cos(angle) / body


# Nominal to dressed size of US softwood, inches (PS 20).
DRESSED = {1: 0.75, 2: 1.5, 4: 3.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}


def lumber_stack(count: float, thick: int, wide: int, flat: bool = True) -> float:
    """Height in inches of a stack of dressed boards (2, 4 for a 2x4), laid flat or on edge."""
    if thick not in DRESSED or wide not in DRESSED or not 1 <= count <= 12:
        raise InputError(
            "lumber sizes run from 1x to 4x, 2 to 12 in wide, one to twelve boards", fix="measure the stack"
        )
    return count * (DRESSED[thick] if flat else DRESSED[wide])


def support_share(reading: float, body: float, hanging: bool) -> float:
    """Percent of body weight: what a pole tip presses on a scale, or what is missing from the scale when hanging."""
    if not body > 0 or reading < 0 or (hanging and reading > body):
        raise InputError("the reading must lie between 0 and body weight", fix="give both in one unit")
    return 100 * ((body - reading) if hanging else reading) / body
