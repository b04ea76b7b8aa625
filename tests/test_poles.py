"""Poles, bands, stances, seats and hands held against scipy, the tables of the derivation, and what physics says."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq, fsolve, linprog, minimize_scalar

from assistant.conversation import Assistant
from assistant.errors import InputError
from assistant.figures import geometry, hands, poles, posture, relief

STATURES = (150.0, 160.0, 170.0, 180.0, 190.0)


# -- the arm -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("stature", "low", "high", "bottom", "top"), [
    (160, [83, 88, 93], [106, 106, 106], [78, 82, 87], [57, 51, 44]),
    (170, [87, 92, 98], [113, 113, 113], [77, 82, 86], [57, 52, 46]),
    (180, [92, 97, 102], [120, 120, 120], [76, 81, 85], [58, 53, 47]),
])  # fmt: skip
def test_step_up_poles_of_the_derivation(
    stature: float, low: list[int], high: list[int], bottom: list[int], top: list[int]
) -> None:
    """Table C of our derivation (4, 6, 8 in; grip heights; elbow 20 to 100), computed there with brentq."""
    for number, step in enumerate((4, 6, 8)):
        fit = poles.step_up_pole(stature, step * 2.54)
        assert (fit.low - 5, fit.high - 5) == pytest.approx((low[number], high[number]), abs=0.6)
        assert (fit.elbow_bottom, fit.elbow_top) == pytest.approx((bottom[number], top[number]), abs=0.6)


@pytest.mark.parametrize(("stature", "pad", "low", "high", "start", "bottom"), [
    (160, 8, 62, 92, 63, 82), (160, 0, 62, 71, 38, 101), (170, 4, 66, 86, 51, 92), (170, 0, 66, 76, 38, 101),
    (180, 6, 70, 96, 56, 88), (180, 2, 70, 85, 45, 97),
])  # fmt: skip
def test_split_squat_poles_of_the_derivation(
    stature: float, pad: float, low: float, high: float, start: float, bottom: float
) -> None:
    """Table D of our derivation."""
    fit = poles.split_squat_pole(stature, pad * 2.54)
    assert (fit.low - 5, fit.high - 5) == pytest.approx((low, high), abs=0.6)
    assert (fit.elbow_top, fit.elbow_bottom) == pytest.approx((start, bottom), abs=0.6)


@pytest.mark.parametrize("stature", STATURES)
@pytest.mark.parametrize("step", [5.08, 10.16, 20.32, 30.0])
def test_the_band_of_pole_lengths_is_that_of_a_linear_programme(stature: float, step: float) -> None:
    """Longest and shortest grip with the cosine of the elbow's bend inside its band at both ends, by scipy's linprog."""
    arm = poles.arm_of(stature)
    rows, limits = [], []
    for change in (0.0, step):
        # cos 100 <= (elbow + change - grip) / forearm <= cos 20
        rows += [[1.0], [-1.0]]
        limits += [
            arm.elbow + change - arm.forearm * math.cos(math.radians(100)),
            arm.forearm * math.cos(math.radians(20)) - arm.elbow - change,
        ]
    fit = poles.step_up_pole(stature, step)
    ends = [linprog([sign], A_ub=rows, b_ub=limits, bounds=[(0, 300)]) for sign in (1.0, -1.0)]
    if fit.fits:
        assert [end.x[0] + 5 for end in ends] == pytest.approx([fit.low, fit.high], abs=1e-6)
    else:
        assert all(end.status == 2 for end in ends)  # infeasible


@pytest.mark.parametrize("stature", STATURES)
def test_the_walking_elbow_against_brentq(stature: float) -> None:
    """The grip at which the elbow bends 90 degrees is level with it."""
    root = brentq(lambda grip: poles.elbow(stature, grip) - 90.0, 0.5 * stature, 0.7 * stature)
    assert root == pytest.approx(poles.arm_of(stature).elbow, abs=1e-6)
    assert poles.standing_pole(poles.arm_of(stature)).length == pytest.approx(root + 5)


@pytest.mark.parametrize("ahead", [5.0, 15.0, 30.0])
@pytest.mark.parametrize("change", [-20.0, 0.0, 12.0])
def test_two_link_chain_against_fsolve(ahead: float, change: float) -> None:
    """Shoulder to grip by two segments: fsolve finds the swing and the bend that reach the same point."""
    arm = poles.arm_of(170)
    grip = 95.0
    found = poles.bend_ahead(arm, grip, ahead, change)

    def miss(q: list[float]) -> list[float]:
        swing, bend = q
        x = arm.upper * math.sin(swing) + arm.forearm * math.sin(swing + bend)
        down = arm.upper * math.cos(swing) + arm.forearm * math.cos(swing + bend)
        return [x - ahead, down - (arm.elbow + arm.upper + change - grip)]

    _, bend = fsolve(miss, [-0.2, 1.2])
    assert found == pytest.approx(abs(math.degrees(bend)), abs=1e-5)


def test_a_measured_arm_of_average_proportions_gives_the_lengths_from_stature() -> None:
    """Elbow 0.632 H and wrist 0.632 - 0.146 H (Drillis & Contini 1966 forearm) are the average arm itself."""
    arm = poles.arm_of(170, 0.632 * 170, (0.632 - 0.146) * 170)
    assert arm.forearm == pytest.approx(geometry.FOREARM * 170, abs=0.1)
    assert poles.step_up_pole(170, 15.24, arm).length == pytest.approx(poles.step_up_pole(170, 15.24).length, abs=0.05)


def test_measured_heights_go_before_stature() -> None:
    """Elbow 104 cm: the 90-degree grip is there, its handle top 5 cm above, whatever the stature says."""
    assert poles.standing_pole(poles.arm_of(170, 104.0)).length == 109.0
    assert poles.arm_of(None, 104.0).stature == pytest.approx(104 / 0.632)


@pytest.mark.parametrize(
    "heights", [(None, 60.0, None), (None, 104.0, 100.0), (None, 104.0, 60.0), (None, None, None), (90.0, None, None)]
)
def test_an_impossible_arm_is_refused_with_the_reason(heights: tuple[float | None, float | None, float | None]) -> None:
    with pytest.raises(InputError) as error:
        poles.arm_of(*heights)
    assert error.value.what and error.value.fix


def test_where_no_length_fits_the_bottom_is_favoured() -> None:
    """175 cm to a 35 cm seat: the hips travel 49 cm, the elbow's band allows 0.243 H = 42 cm (equation 18)."""
    fit = poles.squat_pole(175, 35)
    arm = poles.arm_of(175)
    assert not fit.fits and fit.elbow_bottom == pytest.approx(110)
    assert poles.bend(arm, fit.length - 5, -geometry.seat_drop(175, 35)) == pytest.approx(110)
    assert poles.squat_pole(175, 45).fits


