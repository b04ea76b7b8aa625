"""Askers for steps, pads, ramps and ladders: knee angles, depth, slopes, lumber, weeks and work."""

from __future__ import annotations

import math
import re

from assistant.figures import geometry
from assistant.figures.ask import CUSTOM, OWN, Ask
from assistant.figures.fitting import SPLITS, STEPS, stature_or_default
from assistant.figures.numbers import Number
from assistant.figures.sizes import sizes
from assistant.shapes import Figure
from assistant.units import CM_PER_IN, length, plain

ADA = "u-2010-2010-ada-3"
LUMBER = "american-2005-voluntary-product"
IRC, APPROVED_K = "international-2018-international-residential", "hm-2013-approved-document"
DEFAULT_MASS = 70.0
_ONE_IN = re.compile(r"\b1\s*(?:in|:)\s*(\d{1,2})\b")
_BOARDS = re.compile(r"\b(\d)\s*(?:x|by)\s*(\d{1,2})\s*s?\b")


def ramp(ask: Ask) -> list[Figure]:
    """Angle of a ramp or wedge from its height and base, or from 1 in N."""
    if ask.now("ramp-length") and len(ask.units("in", "cm", "m", "ft")) == 1:
        return [_ramp_length(ask.units("in", "cm", "m", "ft")[0])]
    if not ask.wants("ramp-angle") or ask.said("knee", "hip", "pad"):
        return []
    ratio = _ONE_IN.search(ask.question.text.lower())
    stature = ask.fact("stature_cm") or 0.0
    units = ("in", "cm", "mm", "ft", "m")
    sizes = [n for n in ask.numbers if n.unit in units and 0 < n.cm < 400 and abs(n.cm - stature) > 0.5]
    if ratio and (len(sizes) < 2 or ("1 in" in ratio[0] and len(sizes) == 1)):
        rise, run = 1.0, float(ratio[1])
    elif len(sizes) >= 2:
        rise, run = sorted((sizes[0].cm, sizes[1].cm))
    else:
        return []
    angle = geometry.slope(rise, run)
    sentence = f"That ramp slopes {plain(angle)} degrees: angle = arctan({plain(rise / run, 3)}), height over base."
    return [Figure("ramp-angle", angle, "degrees", OWN, sentence, None, {"rise_cm": rise, "run_cm": run})]


def _ramp_length(rise: Number) -> Figure:
    run = 12 * rise.cm
    unit = "in" if rise.unit in ("in", "ft") else "cm"
    sentence = f"A walking or wheelchair ramp at the steepest 1 in 12 (ADA, 4.8 degrees) needs {length(run, unit)} of length for a rise of {length(rise.cm, unit)}."
    return Figure("ramp-length", run, "cm", (ADA,), sentence, None, {"rise_cm": rise.cm})


def lumber(ask: Ask) -> list[Figure]:
    """True height of boards laid flat or on edge (a 2x4 is 1.5 x 3.5 in), plywood added."""
    boards = _BOARDS.search(ask.question.text.lower())
    if not ask.wants("lumber") or boards is None:
        return []
    thick, wide = int(boards[1]), int(boards[2])
    if thick not in geometry.DRESSED or wide not in geometry.DRESSED:
        return []
    edge = ask.said("edge", "edgeways", "upright") and not ask.said("flat")
    count = _board_count(ask, boards)
    value = geometry.lumber_stack(count, thick, wide, not edge)
    each = geometry.DRESSED[wide if edge else thick]
    sentence = (
        f"{plain(count)} x {plain(each, 2)} in {'on edge' if edge else 'flat'} = {plain(value, 2)} in ({plain(value * CM_PER_IN)} cm): a {thick}x{wide} "
        f"is really {plain(geometry.DRESSED[thick], 2)} x {plain(geometry.DRESSED[wide], 2)} in. Measure the finished step, rubber included."
    )
    return [Figure("step-height", value, "in", (LUMBER,), sentence, None, {"boards": count})]


