"""Figures held against published values, worked examples and scipy; the source stands beside each check."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, fsolve

from assistant.errors import InputError
from assistant.figures import geometry, load, norms
from assistant.units import inches, pounds

# -- loads and heart rate ------------------------------------------------------------------------------------------


def test_epley_and_brzycki_agree_at_ten_reps() -> None:
    """Epley 1985 (poundage chart): w(1 + r/30); Brzycki 1993 (JOPERD 64(1)): 36w/(37 - r). Both give 80 for 60 x 10."""
    assert load.epley(60, 10) == pytest.approx(80)
    assert load.brzycki(60, 10) == pytest.approx(80)


def test_tanaka_and_karvonen_worked_example() -> None:
    """Tanaka 2001 (JACC 37:153): 208 - 0.7 x 65 = 162.5; Karvonen 1957: 40 and 59 % of reserve at rest 70 = 107, 125."""
    maximum = load.tanaka(65)
    assert maximum == pytest.approx(162.5)
    assert load.karvonen(maximum, 70, 40) == pytest.approx(107, abs=0.5)
    assert load.karvonen(maximum, 70, 59) == pytest.approx(124.6, abs=0.5)


def test_stepping_equation() -> None:
    """ACSM metabolic equations (GETP10 table 6.3): 15 in at 24 a minute 30.2 mL/kg/min; 4 in at 12, 2.5 METs; 8 at 15, 3.9."""
    assert load.stepping_oxygen(0.381, 24) == pytest.approx(30.2, abs=0.1)
    assert load.mets(load.stepping_oxygen(0.1016, 12)) == pytest.approx(2.5, abs=0.05)
    assert load.mets(load.stepping_oxygen(0.2032, 15)) == pytest.approx(3.9, abs=0.1)


def test_walking_equation() -> None:
    """ACSM walking equation (Bushman 2020, ACSM Health Fit J 24(3)): 80.4 m/min on the level costs 11.5 mL/kg/min."""
    assert load.walking_oxygen(80.4) == pytest.approx(11.54, abs=0.01)


@pytest.mark.parametrize(("percent", "reps"), [(100, 1), (95, 2), (90, 4), (85, 6), (80, 8), (75, 10)])
def test_load_chart(percent: float, reps: float) -> None:
    """NSCA training load chart."""
    assert load.reps_at(percent) == pytest.approx(reps)
    assert load.percent_for(int(reps)) == pytest.approx(percent)


def test_next_load_is_two_to_ten_percent() -> None:
    """ACSM 2009 position stand (Ratamess et al., MSSE 41:687): 2 to 10 %."""
    assert load.next_load(24) == pytest.approx((24.48, 26.4))


@given(st.floats(1, 300), st.integers(1, 14))
def test_more_reps_mean_a_higher_maximum(weight: float, reps: int) -> None:
    assert load.epley(weight, reps + 1) > load.epley(weight, reps) or reps == 1
    assert load.brzycki(weight, reps + 1) > load.brzycki(weight, reps)


@pytest.mark.parametrize("call", [
    lambda: load.epley(50, 40), lambda: load.tanaka(200), lambda: load.karvonen(160, 200, 50),
    lambda: load.stepping_oxygen(2.0, 15), lambda: load.reps_at(20), lambda: geometry.cane(400),
    lambda: geometry.step_knee(170, 90), lambda: geometry.slope(10, 0), lambda: geometry.support_share(90, 80, True),
    lambda: geometry.split_squat(170, 60), lambda: geometry.seat(10, 120),
])  # fmt: skip
def test_impossible_input_is_refused_with_a_reason(call: object) -> None:
    with pytest.raises(InputError) as error:
        call()  # type: ignore[operator]
    assert error.value.what and error.value.fix


# -- geometry ------------------------------------------------------------------------------------------------------


def test_cane_length() -> None:
    """Kumar 1995 (Arch Phys Med Rehabil 76:1173): 0.45 x stature + 8.7 cm; 177.8 cm gives 88.7 cm."""
    assert geometry.cane(177.8) == pytest.approx(88.7, abs=0.05)


def test_walking_pole_rule() -> None:
    """Published first setting 0.68 x stature, advice from 0.66 to 0.70."""
    fit = geometry.walking_pole(170)
    assert (fit.low, fit.length, fit.high) == pytest.approx((112.2, 115.6, 119.0))


def _scipy_posture(stature: float, pad: float, rise: float) -> tuple[float, float, float]:
    """The same split squat as a five-unknown loop closure, solved by scipy."""
    thigh, shank, ankle = 0.245 * stature, 0.246 * stature, 0.039 * stature
    centre, rear = 0.035 * stature, 0.083 * stature
    hip_x = -math.sqrt(thigh**2 - (ankle + shank - centre - thigh) ** 2)
    rear_x = hip_x - math.sqrt(shank**2 - (rear - centre) ** 2)
    rear += rise

    def loop(q: np.ndarray[tuple[int], np.dtype[np.float64]]) -> list[float]:
        y, fs, ft, rs, rt = q
        return [
            shank * np.cos(fs) + thigh * np.cos(ft) - hip_x, ankle + shank * np.sin(fs) + thigh * np.sin(ft) - y,
            rear_x + shank * np.cos(rs) + thigh * np.cos(rt) - hip_x,
            rear + shank * np.sin(rs) + thigh * np.sin(rt) - y, rear + shank * np.sin(rs) - (pad + centre),
        ]  # fmt: skip

    y, fs, ft, rs, rt = fsolve(loop, [0.35 * stature, 1.48, 2.62, 0.0, 1.48])
    straight = thigh + shank
    start = min(ankle + math.sqrt(straight**2 - hip_x**2), rear + math.sqrt(straight**2 - (hip_x - rear_x) ** 2))
    return float(start - y), float(np.degrees(ft - fs)), float(np.degrees(rt - rs))


@pytest.mark.parametrize("stature", [150, 160, 170, 180, 190])
@pytest.mark.parametrize("pad", [0, 2, 4, 6, 8])
@pytest.mark.parametrize("rise", [0, 4])
def test_split_squat_against_scipy(stature: float, pad: float, rise: float) -> None:
    drop, front, rear = _scipy_posture(stature, pad * 2.54, rise * 2.54)
    found = geometry.split_squat(stature, pad * 2.54, rise * 2.54)
    assert (found.drop, found.front_knee, found.rear_knee) == pytest.approx((drop, front, rear), abs=1e-4)


def test_pad_for_a_knee_angle_against_brentq() -> None:
    root = brentq(lambda pad: geometry.split_squat(170, pad).front_knee - 60, 0, 30)
    assert geometry.pad_for_knee(170, 60, rear=False) == pytest.approx(root, abs=1e-6)


def test_step_up_pole_keeps_the_elbow_in_its_band() -> None:
    """Worked example of our derivation: 170 cm, 6 in step: grip 92.5 to 113.0 cm, middle 82 to 52 degrees."""
    fit = geometry.step_up_pole(170, 15.24)
    assert (fit.low - 5, fit.high - 5) == pytest.approx((92.5, 113.0), abs=0.1)
    assert (fit.elbow_bottom, fit.elbow_top) == pytest.approx((82, 52), abs=1)


def test_rear_foot_rise_bends_the_rear_knee_and_leaves_the_drop() -> None:
    flat, raised = geometry.split_squat(170, 10.16), geometry.split_squat(170, 10.16, 10.16)
    assert raised.drop == pytest.approx(flat.drop, abs=0.3)
    assert raised.rear_knee - flat.rear_knee == pytest.approx(13, abs=1)


@given(st.floats(140, 200), st.floats(10, 30))
def test_a_higher_step_bends_the_knee_more(stature: float, step: float) -> None:
    assert geometry.step_knee(stature, step + 2) > geometry.step_knee(stature, step)


@given(st.floats(140, 200), st.floats(0, 18))
def test_a_thinner_pad_means_a_deeper_squat(stature: float, pad: float) -> None:
    assert geometry.split_squat(stature, pad).drop > geometry.split_squat(stature, pad + 2).drop


@given(st.floats(0.1, 500))
def test_units_round_trip(value: float) -> None:
    assert inches(value) * 2.54 == pytest.approx(value)
    assert pounds(value) * 0.45359237 == pytest.approx(value)


def test_ramp_angle() -> None:
    """4 in over 12 in is atan(4/12) = 18.4 degrees."""
    assert geometry.slope(4, 12) == pytest.approx(18.43, abs=0.01)


# -- screens -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stances", "points"), [((10, 10, 10), 4), ((10, 10, 9.9), 3), ((10, 10, 2.5), 2), ((10, 4, 0), 1), ((5, 0, 0), 0)]
)
def test_sppb_balance(stances: tuple[float, float, float], points: int) -> None:
    """Guralnik 1994 (J Gerontol 49:M85)."""
    assert norms.sppb_balance(*stances) == points


@pytest.mark.parametrize(("seconds", "points"), [(4.81, 4), (4.82, 3), (6.20, 3), (6.21, 2), (8.70, 2), (8.71, 1)])
def test_sppb_gait(seconds: float, points: int) -> None:
    """Guralnik 1994, 4 m course."""
    assert norms.sppb_gait(seconds) == points


@pytest.mark.parametrize(("seconds", "points"), [(11.19, 4), (11.2, 3), (13.69, 3), (16.69, 2), (16.7, 1), (61, 0)])
def test_sppb_chairs(seconds: float, points: int) -> None:
    """Guralnik 1994."""
    assert norms.sppb_chairs(seconds) == points


def test_sitting_rising_score() -> None:
    """de Brito 2012 (Eur J Prev Cardiol 21:892): 5 + 5 less one per support, half per wobble."""
    assert norms.sitting_rising(4, 4) == 2
    assert norms.sitting_rising(0, 1, 0, 1) == 8.5