@given(st.floats(140, 200), st.floats(2, 30))
def test_a_higher_step_wants_a_longer_pole(stature: float, step: float) -> None:
    low, high = poles.step_up_pole(stature, step), poles.step_up_pole(stature, step + 1)
    assume(high.fits)
    assert high.length > low.length


@given(st.floats(140, 200), st.floats(0.0, 18.0))
def test_a_thinner_pad_wants_a_shorter_pole(stature: float, pad: float) -> None:
    assert poles.split_squat_pole(stature, pad).length < poles.split_squat_pole(stature, pad + 2).length


@given(st.floats(140, 200), st.floats(1, 30))
def test_a_fit_keeps_the_elbow_inside_its_band_at_both_ends(stature: float, step: float) -> None:
    fit = poles.step_up_pole(stature, step)
    assume(fit.fits)
    for length in (fit.low, fit.length, fit.high):
        bends = [poles.bend(poles.arm_of(stature), length - 5, change) for change in (0.0, step)]
        assert all(20 - 1e-6 <= bend <= 100 + 1e-6 for bend in bends)


@given(st.floats(60, 150))
def test_marks_are_the_nearest_ones(length: float) -> None:
    cm, half = poles.marks(length)
    assert abs(cm - length) <= 0.5 and abs(half * 2.54 - length) <= 0.635 + 1e-9 and (2 * half) % 1 == 0


