"""Loads, effort and heart rate. Masses in any one unit, heart rates in beats a minute, oxygen in mL/kg/min."""

from __future__ import annotations

import itertools

from assistant.errors import InputError

# NSCA training load chart: percent of one-repetition maximum by repetitions.
CHART = {1: 100, 2: 95, 3: 93, 4: 90, 5: 87, 6: 85, 7: 83, 8: 80, 9: 77, 10: 75, 11: 73, 12: 70, 15: 65}
MAX_REPS = 15
NEXT_LOW, NEXT_HIGH = 2.0, 10.0
POWER_LOW, POWER_HIGH = 40.0, 60.0


def epley(load: float, reps: float) -> float:
    """One-repetition maximum by Epley 1985: load x (1 + reps / 30)."""
    _check_reps(reps)
    return load if reps == 1 else load * (1 + reps / 30)


def brzycki(load: float, reps: float) -> float:
    """One-repetition maximum by Brzycki 1993: load x 36 / (37 - reps)."""
    _check_reps(reps)
    return load * 36 / (37 - reps)


def _check_reps(reps: float) -> None:
    if not 1 <= reps <= MAX_REPS:
        raise InputError(
            f"one-repetition maximum formulas hold for 1 to {MAX_REPS} reps, not {reps:g}",
            fix="use a set of 10 or fewer",
        )


def next_load(load: float) -> tuple[float, float]:
    """Load raised by 2 to 10 percent (ACSM 2009)."""
    if not 0 < load <= 500:
        raise InputError(f"a load of {load:g} is outside 0 to 500", fix="check the number and unit")
    return load * (1 + NEXT_LOW / 100), load * (1 + NEXT_HIGH / 100)


def reps_at(percent: float) -> float:
    """Repetitions usually possible at a percentage of maximum, by the NSCA chart, read between its rows."""
    if not 65 <= percent <= 100:
        raise InputError(
            f"the load chart runs from 65 to 100 percent, not {percent:g}", fix="use a percentage in that range"
        )
    rows = sorted(CHART.items(), key=lambda row: -row[1])
    for (reps_a, share_a), (reps_b, share_b) in itertools.pairwise(rows):
        if share_b <= percent <= share_a:
            return reps_a + (share_a - percent) / (share_a - share_b) * (reps_b - reps_a)
    return float(MAX_REPS)


def percent_for(reps: int) -> float:
    """Percent of maximum usually possible for a number of repetitions, by the NSCA chart."""
    if not 1 <= reps <= MAX_REPS:
        raise InputError(f"the load chart runs from 1 to {MAX_REPS} reps, not {reps}", fix="use a number in that range")
    below = max(r for r in CHART if r <= reps)
    above = min(r for r in CHART if r >= reps)
    if below == above:
        return float(CHART[below])
    return CHART[below] + (reps - below) / (above - below) * (CHART[above] - CHART[below])


def tanaka(age: float) -> float:
    """Age-predicted maximal heart rate, Tanaka et al. 2001: 208 - 0.7 x age."""
    if not 18 <= age <= 105:
        raise InputError(f"an age of {age:g} is outside 18 to 105", fix="check the age")
    return 208 - 0.7 * age


def fox(age: float) -> float:
    """The older rule, 220 - age, shown for comparison."""
    if not 18 <= age <= 105:
        raise InputError(f"an age of {age:g} is outside 18 to 105", fix="check the age")
    return 220 - age


def karvonen(maximum: float, resting: float, percent: float) -> float:
    """Heart-rate reserve target (Karvonen 1957): resting + share x (maximum - resting)."""
    if not 30 <= resting <= 120 or resting >= maximum:
        raise InputError(f"a resting pulse of {resting:g} is outside 30 to 120", fix="count it again at rest")
    return resting + percent / 100 * (maximum - resting)


def reserve_from_effort(rpe: float) -> float:
    """Repetitions in reserve for a rating of the 1 to 10 lifting scale: 10 - rating (Zourdos 2016)."""
    if not 5 <= rpe <= 10:
        raise InputError(
            f"the lifting scale ties reps in reserve to ratings of 5 to 10, not {rpe:g}", fix="rate 5 to 10"
        )
    return 10 - rpe


def moderate_minutes(moderate: float, vigorous: float) -> float:
    """Minutes a week in moderate minutes; a vigorous minute counts double (WHO 2020)."""
    if moderate < 0 or vigorous < 0 or moderate + vigorous > 7 * 24 * 60:
        raise InputError("the minutes do not fit into a week", fix="check minutes and days")
    return moderate + 2 * vigorous


def stepping_oxygen(step_m: float, rate: float) -> float:
    """ACSM stepping: 0.2 x rate + 1.33 x 1.8 x height x rate + 3.5; one step is a full up and down.

    Published for heights of 4 to 40 cm (given in metres) at 12 to 30 steps a minute; InputError outside.
    """
    if not 0.04 <= step_m <= 0.4 or not 12 <= rate <= 30:
        raise InputError(
            "the stepping equation holds for steps of 4 to 40 cm at 12 to 30 a minute", fix="go by the talk test there"
        )
    return 0.2 * rate + 1.33 * 1.8 * step_m * rate + 3.5


def walking_oxygen(metres_a_minute: float, grade: float = 0.0) -> float:
    """ACSM walking: 3.5 + 0.1 x speed + 1.8 x speed x grade (share); surest from 50 to 100 m/min, refused past 30 to 135."""
    if not 30 <= metres_a_minute <= 135:
        raise InputError("the walking equation covers 30 to 135 m a minute", fix="check the speed")
    return 3.5 + 0.1 * metres_a_minute + 1.8 * metres_a_minute * grade


def mets(oxygen: float) -> float:
    """Oxygen cost as multiples of 3.5 mL/kg/min."""
    return oxygen / 3.5


def jump_percent(old: float, new: float) -> float:
    """Percent by which a load goes up."""
    if old <= 0:
        raise InputError("the old load must be above 0", fix="give both loads in one unit")
    return 100 * (new - old) / old
