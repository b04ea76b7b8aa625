"""Askers for walking: speed from distance and time, and the expected six-minute distance."""

from __future__ import annotations

from assistant.figures import norms
from assistant.figures import results as res
from assistant.figures.ask import CUSTOM, Ask
from assistant.figures.numbers import Number
from assistant.shapes import Figure
from assistant.units import length, plain

DEFAULT_STATURE = {"female": 162.0, "male": 175.0}
DEFAULT_BMI = 26.0
_METRES = {"m": 1.0, "ft": 0.3048, "yd": 0.9144, "cm": 0.01}


def gait_speed(ask: Ask) -> list[Figure]:
    """Speed from a distance and a time, against the usual lines."""
    if (
        not (ask.wants("gait-speed") or "gait-speed" in ask.question.screens)
        or ask.now("oxygen")
        or ask.said("backward")
        or ask.now("is-timed-up-and-go")
    ):
        return []
    distance = next((n for n in ask.units("m", "ft", "yd") if n.value != ask.age), None)
    time = _time(ask, distance) if distance else None
    if distance is None or time is None or time <= 0:
        return []
    metres = distance.value * _METRES[distance.unit]
    speed = metres / time
    if not 1 <= metres <= 800 or not 0.1 <= speed <= 3.5:
        return []
    line = (
        "0.8 m/s or slower, below the line: slow" if speed <= 0.8
        else "between 0.8 (slow) and 1.0 m/s (early warning)" if speed < 1.0
        else "at or above 1.0 m/s"
    )  # fmt: skip
    sentence = (
        f"{plain(metres, 2)} m in {plain(time)} s is {plain(speed, 2)} m/s: {line}. A change of 0.1 m/s is a real one."
    )
    table = ask.knowledge.tables.get("gait-speed-slow")
    sources = (table.source,) if table else CUSTOM
    figure = Figure("gait-speed", speed, "m/s", sources, sentence, None, {"metres": metres, "seconds": time})
    return [figure, Figure("gait-speed-cutoff", 0.8, "m/s", sources)]


def _time(ask: Ask, distance: Number) -> float | None:
    """Seconds near the distance, after it first; minutes count too, a bare number after 'in' as seconds."""
    seconds = [Number(n.value * (60 if n.unit == "min" else 1), "s", n.at) for n in ask.units("s", "min")]
    after = [n for n in seconds if n.at > distance.at]
    if after or seconds:
        return (after or seconds)[0].value
    bare = [n for n in ask.units("") if n.at > distance.at and n.value != ask.age and n.value < 400]
    close = [n for n in bare if n.at - distance.at <= 6]
    return close[0].value if close else None


def six_minute_walk(ask: Ask) -> list[Figure]:
    """Expected six-minute distance from age, sex and stature, and the share of it that was walked."""
    table = ask.knowledge.tables.get("six-minute-walk-expected")
    if table is None or "six-minute-walk" not in res.screens(ask) or not ask.wants("expected-distance"):
        return []
    age, sex = ask.age, ask.sex
    row = next((r for r in table.rows if r.sex == sex), None)
    if age is None or row is None:
        return []
    stature, bmi, missing = _body(ask, sex)
    expected = norms.walk_expected(row, age, stature, bmi)
    walked = next((n for n in res.results(ask, table) if n.value >= 50), None)
    share = (
        f" {plain(res.in_unit(walked, 'm'))} m is {plain(100 * res.in_unit(walked, 'm') / expected, 0)}% of it."
        if walked
        else ""
    )
    who = {"female": "woman", "male": "man"}[sex]
    build = f", BMI {plain(bmi)}" if sex == "female" else ""
    sentence = f"Expected six-minute walk for a {who} of {plain(age)}, {length(stature)}{build}: {plain(expected, 0)} m.{share}{missing}"
    inputs = {"age": age, "stature_cm": stature} | ({"bmi": bmi} if sex == "female" else {})
    figures = [Figure("six-minute-walk-expected", expected, "m", (table.source,), sentence, None, inputs)]
    if walked:
        percent = 100 * res.in_unit(walked, "m") / expected
        figures.append(Figure("six-minute-walk-percent", percent, "percent", (table.source,)))
    return figures


def _body(ask: Ask, sex: str) -> tuple[float, float, str]:
    """Stature and body mass index, defaults where not given, and the line that asks for what is missing."""
    stature, mass = ask.fact("stature_cm"), ask.fact("mass_kg")
    given = next((n.value for n in ask.numbers if ask.near(n, "bmi", before=3, after=1) and 14 <= n.value <= 60), None)
    missing = []
    if stature is None:
        stature = DEFAULT_STATURE[sex]
        missing.append(f"height ({plain(stature)} cm taken)")
    bmi = given or (mass / (stature / 100) ** 2 if mass else None)
    if bmi is None:
        bmi = DEFAULT_BMI
        if sex == "female":
            missing.append("weight (BMI 26 taken)")
    return stature, bmi, f" Tell me the {' and '.join(missing)}." if missing else ""
