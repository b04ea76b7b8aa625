"""Askers for fitting kit to the client: poles, canes and seats."""

from __future__ import annotations

from assistant.figures import geometry, poles
from assistant.figures.ask import CUSTOM, OWN, Ask
from assistant.figures.sizes import sizes
from assistant.shapes import Figure
from assistant.units import inches, length, plain

KUMAR, POLE, SEAT = "kumar-1995-methods-estimating", "park-2015-nordic-walking", "kuo-2013-influence-chair"
JANSSEN = "janssen-2002-determinants-sit"
DEFAULT_STATURE = 165.0
STEPS = ("step-up", "alternating-step-up", "lateral-step-up", "step-down")
SPLITS = ("split-squat", "reverse-lunge", "forward-lunge", "lateral-lunge", "half-kneel-to-stand", "walking-lunge")
SQUATS = ("squat", "sit-to-stand", "belt-squat")
DEFAULT_PAD, DEFAULT_SEAT = 10.16, 45.0
_REACH = 6
_LEG_WORDS = ("crease", "knee", "lower", "shank", "popliteal", "calf", "leg")
_SEATS = ("seat", "chair", "stool", "box", "bench", "plinth")


def stature_or_default(ask: Ask) -> tuple[float, str]:
    """The client's stature, or 165 cm with the line that asks for it."""
    stature = ask.fact("stature_cm")
    return (stature, "") if stature is not None else (DEFAULT_STATURE, " Tell me the client's height (165 cm taken).")


def _span(low: float, high: float, unit: str) -> str:
    metric = f"{plain(low, 0)} to {plain(high, 0)} cm"
    imperial = f"{plain(inches(low), 0)} to {plain(inches(high), 0)} in"
    return f"{imperial} ({metric})" if unit == "in" else f"{metric} ({imperial})"


def cane(ask: Ask) -> list[Figure]:
    """Cane length from stature, with the wrist-crease check."""
    stature = ask.fact("stature_cm")
    follow = ask.short and ask.last("pole-length", "cane-length") is not None
    named = ask.said("cane", "stick") and not ask.said("pole", "poles", "sticks")
    if not named or not (ask.wants("cane-length") or follow):
        return []
    crease = next(
        (n for n in ask.units("cm", "in") if 50 <= n.cm <= 110 and ask.near(n, "crease", "wrist", before=6, after=4)),
        None,
    )
    if crease:
        sentence = f"Cane {length(crease.cm, crease.unit)}: its handle meets the wrist crease, arm hanging, shoes on; the elbow then bends 15 to 30 degrees."
        return [Figure("cane-length", crease.cm, "cm", (KUMAR,), sentence, None, {"crease_cm": crease.cm})]
    if stature is None:
        return []
    value = poles.cane(stature)
    sentence = (
        f"Cane about {length(value, ask.unit_first())}, from stature; then check that the handle meets the wrist crease with "
        "the arm hanging and shoes on (elbow bends 15 to 30 degrees when held)."
    )
    return [Figure("cane-length", value, "cm", (KUMAR,), sentence, (value - 3, value + 3), {"stature_cm": stature})]


def pole_extra(ask: Ask) -> list[Figure]:
    """How much longer poles are set for a step than for level walking."""
    kit = ask.said("pole", "stick") or "walking-poles" in ask.question.equipment or ask.last("pole-length") is not None
    if not ask.wants("pole-extra") or not ask.said("step", "box", "stair", "platform") or not kit:
        return []
    step = ask.fact("step_cm") or ask.fact("length_cm") or 20.0
    sentence = (
        f"Let the poles out about 5 to 10 cm (2 to 4 in) longer than for level walking, up to the full {length(step, ask.unit_first())} "
        "if the client must stand tall on top; tips stay on the floor."
    )
    return [Figure("pole-extra-length", 10.0, "cm", CUSTOM, sentence, (5.0, step), {"step_cm": step})]


