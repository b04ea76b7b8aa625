"""Figures held against published values, worked examples and scipy; the source stands beside each check."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq, fsolve

from assistant.errors import InputError
from assistant.figures import geometry, load, norms, poles, relief
from assistant.figures.numbers import numbers
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Question
from assistant.understanding.person import age_of, sex_of, stature_of
from assistant.units import inches, pounds
from assistant.words import tidy, words_of

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
    lambda: load.stepping_oxygen(2.0, 15), lambda: load.reps_at(20), lambda: poles.cane(400),
    lambda: geometry.step_knee(170, 90), lambda: geometry.slope(10, 0), lambda: relief.support_share(90, 80, True),
    lambda: geometry.split_squat(170, 60), lambda: geometry.seat(10, 120),
])  # fmt: skip
def test_impossible_input_is_refused_with_a_reason(call: object) -> None:
    with pytest.raises(InputError) as error:
        call()  # type: ignore[operator]
    assert error.value.what and error.value.fix


# -- geometry ------------------------------------------------------------------------------------------------------


def test_cane_length() -> None:
    """Kumar 1995 (Arch Phys Med Rehabil 76:1173): 0.45 x stature + 8.7 cm; 177.8 cm gives 88.7 cm."""
    assert poles.cane(177.8) == pytest.approx(88.7, abs=0.05)


def test_walking_pole_rule() -> None:
    """Published first setting 0.68 x stature, advice from 0.66 to 0.70."""
    fit = poles.walking_pole(170)
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
    fit = poles.step_up_pole(170, 15.24)
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


def test_stay_independent_weights() -> None:
    """Rubenstein 2011 (J Safety Res 42:493): 12 items, 14 points; fell, worried and pushes up is 4."""
    weights = norms.STAY_INDEPENDENT
    assert (len(weights), sum(weights.values())) == (12, 14)
    assert weights["fell"] + weights["worried"] + weights["pushes"] == 4


def test_falls_in_parkinsons_points() -> None:
    """Paul 2013 (Mov Disord 28:655): fall 6, freezing 3, slow walking 2."""
    assert sum(norms.PARKINSONS_FALLS.values()) == 11


@pytest.mark.parametrize(("sex", "age", "stature", "bmi", "metres"), [
    ("male", 68, 175, 25, 659), ("female", 72, 160, 25, 597), ("male", 70, 175, 25, 647.6),
])  # fmt: skip
def test_expected_six_minute_walk(
    rulebase: Rulebase, sex: str, age: float, stature: float, bmi: float, metres: float
) -> None:
    """Jenkins 2009 (Physiother Theory Pract 25:516) regression equations."""
    row = next(r for r in rulebase.knowledge.tables["six-minute-walk-expected"].rows if r.sex == sex)
    assert norms.walk_expected(row, age, stature, bmi) == pytest.approx(metres, abs=0.6)
    with pytest.raises(InputError):
        norms.walk_expected(row, 20, stature, bmi)


@pytest.mark.parametrize(("before", "after", "smallest", "timed", "real"), [
    (15.0, 12.0, 2.5, True, True), (13.0, 11.5, 2.5, True, False),  # Goldberg 2012, five chair stands
    (14.0, 12.0, 3.5, True, False), (16.0, 12.0, 3.5, True, True),  # Huang 2011, TUG in Parkinson's
    (9, 12, 3, False, True), (11, 13, 3, False, False),  # Gill 2022, 30 s chair stand
    (11.9, 10.4, 1.1, True, True), (10.4, 9.7, 1.1, True, False),  # Alghadir 2015, TUG in knee osteoarthritis
])  # fmt: skip
def test_real_change(before: float, after: float, smallest: float, timed: bool, real: bool) -> None:
    assert norms.is_real(before, after, smallest, timed) is real


@pytest.mark.parametrize(("supports", "score"), [((1, 2, 0, 1), 6.5), ((0, 1, 1, 0), 8.5), ((3, 5, 1, 0), 1.5)])
def test_sitting_rising_worked_examples(supports: tuple[float, float, float, float], score: float) -> None:
    """de Brito 2012: one hand down, two supports and a wobble up 6.5; unable to rise scores 0 for that half."""
    assert norms.sitting_rising(*supports) == score


@given(st.integers(0, 5), st.integers(0, 5), st.integers(0, 4), st.integers(0, 4))
def test_sitting_rising_stays_within_its_scale(down: int, up: int, wobbles_down: int, wobbles_up: int) -> None:
    score = norms.sitting_rising(down, up, wobbles_down, wobbles_up)
    assert 0 <= score <= 10
    assert norms.sitting_rising(down + 1, up, wobbles_down, wobbles_up) <= score


@given(st.floats(3, 60), st.floats(2, 6))
def test_slower_walks_score_no_more_points(seconds: float, metres: float) -> None:
    assert norms.sppb_gait(seconds + 1, metres) <= norms.sppb_gait(seconds, metres)
    assert norms.sppb_chairs(seconds + 1) <= norms.sppb_chairs(seconds)


# -- support, friction, lumber, minutes --------------------------------------------------------------------------------


@pytest.mark.parametrize(("friction", "degrees"), [(0.3, 16.7), (0.5, 26.6), (0.6, 31.0), (0.8, 38.7)])
def test_tip_angle(friction: float, degrees: float) -> None:
    """Coulomb friction under an axial load: tan(tilt) <= mu."""
    assert geometry.tip_tilt(friction) == pytest.approx(degrees, abs=0.05)
    assert geometry.friction_for(geometry.tip_tilt(friction)) == pytest.approx(friction)


def test_band_relief() -> None:
    """Worked example of our notes: 8 kg at 15 degrees from vertical, 70 kg client: 11.0 percent."""
    assert relief.band_relief(8, 70, 15) == pytest.approx(11.0, abs=0.05)


@given(st.floats(1, 40), st.floats(50, 120), st.floats(0, 60))
def test_a_slanting_band_helps_less(pull: float, body: float, angle: float) -> None:
    assert relief.band_relief(pull, body, angle + 5) < relief.band_relief(pull, body, angle)


def test_lumber() -> None:
    """PS 20 American Softwood Lumber Standard: a 2x4 dresses to 1.5 x 3.5 in, a 2x8 to 1.5 x 7.25 in."""
    assert geometry.lumber_stack(2, 2, 4) == 3.0
    assert geometry.lumber_stack(3, 2, 4) == 4.5
    assert geometry.lumber_stack(1, 2, 8, flat=False) == 7.25


def test_squat_pole_against_its_equation() -> None:
    """L_min = 0.632 H - R cos 20, L_max = 0.632 H - D - R cos 110, D = 0.48 H - seat (170 cm, 45 cm seat)."""
    fit = poles.squat_pole(170, 45)
    arm, drop = 0.189 * 170, 0.48 * 170 - 45
    low, high = 0.632 * 170 - arm * math.cos(math.radians(20)), 0.632 * 170 - drop - arm * math.cos(math.radians(110))
    assert sorted((low, high)) == pytest.approx([fit.low - 5, fit.high - 5])


@given(st.floats(140, 200), st.floats(35, 55))
def test_a_lower_seat_needs_a_shorter_pole(stature: float, seat: float) -> None:
    assert poles.squat_pole(stature, seat).length > poles.squat_pole(stature, seat - 2).length


def test_vigorous_minutes_count_double() -> None:
    """WHO 2020: 75 vigorous minutes equal 150 moderate ones, or a mix."""
    assert load.moderate_minutes(0, 75) == 150
    assert load.moderate_minutes(60, 40) == 140


def test_karvonen_with_the_older_maximum() -> None:
    """Published example: 65 years, resting 70, 220 - age: 50 and 75 percent give 113 and 134."""
    maximum = load.fox(65)
    assert [load.karvonen(maximum, 70, p) for p in (50, 75)] == pytest.approx([113, 134], abs=0.5)


def test_walking_uphill() -> None:
    """Bushman 2020: 2.5 mph (67 m/min) at 3 percent costs 13.8 mL/kg/min."""
    assert load.walking_oxygen(67, 0.03) == pytest.approx(13.8, abs=0.05)


def test_reps_in_reserve() -> None:
    """Zourdos 2016 (J Strength Cond Res 30:267): RPE 8 leaves two repetitions, RPE 10 none."""
    assert [load.reserve_from_effort(r) for r in (7, 8, 10)] == [3, 2, 0]


@given(st.floats(1, 200))
def test_the_next_load_is_heavier_by_two_to_ten_percent(weight: float) -> None:
    low, high = load.next_load(weight)
    assert weight < low < high <= weight * 1.1000001


@pytest.mark.parametrize("call", [
    lambda: geometry.tip_tilt(0), lambda: geometry.friction_for(80), lambda: relief.band_relief(90, 70), lambda: geometry.lumber_stack(2, 3, 4),
    lambda: geometry.step_work(5, 20), lambda: poles.squat_pole(170, 100), lambda: load.fox(5), lambda: load.reserve_from_effort(2),
    lambda: load.moderate_minutes(-1, 0), lambda: load.next_load(0), lambda: load.percent_for(40), lambda: load.walking_oxygen(5),
    lambda: poles.walking_pole(60), lambda: geometry.pad_for_knee(170, 5, rear=False),
])  # fmt: skip
def test_more_impossible_input_is_refused(call: object) -> None:
    with pytest.raises(InputError) as error:
        call()  # type: ignore[operator]
    assert error.value.what and error.value.fix


# -- reading people and numbers ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "age", "sex"), [
    ("M62 30s STS 13", 62, "male"), ("67F tug", 67, "female"), ("woman 67, chair stands 10", 67, "female"), ("women 75-79", 75, "female"),
    ("he's 72. worse?", 72, "male"), ("fella of 76, retired", 76, "male"), ("92 yo lady", 92, "female"), ("man 70 yrs 175cm", 70, "male"),
    ("max hr at 72: 220-age", 72, ""), ("in your seventies", 75, ""), ("lady in her 80s", 85, "female"), ("age 70, rests at 64", 70, ""),
    ("chap of 72. low?", 72, "male"), ("walked 62 m in 60 s", None, ""), ("she did 12 in 30 s", None, "female"), ("client 80kg", None, ""),
])  # fmt: skip
def test_age_and_sex_as_typed(text: str, age: float | None, sex: str) -> None:
    words = [w.text for w in words_of(text)]
    assert (age_of(tidy(text)), sex_of(words)) == (age, sex)


@pytest.mark.parametrize(("text", "cm"), [
    ("wee gran, 5'1. walking cane", 154.9), ("he's 170 tall", 170), ("five foot two lady", 157.5), ("5ft4 woman", 162.6), ("1m72 client", 172),
    ("66 in tall", 167.6), ("someone 1.68 m", 168), ("5 foot 10 man", 177.8),
])  # fmt: skip
def test_stature_as_typed(text: str, cm: float) -> None:
    found = stature_of(tidy(text))
    assert found is not None and found[0] == pytest.approx(cm, abs=0.05)


def _numbers(text: str) -> list[tuple[float, str]]:
    return [(n.value, n.unit) for n in numbers(Question(text=text, words=words_of(text)))]


@pytest.mark.parametrize(("text", "found"), [
    ("45kg x8", [(45, "kg"), (8, "x")]), ("eleven full stands", [(11, "")]), ("twenty five steps", [(25, "steps")]),
    ("11 st 7", [(11.5, "stone")]), ("5 ft 6 in", [(5.5, "ft")]), ("16.0 in jan, 14.1 now", [(16, ""), (14.1, "")]), ("6 in step", [(6, "in")]),
    ("a 5 pct hill", [(5, "%")]), ("3 x 25", [(3, ""), (25, "")]), ("70 %", [(70, "%")]), ("one of them", []),
])  # fmt: skip
def test_numbers_as_typed(text: str, found: list[tuple[float, str]]) -> None:
    assert _numbers(text) == found


@given(st.integers(2, 99))
def test_numbers_in_words_equal_numbers_in_digits(value: int) -> None:
    ones = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen"
    small = [*ones.split(), "eighteen", "nineteen"]
    tens = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
    word = (
        small[value] if value < 20 else " ".join([tens[value // 10 - 2], *([small[value % 10]] if value % 10 else [])])
    )
    assert _numbers(f"{word} stands") == [(value, "stands")]
