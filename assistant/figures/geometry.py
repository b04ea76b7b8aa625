"""Set-up geometry: split stance, steps, ramps, seats and support. Lengths in cm, angles in degrees.

Planar, static and built on average proportions of stature (Drillis & Contini 1966, as tabled by Winter): a first
setting, good to about 3 cm and 10 degrees for a client who was not measured.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.errors import InputError

THIGH, SHANK, ANKLE, HIP, SHOULDER, UPPER_ARM, FOREARM = 0.245, 0.246, 0.039, 0.530, 0.818, 0.186, 0.189
KNEE_CENTRE, REAR_ANKLE, FRONT_FOOT = 0.035, 0.083, 0.15
GRIP_TO_TOP = 5.0
HIP_OVER_SEAT, CREASE_SHARE = 0.05, 0.9
STATURE_RANGE = (130.0, 210.0)
STANCE = 0.486  # ankle to ankle, so that front shin and rear thigh are both upright with the knee on the floor


def check_stature(stature: float) -> None:
    """Raise InputError for a stature (cm) outside what the proportions cover."""
    low, high = STATURE_RANGE
    if not low <= stature <= high:
        raise InputError(
            f"a stature of {stature:g} cm is outside {low:g} to {high:g} cm", fix="check the number and unit"
        )


def check_step(step: float) -> None:
    """Raise InputError for a step height (cm) outside 0 to 45."""
    if not 0 < step <= 45:
        raise InputError(f"a step of {step:g} cm is outside 0 to 45 cm", fix="check the unit")


def cos(degrees: float) -> float:
    """Cosine of an angle in degrees."""
    return math.cos(math.radians(degrees))


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


def _split(stature: float, pad: float, rise: float, stance: float | None) -> tuple[float, float, float, float]:
    thigh, shank, ankle = THIGH * stature, SHANK * stature, ANKLE * stature
    centre, rear = KNEE_CENTRE * stature, REAR_ANKLE * stature
    hip_x = -math.sqrt(thigh**2 - (ankle + shank - centre - thigh) ** 2)
    rear_x = hip_x - math.sqrt(shank**2 - (rear - centre) ** 2) if stance is None else -stance
    knee_y = pad + centre
    drop_of_shin = knee_y - rear - rise
    if abs(drop_of_shin) > shank:
        raise InputError(
            "that pad and ramp do not fit this stature", fix="use a pad of 0 to 30 cm and a ramp of 0 to 20 cm"
        )
    knee_x = rear_x + math.sqrt(shank**2 - drop_of_shin**2)
    if abs(hip_x - knee_x) > thigh or abs(hip_x - rear_x) > thigh + shank:
        raise InputError(
            f"a stance of {-rear_x:g} cm, ankle to ankle, does not fit this stature",
            fix=f"about {STANCE * stature:.0f} cm is usual",
        )
    hip_y = knee_y + math.sqrt(thigh**2 - (hip_x - knee_x) ** 2)
    front = _bend(math.hypot(hip_x, hip_y - ankle), thigh, shank)
    back = _bend(math.hypot(hip_x - rear_x, hip_y - rear - rise), thigh, shank)
    straight = thigh + shank
    start = min(ankle + math.sqrt(straight**2 - hip_x**2), rear + rise + math.sqrt(straight**2 - (hip_x - rear_x) ** 2))
    return start, start - hip_y, front, back


def split_squat(stature: float, pad: float, rise: float = 0.0, stance: float | None = None) -> Split:
    """Bottom position with the rear knee on a pad and the rear foot raised by `rise`.

    `stance` is ankle to ankle (0.486 of stature when not given); it moves the rear foot and leaves the hips where they
    are over the front foot. Raises InputError outside the model.
    """
    check_stature(stature)
    if not 0 <= pad <= 30 or not 0 <= rise <= 25:
        raise InputError("pad or ramp is outside what the model covers", fix="pad 0 to 30 cm, ramp 0 to 25 cm")
    if stance is not None and not 0.3 * stature <= stance <= 0.65 * stature:
        raise InputError(
            f"a stance of {stance:g} cm, ankle to ankle, is outside 0.3 to 0.65 of the stature",
            fix=f"about {STANCE * stature:.0f} cm is usual",
        )
    start, drop, front, back = _split(stature, pad, rise, stance)
    return Split(drop, front, back, drop / _split(stature, 0.0, rise, stance)[1], start)


def pad_for_knee(stature: float, angle: float, rear: bool, rise: float = 0.0, stance: float | None = None) -> float:
    """Thinnest pad (cm) that keeps the front (or rear) knee within a bend of `angle` degrees, by bisection."""
    check_stature(stature)

    def bend(pad: float) -> float:
        found = split_squat(stature, pad, rise, stance)
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


def step_angles(stature: float, step: float) -> tuple[float, float]:
    """Lead-knee and lead-hip bend at the start of a step-up: foot 0.15 of stature ahead, trail leg straight, trunk upright.

    The hip angle is that of the thigh with the upright trunk; each degree of forward lean adds one.
    """
    check_stature(stature)
    check_step(step)
    thigh, shank = THIGH * stature, SHANK * stature
    ahead, down = FRONT_FOOT * stature, (HIP - ANKLE) * stature - step
    distance = math.hypot(ahead, down)
    at_hip = (thigh**2 + distance**2 - shank**2) / (2 * thigh * distance)
    hip = math.degrees(math.atan2(ahead, down) + math.acos(max(-1.0, min(1.0, at_hip))))
    return _bend(distance, thigh, shank), hip


def step_knee(stature: float, step: float) -> float:
    """Lead-knee bend at the start of a step-up, the first of `step_angles`."""
    return step_angles(stature, step)[0]


# Highest risers of homes: IRC R311.7.5 (7.75 in) and Approved Document K (22 cm, private stairs).
RISER_US, RISER_UK = 7.75 * 2.54, 22.0


def stair_rungs(start: float, riser: float = RISER_US, rung: float = 5.08) -> list[float]:
    """Step heights (cm) from the next one to the first that clears a stair riser, `rung` at a time."""
    check_step(start)
    if not 10 <= riser <= 30 or not 1 <= rung <= 10:
        raise InputError("a stair riser lies between 10 and 30 cm, a rung between 1 and 10 cm", fix="check the unit")
    heights = []
    while start < riser:
        start += rung
        heights.append(start)
    return heights


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
    check_stature(stature)
    return (SHANK + ANKLE) * stature * CREASE_SHARE


@dataclass(frozen=True)
class Rise:
    """Rising from a seat: hip travel to standing (cm) and knee bend at the seat (degrees, shin upright)."""

    travel: float
    knee: float


def seat_drop(stature: float, seat_height: float) -> float:
    """Hip travel from standing to a seat (hip joint 0.05 of stature above it) in cm."""
    check_stature(stature)
    if not 20 <= seat_height <= 70:
        raise InputError(f"a seat of {seat_height:g} cm is outside 20 to 70 cm", fix="check the unit")
    drop = HIP * stature - seat_height - HIP_OVER_SEAT * stature
    if drop <= 0:
        raise InputError("that seat is as high as the hips", fix="give a lower seat")
    return drop


def rise_from(stature: float, seat_height: float) -> Rise:
    """Hip travel and knee bend on leaving a seat, the shin upright; raises InputError outside 20 to 70 cm."""
    travel = seat_drop(stature, seat_height)
    above = seat_height + (HIP_OVER_SEAT - SHANK - ANKLE) * stature
    slant = max(-1.0, min(1.0, above / (THIGH * stature)))
    return Rise(travel, 90.0 - math.degrees(math.asin(slant)))


def stature_from_crease(knee_height: float) -> float:
    """Stature that goes with a floor to knee crease height, the inverse of `knee_crease`."""
    return knee_height / ((SHANK + ANKLE) * CREASE_SHARE)


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


# Nominal to dressed size of US softwood, inches (PS 20).
DRESSED = {1: 0.75, 2: 1.5, 4: 3.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}


def lumber_stack(count: float, thick: int, wide: int, flat: bool = True) -> float:
    """Height in inches of a stack of dressed boards (2, 4 for a 2x4), laid flat or on edge."""
    if thick not in DRESSED or wide not in DRESSED or not 1 <= count <= 12:
        raise InputError(
            "lumber sizes run from 1x to 4x, 2 to 12 in wide, one to twelve boards", fix="measure the stack"
        )
    return count * (DRESSED[thick] if flat else DRESSED[wide])