# -- stance, step, stairs, seat ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("change", "pad", "found"), [
    (10.0, 8, (12.5, 58, 58)), (10.0, 0, (32.6, 93, 87)), (-10.0, 8, (12.0, 57, 86)), (-10.0, 0, (32.6, 93, 115)),
])  # fmt: skip
def test_another_stance_length_as_in_the_derivation(
    change: float, pad: float, found: tuple[float, float, float]
) -> None:
    """The sensitivity table of our derivation (170 cm, flat): stance 10 cm longer and shorter than 82.7 cm."""
    split = geometry.split_squat(170, pad * 2.54, stance=82.66 + change)
    assert split.drop == pytest.approx(found[0], abs=0.1)
    assert (split.front_knee, split.rear_knee) == pytest.approx(found[1:], abs=0.6)


@given(st.floats(145, 195), st.floats(2, 20))
def test_the_usual_stance_is_the_one_taken(stature: float, pad: float) -> None:
    usual = geometry.split_squat(stature, pad)
    told = geometry.split_squat(stature, pad, stance=geometry.STANCE * stature)
    assert (told.drop, told.front_knee, told.rear_knee) == pytest.approx(
        (usual.drop, usual.front_knee, usual.rear_knee), abs=0.6
    )


@given(st.floats(150, 190), st.floats(0.44, 0.54), st.floats(2, 18))
def test_a_longer_stance_bends_the_rear_knee_less(stature: float, share: float, pad: float) -> None:
    short = geometry.split_squat(stature, pad, stance=share * stature)
    long = geometry.split_squat(stature, pad, stance=(share + 0.02) * stature)
    assert long.rear_knee < short.rear_knee


@pytest.mark.parametrize("stance", [10.0, 40.0, 130.0])
def test_a_stance_that_cannot_be_stood_is_refused(stance: float) -> None:
    with pytest.raises(InputError):
        geometry.split_squat(170, 10, stance=stance)


@pytest.mark.parametrize("stature", STATURES)
@pytest.mark.parametrize("step", [10.16, 15.24, 20.32, 30.48])
def test_knee_and_hip_on_a_step_against_minimisation(stature: float, step: float) -> None:
    """The knee lies where the shank ends on the ankle: the hip angle that minimises the miss, by scipy."""
    thigh, shank = geometry.THIGH * stature, geometry.SHANK * stature
    hip_y, ankle = geometry.HIP * stature, (geometry.FRONT_FOOT * stature, step + geometry.ANKLE * stature)

    def miss(flexion: float) -> float:
        knee = thigh * math.sin(flexion), hip_y - thigh * math.cos(flexion)
        return (math.dist(knee, ankle) - shank) ** 2

    best = minimize_scalar(
        miss, bounds=(math.atan2(ankle[0], hip_y - ankle[1]), 2.4), method="bounded", options={"xatol": 1e-10}
    )
    knee, hip = geometry.step_angles(stature, step)
    assert hip == pytest.approx(math.degrees(best.x), abs=1e-3)
    body = posture.step_start(stature, step)
    assert knee == pytest.approx(body.lead.bend)


@pytest.mark.parametrize(("stature", "knees"), [
    (160, [45, 61, 67, 73, 84, 94]), (170, [43, 58, 65, 71, 81, 90]), (180, [41, 56, 62, 68, 78, 87]),
])  # fmt: skip
def test_step_knee_table_of_the_derivation(stature: float, knees: list[int]) -> None:
    """Section 6 of our derivation: steps of 4, 6, 7, 8, 10 and 12 in, foot 0.15 H ahead."""
    found = [geometry.step_knee(stature, step * 2.54) for step in (4, 6, 7, 8, 10, 12)]
    assert found == pytest.approx(knees, abs=0.6)