def _board_count(ask: Ask, boards: re.Match[str]) -> float:
    before = ask.question.text.lower()[: boards.start()].split()[-2:]
    names = {
        "one": 1,
        "two": 2,
        "three": 3,
        "four": 4,
        "five": 5,
        "six": 6,
        "a": 1,
        "single": 1,
        "pair": 2,
        "couple": 2,
    }
    for word in reversed([w.strip(",;") for w in before]):
        if word in names:
            return float(names[word])
        if word.isdigit() and int(word) <= 8:
            return float(word)
    return 2.0 if ask.said("stack", "stacked", "two") else 1.0


def weeks_to(ask: Ask) -> list[Figure]:
    """Weeks until a pad, ramp or step ladder is climbed at a steady rate."""
    found = sizes(ask)
    if not ask.wants("weeks-to") or len(found) < 2:
        return []
    drop = min(n.cm for n in found)
    ends = [n.cm for n in found if n.cm > drop] or [drop]
    start, goal = (ends[0], ends[1]) if len(ends) > 1 else (ends[0], 0.0)
    per = _weeks_each(ask)
    rungs = math.ceil(round(abs(start - goal) / drop, 6))
    unit, scale = found[0].unit, CM_PER_IN if found[0].unit == "in" else 1.0
    way = -1 if start > goal else 1
    steps = [start + way * min(i * drop, abs(start - goal)) for i in range(rungs + 1)]
    shown = " - ".join(plain(s / scale) for s in steps)
    where = "to the floor" if goal == 0 else f"to {length(goal, unit)}"
    sentence = (
        f"About {plain(rungs * per)} weeks {where}: {shown} {unit}, {plain(per)} week{'' if per == 1 else 's'} a rung, if each rung is "
        "clean, in control and pain stays at 2/10 or less first."
    )
    name = "weeks-to-floor" if goal == 0 else "weeks-to-goal"
    return [Figure(name, rungs * per, "weeks", CUSTOM, sentence, None, {"start_cm": start, "drop_cm": drop})]


def _weeks_each(ask: Ask) -> float:
    if ask.said("fortnight", "fortnightly"):
        return 2.0
    given = next((n.value for n in ask.units("week") if n.value <= 8), None)
    if given is not None:
        return given
    return 4.0 if ask.said("month", "monthly") else 2.0 if "other week" in ask.question.text.lower() else 1.0


def split_depth(ask: Ask) -> list[Figure]:
    """Knee angles and hip drop on a pad or between two pads, the pad for an angle, or what a rear-foot ramp changes."""
    if not ask.wants("split-depth") or not any(m in SPLITS for m in ask.question.movements):
        return []
    stature, asks = stature_or_default(ask)
    rise = ask.fact("ramp_cm") or 0.0
    angle = next((n.value for n in ask.numbers if n.unit == "deg" and 20 <= n.value <= 130), None)
    taken_off = [n for n in sizes(ask) if ask.near(n, "off", before=0, after=2)]
    pads = [n.cm for n in sizes(ask) if n.cm <= 30 and n.cm != ask.fact("ramp_cm") and n not in taken_off]
    stance = _stance_length(ask)
    if ask.said("floor") and len(pads) == 1 and ask.said("to", "next", "versus"):
        pads.append(0.0)
    if angle is not None:
        return [_pad_for(ask, stature, angle, rise, stance, asks)]
    if rise and ask.said("ramp", "wedge", "board", "slant"):
        return [_ramp_change(ask, stature, rise, stance, asks)]
    if len(pads) >= 2 and pads[0] != pads[1]:
        return _between(ask, stature, pads[0], pads[1], stance, asks)
    told = ask.fact("pad_cm")
    pad = told if told is not None and told <= 30 else (pads[0] if pads else None)
    return _on_pad(ask, stature, pad, stance, asks) if pad is not None else []


