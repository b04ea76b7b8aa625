"""Askers for the cost of stepping and walking and for the minutes of a week."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.figures import load
from assistant.figures.ask import Ask
from assistant.figures.numbers import Number
from assistant.shapes import Figure
from assistant.units import plain

STEPPING, WALKING, WHO = "acsm-2018-acsm-s", "bushman-2020-metabolic-calculations", "who-2020-who-guidelines"
DEFAULT_RATE = 15.0
SUREST = (50.0, 100.0)  # m/min
_MPS_PER_MPH = 26.8
_HARD = (
    "vigorous",
    "vigorously",
    "hard",
    "hiit",
    "running",
    "run",
    "runs",
    "jog",
    "jogs",
    "jogging",
    "spin",
    "intense",
    "intervals",
)
_HOW = ("brisk", "easy", "short", "long", "steady", "gentle", "fast", "slow", "good", "separate")
_A_WEEK = {"once": 1.0, "twice": 2.0, "daily": 7.0, "thrice": 3.0}


def stepping_cost(ask: Ask) -> list[Figure]:
    """METs of stepping from step height and rate, of walking from speed, or of both."""
    if not ask.wants("oxygen"):
        return []
    return [*_stepping(ask), *_walking(ask)]


def _stepping(ask: Ask) -> list[Figure]:
    height = next((n for n in ask.units("cm", "in") if 2 <= n.cm <= 45), None)
    if height is None:
        return []
    rate = _rate(ask, height)
    if rate is None and _speed(ask) is not None:
        return []
    asks = "" if rate else " Tell me the step-ups a minute (15 taken)."
    oxygen = load.stepping_oxygen(height.cm / 100, rate or DEFAULT_RATE)
    sentence = (
        f"About {plain(load.mets(oxygen))} METs ({plain(oxygen)} mL/kg/min): {plain(height.value)} {height.unit} step, "
        f"{plain(rate or DEFAULT_RATE)} up-and-downs a minute. Holding a rail or pole lowers it.{asks}"
    )
    inputs = {"step_cm": height.cm, "rate": rate or DEFAULT_RATE}
    return [Figure("stepping-mets", load.mets(oxygen), "MET", (STEPPING,), sentence, None, inputs)]


def _rate(ask: Ask, height: Number) -> float | None:
    bare = [
        n for n in ask.numbers if n.unit in ("", "times", "steps", "reps") and 4 <= n.value <= 40 and n.at != height.at
    ]
    per_minute = [n for n in bare if ask.near(n, "min", "minute", "rate", "cadence", "minutes", before=3, after=4)]
    minutes = [n for n in ask.units("min") if n.at != height.at and 4 <= n.value <= 40 and n.value == int(n.value)]
    found = per_minute or minutes or [n for n in bare if n.value != ask.age]
    return found[0].value if found else None


def _walking(ask: Ask) -> list[Figure]:
    speed = _speed(ask)
    if speed is None:
        return []
    grades = [p for p in ask.percents() if 0 < p <= 20]
    shown = f"{plain(speed / 60, 2)} m/s ({plain(speed / _MPS_PER_MPH)} mph)"
    level = load.walking_oxygen(speed)
    rough = "" if SUREST[0] <= speed <= SUREST[1] else " (a rough figure: the equation is surest from 0.83 to 1.67 m/s)"
    sentence = (
        f"About {plain(load.mets(level))} METs ({plain(level)} mL/kg/min) for walking at {shown} on the level{rough}"
    )
    inputs = {"m_per_min": speed}
    if not grades:
        return [Figure("walking-mets", load.mets(level), "MET", (WALKING,), f"{sentence}.", None, inputs)]
    uphill = load.walking_oxygen(speed, grades[0] / 100)
    sentence += f", {plain(load.mets(uphill))} METs ({plain(uphill)} mL/kg/min) on a {plain(grades[0])}% slope."
    return [
        Figure("walking-mets", load.mets(level), "MET", (WALKING,), sentence, None, inputs),
        Figure("walking-mets-slope", load.mets(uphill), "MET", (WALKING,), "", None, {**inputs, "grade": grades[0]}),
    ]


def _speed(ask: Ask) -> float | None:
    """Metres a minute from mph, km/h, m/s or m/min."""
    for n in ask.numbers:
        after = ask.words_between(n.at + n.width, n.at + n.width + 4)
        if n.unit == "mph" or after[:3] == ["miles", "an", "hour"] or after[:3] == ["miles", "per", "hour"]:
            return n.value * _MPS_PER_MPH
        if n.unit == "km/h" or after[:2] in (["km", "h"], ["km", "per"], ["km", "an"], ["k", "an"]):
            return n.value * 1000 / 60
        if n.unit == "m/s":
            return n.value * 60
        if n.unit == "m" and after[1:2] in (["min"], ["per"], ["a"]):
            return n.value
    return None


# -- minutes of a week ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Bout:
    """Sessions a week, minutes each, and whether they are vigorous."""

    sessions: float
    minutes: float
    hard: bool

    @property
    def total(self) -> float:
        """Minutes a week."""
        return self.sessions * self.minutes


def weekly_minutes(ask: Ask) -> list[Figure]:
    """Moderate minutes a week from sessions, vigorous ones counted double, against 150; or the guideline itself."""
    follow_up = ask.short and ask.now("minutes-word") and ask.wants("aerobic")
    if not follow_up and not ask.now("weekly-minutes", "week-guideline"):
        return []
    bouts = _bouts(ask)
    if bouts and ask.now("weekly-minutes"):
        return [_sum(bouts)]
    if bouts or not (follow_up or ask.now("week-guideline")) or ask.question.screens or _strength(ask):
        return []
    if ask.now("vigorous"):
        sentence = "If all of it is vigorous, 75 to 150 minutes a week do (WHO); a vigorous minute counts as two moderate ones, so 75 equal 150."
        return [Figure("aerobic-minutes-week", 75.0, "min", (WHO,), sentence, (75.0, 150.0))]
    sentence = (
        "150 to 300 minutes a week of moderate effort (about 30 min on 5 days), or 75 to 150 vigorous, or a mix (WHO)."
    )
    return [Figure("aerobic-minutes-week", 150.0, "min", (WHO,), sentence, (150.0, 300.0))]


def _strength(ask: Ask) -> bool:
    return ask.said("strength", "balance", "weights", "resistance", "rest", "otago") and not ask.said(
        "aerobic", "cardio", "vigorous"
    )


def _sum(bouts: list[Bout]) -> Figure:
    hard = sum(b.total for b in bouts if b.hard)
    moderate = sum(b.total for b in bouts if not b.hard)
    total = load.moderate_minutes(moderate, hard)
    parts = " + ".join(
        f"{plain(b.sessions)} x {plain(b.minutes)}" if b.sessions != 1 else plain(b.minutes) for b in bouts
    )
    double = f" ({plain(hard)} vigorous, counting double)" if hard else ""
    gap = f"{plain(150 - total)} short of" if total < 150 else "above" if total > 300 else "that meets"
    sentence = f"{parts} min{double} = {plain(total)} moderate minutes a week: {gap} the 150 to 300 min advised."
    inputs = {"moderate": moderate, "vigorous": hard}
    return Figure("aerobic-minutes-week", total, "min", (WHO,), sentence, (150.0, 300.0), inputs)


def _bouts(ask: Ask) -> list[Bout]:
    pairs = _times_pairs(ask)
    used = {n.at for pair in pairs for n in pair}
    minutes = [n for n in ask.numbers if n.at not in used and _is_minutes(ask, n)]
    places = sorted([pair[1].at for pair in pairs] + [n.at for n in minutes])
    bouts = [(b.at, Bout(a.value, b.value, _hard(ask, b, places))) for a, b in pairs]
    for n in minutes:
        value = n.value * 60 if n.unit == "hour" else n.value
        bouts.append((n.at, Bout(_sessions(ask, n, minutes), value, _hard(ask, n, places))))
    return [bout for _, bout in sorted(bouts, key=lambda b: b[0]) if 1 <= bout.minutes <= 1500]


def _times_pairs(ask: Ask) -> list[tuple[Number, Number]]:
    """'3 x 25', 'three 30 min walks'."""
    pairs = []
    for one, two in zip(ask.numbers, ask.numbers[1:], strict=False):
        between = ask.words_between(one.at + one.width, two.at)
        timed = one.unit == "" and (two.unit == "x" or between in (["x"], ["times"], ["lots", "of"], ["by"]))
        worded = one.unit == "" and not between and two.unit == "min"
        if (timed or worded) and 1 <= one.value <= 14 and 5 <= two.value <= 300 and two.unit in ("", "x", "min"):
            pairs.append((one, two))
    return pairs


def _is_minutes(ask: Ask, number: Number) -> bool:
    if number.unit in ("min", "hour"):
        return True
    before = ask.words_between(number.at - 2, number.at)
    after = ask.words_between(number.at + number.width, number.at + number.width + 1)
    return number.unit == "" and number.value >= 10 and number.value != ask.age and bool(
        after and after[0] in ("moderate", "vigorous", "brisk", "easy", "hard")
    ) and "age" not in before  # fmt: skip


def _sessions(ask: Ask, minutes: Number, others: list[Number]) -> float:
    """How often a week: '5 days', 'twice', 'every day', 'x 4'; once when nothing is said near the minutes."""
    alone = len(others) == 1
    for n in ask.numbers:
        near = alone or abs(n.at - minutes.at) <= 5
        if n.at != minutes.at and near and 1 <= n.value <= 14 and (n.unit in ("day", "times", "x") or _counts(ask, n)):
            return n.value
    words = ask.words_between(minutes.at - (12 if alone else 4), minutes.at + (12 if alone else 5))
    for word, often in _A_WEEK.items():
        if word in words:
            return often
    text = " ".join(words)
    return 7.0 if "every day" in text or "a day" in text or "each day" in text else 5.0 if "weekday" in text else 1.0


def _counts(ask: Ask, number: Number) -> bool:
    after = ask.words_between(number.at + number.width, number.at + number.width + 3)
    while after and after[0] in _HOW:
        after = after[1:]
    return bool(after) and after[0] in (
        "walks",
        "swims",
        "classes",
        "rides",
        "sessions",
        "bouts",
        "a",
        "per",
        "days",
        "times",
        "mornings",
    )


def _hard(ask: Ask, minutes: Number, places: list[int]) -> bool:
    """Whether the words around these minutes, up to the next ones, call them vigorous."""
    later = [p for p in places if p > minutes.at]
    earlier = [p for p in places if p < minutes.at]
    after = ask.words_between(minutes.at + 1, min(later) if later else minutes.at + 8)
    before = ask.words_between(minutes.at - 4, minutes.at) if not earlier else []
    return any(w in _HARD for w in after[:5]) or any(w in _HARD for w in before)