@given(st.floats(145, 195), st.floats(5, 30))
def test_a_higher_step_bends_knee_and_hip_more(stature: float, step: float) -> None:
    lower, higher = geometry.step_angles(stature, step), geometry.step_angles(stature, step + 2)
    assert higher[0] > lower[0] and higher[1] > lower[1]


def test_stair_rungs_clear_the_published_risers() -> None:
    """IRC R311.7.5: riser at most 7.75 in; Approved Document K: private stairs to 220 mm."""
    assert [round(h / 2.54, 2) for h in geometry.stair_rungs(4 * 2.54)] == [6, 8]
    assert geometry.stair_rungs(8 * 2.54) == []
    assert geometry.stair_rungs(8 * 2.54, geometry.RISER_UK) == pytest.approx([25.4])
    with pytest.raises(InputError):
        geometry.stair_rungs(10, 90)


def test_work_of_rising_is_force_times_travel() -> None:
    """Integrating body weight over the hips' travel (scipy quad) gives the share that a higher seat saves."""
    low, high = geometry.rise_from(165, 43), geometry.rise_from(165, 50)
    work = [quad(lambda _: 70 * 9.81, 0, rise.travel / 100)[0] for rise in (low, high)]
    assert 1 - work[1] / work[0] == pytest.approx(1 - high.travel / low.travel)
    assert low.travel - high.travel == pytest.approx(7)


@given(st.floats(145, 195), st.floats(25, 60))
def test_a_higher_seat_takes_off_travel_and_knee_bend(stature: float, seat: float) -> None:
    assume(seat + 1 < 0.47 * stature)
    low, high = geometry.rise_from(stature, seat), geometry.rise_from(stature, seat + 1)
    assert high.travel < low.travel and high.knee <= low.knee


@given(st.floats(140, 200))
def test_knee_crease_and_stature_round_trip(stature: float) -> None:
    assert geometry.stature_from_crease(geometry.knee_crease(stature)) == pytest.approx(stature)


# -- bands ---------------------------------------------------------------------------------------------------------------

BAND = relief.Band(anchor=240, held=105, slack=120, stiffness=0.3)


def test_band_pull_is_hookes_law() -> None:
    """Straight down: (240 - 105 + 30 - 120) x 0.3 = 13.5 kg; standing 4.5 kg."""
    assert relief.band_pull(BAND, 30)[0] == pytest.approx(13.5)
    assert relief.band_pull(BAND, 0) == pytest.approx((4.5, 4.5))


@given(st.floats(1, 99), st.floats(0, 120))
def test_band_work_is_the_energy_of_the_spring(depth: float, ahead: float) -> None:
    """The upward pull summed over the depth (scipy quad) is the energy stored: k/2 x (stretch2^2 - stretch1^2)."""
    band = relief.Band(240, 105, 120, 0.3, ahead)
    done = quad(lambda place: relief.band_pull(band, place)[1], 0, depth, limit=200)[0]
    stretch = [max(0.0, math.hypot(ahead, 135 + d) - 120) for d in (0.0, depth)]
    assert done == pytest.approx(0.15 * (stretch[1] ** 2 - stretch[0] ** 2), rel=1e-5, abs=1e-4)


@given(st.floats(0, 95), st.floats(60, 200))
def test_a_band_helps_more_the_deeper_and_never_pushes(depth: float, slack: float) -> None:
    band = relief.Band(240, 105, slack, 0.3)
    here, lower = relief.band_pull(band, depth), relief.band_pull(band, depth + 5)
    assert 0 <= here[1] <= lower[1] + 1e-9 and here[0] >= here[1] - 1e-9


def test_the_curve_ends_at_the_pull_of_the_bottom() -> None:
    curve = relief.band_curve(BAND, 70, 30)
    assert curve[0] == pytest.approx((0, 100 * 4.5 / 70)) and curve[-1] == pytest.approx((30, 100 * 13.5 / 70))