def pole(ask: Ask) -> list[Figure]:
    """Pole length for standing, a step-up, a split squat or a squat."""
    kit = ask.said("pole", "stick") or "walking-poles" in ask.question.equipment or ask.last("pole-length") is not None
    follow = ask.short and ask.said("pole") and ask.last("cane-length") is not None
    if not (ask.wants("pole-length") or follow) or ask.said("cane") or not kit:
        return []
    given, elbow, wrist = ask.fact("stature_cm"), _measured(ask, "elbow"), _measured(ask, "wrist", "crease")
    if given is None and elbow is None and wrist is None and ask.question.intent not in ("setup", "dose", ""):
        return []
    if given is None and (elbow or wrist):
        stature, asks = poles.arm_of(None, elbow, wrist).stature, ""
    else:
        stature, asks = stature_or_default(ask)
    arm = poles.arm_of(stature, elbow, wrist) if elbow or wrist else None
    fit, where = _pole_fit(ask, stature, arm)
    if not fit.fits:
        return [_no_pole(ask, fit, stature, where)]
    angles = (
        "elbow at about a right angle (90 degrees)" if fit.elbow_top == fit.elbow_bottom
        else f"elbow {plain(fit.elbow_top, 0)} degrees at one end and {plain(fit.elbow_bottom, 0)} at the other"
    )  # fmt: skip
    unit = ask.unit_first()
    taken = " (from the measured arm)" if arm else ""
    sentence = (
        f"Pole {_span(fit.low, fit.high, unit)}, start at {length(fit.length, unit)} {where}{taken}: {angles}. "
        f"{_marks(fit.length, unit)} Then adjust by the elbow, shoes on.{_check(arm, fit, stature, given)}{asks}"
    )
    sources = (POLE, "common-practice") if where.startswith("for standing") else OWN
    inputs = {"stature_cm": stature} | ({"elbow_cm": arm.elbow, "forearm_cm": arm.forearm} if arm else {})
    return [Figure("pole-length", fit.length, "cm", sources, sentence, (fit.low, fit.high), inputs)]


def _measured(ask: Ask, *names: str) -> float | None:
    """A height measured at the elbow or wrist: the length nearest to the word, nearer to it than to the other word."""
    words = [word.text for word in ask.question.words]
    places = {i: w for i, w in enumerate(words) if w.removesuffix("s") in ("elbow", "wrist", "crease")}
    for n in ask.units("cm", "in", "m"):
        near = min(places, key=lambda i: abs(i - n.at), default=None)
        if (
            near is not None
            and abs(near - n.at) <= _REACH
            and places[near].removesuffix("s") in names
            and 50 <= n.cm <= 140
        ):
            return n.cm
    return None


def _marks(value: float, unit: str) -> str:
    """The marks to set on an adjustable pole, the coach's unit first."""
    cm, half = poles.marks(value)
    shown = [f"{cm} cm", f"{plain(half)} in"]
    return f"Nearest marks: {' or '.join(shown[::-1] if unit == 'in' else shown)}."


def _check(arm: poles.Arm | None, fit: poles.PoleFit, stature: float, given: float | None) -> str:
    """The published multiplier beside a length from a measured arm."""
    if arm is None or given is None or fit.elbow_top != fit.elbow_bottom:
        return ""
    usual = poles.walking_pole(stature)
    return f" The rule of 0.68 x height gives {plain(usual.length)} cm; the measured elbow goes first."


def _pole_fit(ask: Ask, stature: float, arm: poles.Arm | None) -> tuple[poles.PoleFit, str]:
    unit = ask.unit_first()
    movement = next(iter(ask.question.movements), "")
    step = ask.fact("step_cm")
    if step is None and movement in STEPS:
        step = next((n.cm for n in ask.units("in", "cm") if n.cm <= 45), None)
    if step and (movement in STEPS or ask.said("step", "box", "stair")):
        return poles.step_up_pole(stature, step, arm), f"for a step of {length(step, unit)}, tips on the floor"
    if movement in SPLITS:
        pad = ask.fact("pad_cm") or DEFAULT_PAD
        return poles.split_squat_pole(stature, pad, arm), f"for a split squat to a pad of {length(pad, unit)}"
    if movement in SQUATS:
        seat_height = ask.fact("seat_cm") or DEFAULT_SEAT
        return poles.squat_pole(stature, seat_height, arm), f"for a squat to a seat of {length(seat_height, unit)}"
    return poles.standing_pole(arm) if arm else poles.walking_pole(stature), "for standing and walking"