def _stance_length(ask: Ask) -> float | None:
    """A stance in the question, ankle to ankle (cm)."""
    long = [n for n in ask.units("cm", "in", "m", "ft") if 40 <= n.cm <= 130]
    return next((n.cm for n in long if ask.near(n, "stance", "stride", "apart", "split", before=4, after=3)), None)


def _stood(stance: float | None, unit: str) -> str:
    return f", stance {length(stance, unit)} ankle to ankle" if stance else ""


def _pad_for(ask: Ask, stature: float, angle: float, rise: float, stance: float | None, asks: str) -> Figure:
    rear = ask.said("rear", "back", "trail", "trailing")
    pad = geometry.pad_for_knee(stature, angle, rear, rise, stance)
    which = "rear" if rear else "front"
    sentence = (
        f"For a {which} knee of {plain(angle)} degrees use a pad of about {length(pad, ask.unit_first('in'))} at "
        f"{length(stature)} tall{_stood(stance, ask.unit_first('in'))}; good to about an inch, so watch the knee.{asks}"
    )
    span = (max(0.0, pad - 2.5), pad + 2.5)
    return Figure("pad-height", pad, "cm", OWN, sentence, span, {"stature_cm": stature, "angle": angle})


def _between(ask: Ask, stature: float, one: float, two: float, stance: float | None, asks: str) -> list[Figure]:
    unit = ask.unit_first("in")
    high, low = (geometry.split_squat(stature, pad, stance=stance) for pad in (max(one, two), min(one, two)))
    drop, front, rear = low.drop - high.drop, low.front_knee - high.front_knee, low.rear_knee - high.rear_knee
    sentence = (
        f"Pad {length(max(one, two), unit)} down to {length(min(one, two), unit)}: the hips go {length(drop, unit)} lower; front knee bends about "
        f"{plain(front, 0)} and rear {plain(rear, 0)} degrees more.{asks}"
    )
    inputs = {"stature_cm": stature, "from_cm": max(one, two), "to_cm": min(one, two)}
    return [
        Figure("hip-drop", drop, "cm", OWN, sentence, None, inputs),
        Figure("front-knee-change", front, "degrees", OWN, "", None, inputs),
        Figure("rear-knee-change", rear, "degrees", OWN, "", None, inputs),
    ]


def _on_pad(ask: Ask, stature: float, pad: float, stance: float | None, asks: str) -> list[Figure]:
    unit = ask.unit_first("in")
    here = geometry.split_squat(stature, pad, stance=stance)
    below = geometry.split_squat(stature, max(0.0, pad - 2 * CM_PER_IN), stance=stance)
    further = "" if pad == 0 else (
        f" The next pad down adds {length(below.drop - here.drop, unit)} and {plain(below.front_knee - here.front_knee, 0)} degrees."
    )  # fmt: skip
    sentence = (
        f"On a pad of {length(pad, unit)} at {length(stature)} tall{_stood(stance, unit)}: hips drop {length(here.drop, unit)}, front knee about {plain(here.front_knee, 0)} and rear "
        f"{plain(here.rear_knee, 0)} degrees, {plain(100 * here.share, 0)}% of full depth.{further}{asks}"
    )
    inputs = {"stature_cm": stature, "pad_cm": pad} | ({"stance_cm": stance} if stance else {})
    return [
        Figure("hip-drop", here.drop, "cm", OWN, sentence, None, inputs),
        Figure("front-knee-angle", here.front_knee, "degrees", OWN, "", None, inputs),
        Figure("rear-knee-angle", here.rear_knee, "degrees", OWN, "", None, inputs),
        Figure("depth-share", 100 * here.share, "percent", OWN, "", None, inputs),
    ]