@pytest.mark.parametrize("call", [
    lambda: relief.band_pull(BAND, 150), lambda: relief.band_pull(relief.Band(90, 105, 50, 0.3), 10),
    lambda: relief.band_pull(relief.Band(240, 105, 0, 0.3), 10), lambda: relief.band_curve(BAND, 5, 30),
    lambda: relief.band_pull(relief.Band(240, 105, 120, 40), 10), lambda: poles.marks(20), lambda: geometry.rise_from(165, 10),
])  # fmt: skip
def test_impossible_bands_marks_and_seats_are_refused(call: object) -> None:
    with pytest.raises(InputError) as error:
        call()  # type: ignore[operator]
    assert error.value.what and error.value.fix


# -- which hand ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("leg", ["left", "right"])
@pytest.mark.parametrize("movement", ["step-up", "split-squat", "reverse-lunge", "single-leg-stance", "step-down"])
def test_the_pole_goes_opposite_and_the_load_on_the_legs_side(leg: str, movement: str) -> None:
    """Neumann 1998 (Phys Ther 78:490): a cane opposite the prosthetic hip lowers abductor activity by 31 percent, on the
    same side not at all. Neumann 1999 (79:1163): a load on that side spares it, opposite it adds."""
    found = hands.hands_for(movement, leg)
    assert (found.pole, found.load, found.leading) == (hands.OTHER[leg], leg, leg)
    harder = hands.hands_for(movement, leg, hands.HARDER)
    assert (harder.pole, harder.load) == ("", hands.OTHER[leg])


def test_on_stairs_the_better_leg_goes_up_first() -> None:
    """MSD Manual, physical therapy: up with the better leg, down with the affected one."""
    assert hands.hands_for("step-up", "left", hands.STAIRS).leading == "right"


def test_a_hand_that_cannot_hold_gets_no_pole() -> None:
    for leg in ("left", "right"):
        assert hands.hands_for("step-up", leg, weak_arm="left").pole == "right"


def test_alternating_work_does_not_swap_the_pole() -> None:
    assert "Leave it" in hands.hands_for("alternating-step-up", "left").flip
    assert "Swap" in hands.hands_for("split-squat", "left").flip


@given(st.sampled_from(["left", "right"]), st.sampled_from(["step-up", "walking-lunge", "gait-step", "step-down"]))
def test_hands_mirror(leg: str, movement: str) -> None:
    one, two = hands.hands_for(movement, leg), hands.hands_for(movement, hands.OTHER[leg])
    assert (one.pole, one.load, one.leading) == tuple(hands.OTHER[s] for s in (two.pole, two.load, two.leading))


@pytest.mark.parametrize("args", [("step-up", "middle"), ("step-up", "left", "faster")])
def test_a_side_or_goal_that_is_none_is_refused(args: tuple[str, ...]) -> None:
    with pytest.raises(InputError):
        hands.hands_for(*args)


@pytest.mark.parametrize(("text", "hand"), [
    ("left hip replaced, sore right shoulder: which hand holds the pole on step-ups", "left hand"),
    ("frozen right shoulder, step ups with one pole, left foot leading: which hand holds it?", "left hand"),
    ("right hip replaced, sore right shoulder: which hand for the pole, step-ups", "left hand"),
    ("left side weak after a stroke, split squats, which hand for the stick", "right hand"),
])  # fmt: skip
def test_a_sore_or_weak_arm_gets_no_pole(assistant: Assistant, text: str, hand: str) -> None:
    figures = [f for f in assistant.ask(text).figures if f.quantity == "pole-hand"]
    assert [f.unit for f in figures] == [hand]


def test_a_sore_arm_of_no_side_leaves_the_hand_to_its_rule(assistant: Assistant) -> None:
    answer = assistant.ask("shoulder pain and a left hip replacement, which hand for the pole on step-ups")
    assert not [f for f in answer.figures if f.quantity == "pole-hand"]