def _no_pole(ask: Ask, fit: poles.PoleFit, stature: float, where: str) -> Figure:
    unit = ask.unit_first()
    sentence = (
        f"No single pole length keeps the elbow in range {where}. Favour the bottom, where the help is needed: "
        f"{length(fit.length, unit)} (elbow {plain(fit.elbow_bottom, 0)} degrees there); at the top the hand slides up the shaft. Or set "
        f"{length(fit.high, unit)} for sets that stay high and change it between sets."
    )
    return Figure("pole-length", fit.length, "cm", OWN, sentence, (fit.low, fit.high), {"stature_cm": stature})


def seat_change(ask: Ask) -> list[Figure]:
    """What raising (or lowering) a seat takes off: hip travel to standing and knee bend at the seat."""
    heights = [n for n in sizes(ask, 70.0) if 25 <= n.cm <= 70 and not ask.near(n, *_LEG_WORDS, before=2, after=2)]
    if not ask.now("seat-change") or len(heights) < 2 or not ask.said(*_SEATS, "seats", "rise"):
        return []
    low, high = sorted((heights[0].cm, heights[1].cm))
    crease = next(
        (n.cm for n in ask.units("cm", "in") if 25 <= n.cm <= 65 and ask.near(n, *_LEG_WORDS, before=2, after=2)), None
    )
    given = ask.fact("stature_cm")
    asks = ""
    if given is not None:
        stature = given
    elif crease is not None:
        stature = geometry.stature_from_crease(crease)
    else:
        stature, asks = stature_or_default(ask)
    below, above = geometry.rise_from(stature, low), geometry.rise_from(stature, high)
    saved = 100 * (1 - above.travel / below.travel)
    unit = ask.unit_first()
    sentence = (
        f"From {length(low, unit)} up to {length(high, unit)}: the hips rise {length(above.travel, unit)} in place of {length(below.travel, unit)}, "
        f"{plain(saved, 0)}% less work, and the knee leaves the seat at {plain(above.knee, 0)} in place of {plain(below.knee, 0)} degrees. "
        f"In studies a higher seat cut the knee moment by up to 60%.{asks}"
    )
    inputs = {"stature_cm": stature, "low_cm": low, "high_cm": high}
    sources = (*OWN, JANSSEN)
    return [
        Figure("seat-work-saved", saved, "percent", sources, sentence, None, inputs),
        Figure("seat-knee-change", below.knee - above.knee, "degrees", sources, "", None, inputs),
    ]


def seat(ask: Ask) -> list[Figure]:
    """Seat height from the knee crease or stature and a percentage of lower-leg length."""
    percents = [p for p in ask.percents() if 60 <= p <= 200]
    last = ask.last("seat-height")
    if last and "knee_cm" in last.inputs and ask.short and not ask.units("cm", "in"):
        percents = percents or [n.value for n in ask.units("") if 60 <= n.value <= 200]
        return [_seat(ask, last.inputs["knee_cm"], percents[0], True)] if percents else []
    if not ask.wants("seat-height") or (ask.question.screens and not percents):
        return []
    crease = next(
        (
            n
            for n in ask.units("cm", "in")
            if 25 <= n.cm <= 65
            and ask.near(n, "crease", "knee", "lower", "shank", "leg", "popliteal", "calf", before=6, after=5)
        ),
        None,
    )
    stature = ask.fact("stature_cm")
    if crease is not None:
        knee = crease.cm
    elif stature is not None and ask.said(*_SEATS):
        knee = geometry.knee_crease(stature)
    else:
        return []
    return [_seat(ask, knee, percents[0] if percents else None, crease is not None)]


def _seat(ask: Ask, knee: float, percent: float | None, measured: bool) -> Figure:
    share = percent or 110.0
    value = geometry.seat(knee, share)
    unit = ask.unit_first()
    origin = "" if measured else " (knee crease estimated from stature: measure it)"
    tail = (
        ""
        if percent
        else f" Level with the knee is {length(knee, unit)}, the easy end {length(knee * 1.2, unit)}. Feet flat on the floor; "
        "cushions or pads raise a low chair, a foot block helps short legs."
    )
    sentence = (
        f"Seat {length(value, unit)} high: {plain(share)}% of the {length(knee, unit)} knee height{origin}.{tail}"
    )
    span = None if percent else (knee, knee * 1.2)
    return Figure("seat-height", value, "cm", (SEAT,), sentence, span, {"knee_cm": knee, "percent": share})