def _ramp_change(ask: Ask, stature: float, rise: float, stance: float | None, asks: str) -> Figure:
    pad = ask.fact("pad_cm") or 0.0
    flat, raised = (geometry.split_squat(stature, pad, r, stance) for r in (0.0, rise))
    more = raised.rear_knee - flat.rear_knee
    sentence = (
        f"A {length(rise, ask.unit_first('in'))} ramp under the rear foot at {length(stature)} tall leaves hip drop ({length(raised.drop)}) and the front "
        f"knee as they are and bends the rear knee about {plain(more, 0)} degrees more ({plain(flat.rear_knee, 0)} to {plain(raised.rear_knee, 0)}).{asks}"
    )
    inputs = {"stature_cm": stature, "ramp_cm": rise, "pad_cm": pad}
    return Figure("rear-knee-change", more, "degrees", OWN, sentence, None, inputs)


def _step_height(ask: Ask) -> float | None:
    step = ask.fact("step_cm")
    return step if step is not None else next((n.cm for n in ask.units("in", "cm") if n.cm <= 45), None)


def stair_ladder(ask: Ask) -> list[Figure]:
    """Step heights from the present one to a household stair, 2 in a rung."""
    step = _step_height(ask)
    if not ask.now("stair-ladder") or step is None:
        return []
    unit = ask.unit_first("in")
    riser = next(
        (n.cm for n in ask.units("in", "cm", "mm") if n.cm - step > 0.1 and 12 <= n.cm <= 25), geometry.RISER_US
    )
    rungs = geometry.stair_rungs(step, riser)
    if not rungs:
        text = f"A {length(step, unit)} step already clears a stair of {length(riser, unit)}."
    else:
        shown = ", ".join(plain(r / CM_PER_IN if unit == "in" else r) for r in rungs)
        text = (
            f"{len(rungs)} rung{'' if len(rungs) == 1 else 's'} from {length(step, unit)} to a stair of {length(riser, unit)}: {shown} {unit}, two clean "
            "sessions each."
        )
    sentence = (
        f"{text} Home stairs go to 7.75 in (19.7 cm) in the US and 8.7 in (22 cm) in the UK: measure the client's own."
    )
    inputs = {"step_cm": step, "riser_cm": riser}
    return [Figure("rungs-to-stair", float(len(rungs)), "rungs", (IRC, APPROVED_K), sentence, None, inputs)]


def step_knee(ask: Ask) -> list[Figure]:
    """Lead-knee and lead-hip bend asked by a step."""
    step = _step_height(ask)
    if not ask.wants("step-knee") or step is None or not any(m in STEPS for m in ask.question.movements):
        return []
    stature, asks = stature_or_default(ask)
    bend, hip = geometry.step_angles(stature, step)
    sentence = (
        f"A {length(step, ask.unit_first())} step bends the lead knee about {plain(bend, 0)} and the lead hip {plain(hip, 0)} degrees at the start, trunk "
        f"upright (a lean adds to the hip); a lower step takes off both, a foot further forward the knee's.{asks}"
    )
    inputs = {"stature_cm": stature, "step_cm": step}
    knee = Figure("step-knee-angle", bend, "degrees", OWN, sentence, (bend - 8, bend + 8), inputs)
    return [knee, Figure("step-hip-angle", hip, "degrees", OWN, "", (hip - 8, hip + 8), inputs)]


def step_work(ask: Ask) -> list[Figure]:
    """Work against gravity per step-up from body mass and step height."""
    step = _step_height(ask)
    if not ask.wants("step-work") or step is None:
        return []
    number = next(iter(ask.units("kg", "lb", "stone")), None)
    mass = number.kg if number else ask.fact("mass_kg")
    asks = "" if mass else " Tell me the body weight (70 kg taken)."
    work = geometry.step_work(mass or DEFAULT_MASS, step)
    sentence = (
        f"Each step-up of {length(step, ask.unit_first())} lifts {plain(mass or DEFAULT_MASS)} kg through {plain(step)} cm: about {plain(work, 0)} joules of work "
        f"against gravity, ten of them {plain(10 * work / 1000)} kJ.{asks}"
    )
    return [Figure("step-work", work, "J", OWN, sentence, None, {"mass_kg": mass or DEFAULT_MASS, "step_cm": step})]
