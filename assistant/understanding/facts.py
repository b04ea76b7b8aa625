"""Numbers and sides in a question: age, stature, heights, loads, times, readings. Lengths in cm, masses in kg."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from assistant.shapes import Facts, Span, Word
from assistant.understanding.person import age_of, is_decade, sex_of, stature_of
from assistant.units import CM_PER_IN, KG_PER_LB, LB_PER_STONE

MOST_GAINED = 40.0  # kg; a larger number is the body weight itself, not a change of it
_N = r"(\d+(?:\.\d+)?)"
_LENGTH = rf"{_N}\s*(in|cm)\b"
_THINGS = {
    "step": r"step|steps|box|riser|platform|stair|block",
    "pad": r"pad|pads|foam|stack|cushion|mat|knee pad",
    "ramp": r"ramp|wedge|board|boards|slant",
    "seat": r"seat|chair|stool|bench|plinth|sofa",
}
_AGO = re.compile(
    rf"\b{_N}\s*(day|week|month|year)s?\s*(?:ago|back|post|since|after|out|on|from|in\b|post op|postop|or so ago)"
)
_POST = re.compile(rf"\b(?:post|postop|post op|after|since)\s+\w*\s*\w*\s*{_N}\s*(day|week|month|year)")
_BARE_AGE = re.compile(
    rf"(?:op|surgery|replacement|thr|tkr|tha|tka|hip|knee|fusion|wound)\b[^.?!]{{0,25}}?,?\s*{_N}\s*(day|week|month|year)\b"
)
_WEEKS = {"day": 1 / 7, "week": 1.0, "month": 52.18 / 12, "year": 52.18}
_YEAR = re.compile(r"\b((?:19|20)\d{2})\b(?!\s*(?:kg|lb|cm|m|kcal|steps)\b)")
_BP = re.compile(r"\b(\d{2,3})\s*(?:/|over)\s*(\d{2,3})\b(?!\s*(?:reps|x))")
_POSTURE_TEST = re.compile(
    r"\b(?:lying|laying|supine|lain|flat)\b.*\b(?:stand\w*|stood|upright|up)\b|\bstand\w*\b.*\b(?:lying|supine)\b"
)
_SYSTOLIC = re.compile(
    r"\b(?:systolic|top number|upper number)\b[^.?!\d]{0,14}(\d{2,3})\b|\bbp\b[^.?!\d]{0,12}(\d{3})\b(?!\s*(?:/|over))"
)
_ANGLE = re.compile(
    r"\b(?:knee|bend|bent|bends|angle|flex\w*|stuck|wedged|locked|ramp|slope|tilt\w*|elbow|hip|lean\w*)\b"
)
_TEMP = re.compile(
    r"\b(3[5-9]|4[0-3])(\.\d)?\s*(?:deg|degrees|celsius|c)\b|\b(3[5-9]|4[0-2])(\.\d)\b(?!\s*(?:kg|lb|cm|in|m|s|sec|min|%|points))"
    r"|\b(?:temp|temperature|fever)(?:\s+(?:of|is|was|reads?|at|running|up|hit|about|a))*\s*(\d{2,3}(?:\.\d)?)"
    r"|\b(1\d\d(?:\.\d)?)\s*(?:deg\s*)?f\b"
)
_SPO2 = re.compile(r"\b(?:spo2|sats?|oxygen|oximeter|saturation|o2)[^.?!\d]{0,30}(\d{2})\s*%?")
_GLUCOSE = re.compile(r"\b(?:glucose|sugars?|bm|bg|libre|sensor|cgm)\b[^.?!\d]{0,25}(\d{1,3}(?:\.\d)?)")
_PAIN = re.compile(r"\b(\d{1,2})\s*(?:/|out of)\s*10\b")
_PULSE = re.compile(r"\b(?:pulse|heart rate|hr|heart)\b[^.?!\d]{0,25}(\d{2,3})\b")
_GAIN = re.compile(
    r"(?:up|gained|gain|put on|put|on|heavier|extra|added|gone up)[^.?!\d]{0,12}(\d+(?:\.\d+)?)\s*(kg|lb|stone)[^.?!]{0,40}?(since|in|over|this|overnight|week|day|friday|monday|weekend|days|couple)|(?:up|gained|gain|put on)\s+(half )?a stone"
)
_LOADED = re.compile(r"\bfrom \d+(?:\.\d+)?\s*(?:kg|lb|stone)?\s*$")  # "from 10 kg up to 12 kg": a load, not a body
_LOSS = re.compile(
    r"(?:lost|dropped|down|shed|losing|lost about|fallen off|gone)[^.?!\d]{0,15}(\d+(?:\.\d+)?)\s*(kg|lb|stone)|(?:lost|dropped|shed|down)\s+(?:over |about |nearly |almost )?(half a stone|a stone)"
)


def _mass_kg(value: float, unit: str) -> float:
    return value * {"kg": 1.0, "lb": KG_PER_LB, "stone": LB_PER_STONE * KG_PER_LB, "st": LB_PER_STONE * KG_PER_LB}[unit]


class FactFinder:
    """Finds facts in one question. `text` is the tidied text that `words` were cut from."""

    def __init__(self, text: str, words: Sequence[Word], readings: Mapping[str, Any], this_year: int) -> None:
        self.text, self.words, self.readings, self.year = text, words, readings, this_year
        self.facts = Facts()

    def find(self) -> Facts:
        self._person()
        self._heights()
        self._loads()
        self._time()
        self._side()
        self._readings()
        return self.facts

    def _set(self, name: str, value: float, unit: str = "") -> None:
        if name not in self.facts.values:
            self.facts.values[name] = value
            if unit:
                self.facts.units[name] = unit

    def _span(self, start: int, end: int) -> Span:
        inside = [i for i, word in enumerate(self.words) if start <= word.at < end]
        return (inside[0], inside[-1] + 1) if inside else (0, min(1, len(self.words)))

    def _mark(self, name: str, match: re.Match[str]) -> None:
        if self.words:
            self.facts.marks.setdefault(name, self._span(match.start(), match.end()))

    def _limit(self, reading: str, key: str, default: float) -> float:
        try:
            return float(self.readings[reading][key])
        except (KeyError, TypeError, ValueError):
            return default

    def _person(self) -> None:
        age, sex = age_of(self.text), sex_of([w.text for w in self.words])
        if age is not None:
            self._set("age", age, "decade" if is_decade(self.text) else "")
        if sex:
            self.facts.words["sex"] = sex
        stature = stature_of(self.text)
        if stature:
            self._set("stature_cm", *stature)

    def _heights(self) -> None:
        for thing, names in _THINGS.items():
            before = re.search(rf"\b{_LENGTH}\s*(?:high |tall |thick |knee |rear |foot |of )*(?:{names})\b", self.text)
            after = re.search(
                rf"\b(?:{names})\b(?:\s*(?:is|at|of|height|now|about|was|:|,|high))*\s*{_LENGTH}", self.text
            )
            match = before or after
            if match:
                scale = CM_PER_IN if match[2] == "in" else 1.0
                self._set(f"{thing}_cm", float(match[1]) * scale, match[2])
        bare = re.search(
            r"\b(?:on|onto|up|from|off|to|at)\s+(?:a|an|the)\s+(\d{1,2})(?:\s*(in|cm))?(?=\s*(?:[,.?!]|with|no|both|one|and|hands|$|is|now|two|step|box|for|then|using))",
            self.text,
        )
        if bare and "step_cm" not in self.facts.values:
            value = float(bare[1])
            if bare[2] == "cm" or (value >= 10 and bare[2] != "in"):
                self._set("step_cm", value, "cm")
            elif value <= 14:
                self._set("step_cm", value * CM_PER_IN, "in")
        lone = re.search(_LENGTH, self.text)
        if lone and float(lone[1]) < 400:
            self._set("length_cm", float(lone[1]) * (CM_PER_IN if lone[2] == "in" else 1.0), lone[2])

    def _loads(self) -> None:
        for match in re.finditer(rf"\b{_N}\s*(kg|lb|stone|st)\b(?:\s*(\d{{1,2}})\s*(?:lb)?)?", self.text):
            mass = _mass_kg(float(match[1]), match[2])
            if match[2] in ("stone", "st"):
                mass += float(match[3] or 0) * KG_PER_LB
            around = self.text[max(0, match.start() - 28) : match.end() + 14]
            body = match[2] in ("stone", "st") or re.search(
                r"weigh|scales|bodyweight|body weight|\bkg (?:woman|man|lady|gent|client|person|bloke)", around
            )
            self._set("mass_kg" if body else "load_kg", mass, match[2])
        reps = re.search(
            r"\b(?:x|for|by)\s*(\d{1,2})\b(?!\s*(?:week|day|month|sec|min|kg|lb|%|in\b|cm|year|hour))|\b(\d{1,2})\s*(?:reps?|rm)\b",
            self.text,
        )
        if reps:
            self._set("reps", float(reps[1] or reps[2]))
        percent = re.findall(rf"{_N}\s*(?:%|percent|per cent)", self.text)
        if percent:
            self._set("percent", float(percent[0]))

    def _time(self) -> None:
        ago = _AGO.search(self.text) or _POST.search(self.text) or _BARE_AGE.search(self.text)
        if ago:
            self._set("weeks_since", float(ago[1]) * _WEEKS[ago[2]])
        years = [int(y) for y in _YEAR.findall(self.text) if 1940 <= int(y) <= self.year]
        if years and "weeks_since" not in self.facts.values and years[0] < self.year:
            self._set("weeks_since", (self.year - years[0]) * _WEEKS["year"])
        match = _YEAR.search(self.text)
        if match and int(match[1]) < self.year:
            self._mark("old-year", match)
        for match in re.finditer(rf"\b{_N}\s*(?:sec|s)\b", self.text):
            self._set("seconds", float(match[1]))

    def _side(self) -> None:
        texts = [w.text for w in self.words]
        left, right = texts.count("left"), texts.count("right")
        if left and not right:
            self.facts.words["side"] = "left"
        elif (
            right
            and not left
            and not re.search(r"\bright (?:away|now|on|height|length|angle|one|weight|load|time|way|order)", self.text)
        ):
            self.facts.words["side"] = "right"
        pole = re.search(
            r"(?:pole|stick|cane)\b[^.?!,]{0,18}\b(left|right)\s+hand|(left|right)\s+hand(?:ed)?\s+pole|in (?:his|her|the|their) (left|right)(?: hand)?\b",
            self.text,
        )
        if pole:
            self.facts.words["pole_hand"] = next(g for g in pole.groups() if g)
        leg = re.search(r"\b(left|right)\s+(?:leg|foot|knee)\b", self.text)
        if leg:
            self.facts.words["leg"] = leg[1]

    def _readings(self) -> None:
        for match in _BP.finditer(self.text):
            high, low = float(match[1]), float(match[2])
            if not (70 <= high <= 280 and 35 <= low <= 160 and high > low):
                continue
            self._set("systolic", high)
            self._set("diastolic", low)
            for name, defaults in (("bp-crisis", (180, 120)), ("bp-high", (200, 110))):
                if high >= self._limit(name, "systolic", defaults[0]) or low >= self._limit(
                    name, "diastolic", defaults[1]
                ):
                    self._mark(name, match)
            effort = re.search(
                r"\b(?:straight off|after|post|just off|off the)\b", self.text[match.end() : match.end() + 30]
            )
            if (high >= 140 or low >= 90) and not effort and not _POSTURE_TEST.search(self.text):
                self._mark("bp-raised", match)
        for match in _SYSTOLIC.finditer(self.text):
            high = float(match[1] or match[2])
            if 100 <= high <= 280 and "systolic" not in self.facts.values:
                self._set("systolic", high)
                for name, default in (("bp-crisis", 180), ("bp-high", 200)):
                    if high >= self._limit(name, "systolic", default):
                        self._mark(name, match)
        for match in _TEMP.finditer(self.text):
            if _ANGLE.search(self.text[max(0, match.start() - 40) : match.start()]):
                continue
            degrees = float((match[1] or match[3] or "") + (match[2] or match[4] or "") or match[5] or match[6])
            celsius = degrees if degrees < 50 else (degrees - 32) / 1.8
            if celsius >= self._limit("heat-fever", "celsius", 40):
                self._mark("heat-fever", match)
            if 43 >= celsius >= self._limit("fever", "celsius", 38):
                self._mark("fever", match)
        self._simple(_SPO2, "spo2", lambda v: 50 <= v < self._limit("low-spo2", "percent", 88), "low-spo2")
        self._sugar()
        self._simple(_PAIN, "pain", lambda v: v >= self._limit("severe-pain", "points", 7), "severe-pain")
        for match in _PULSE.finditer(self.text):
            bpm = float(match[1])
            self._set("pulse", bpm)
            if 250 >= bpm >= self._limit("fast-pulse", "bpm", 120):
                self._mark("fast-pulse", match)
            if 20 <= bpm < self._limit("slow-pulse", "bpm", 40):
                self._mark("slow-pulse", match)
        for pattern, name in ((_GAIN, "weight-gain"), (_LOSS, "weight-loss")):
            for match in pattern.finditer(self.text):
                kg = _mass_kg(float(match[1]), match[2]) if match[1] else 3.2
                around = self.text[max(0, match.start() - 6) : match.end()]
                if name == "weight-gain" and _LOADED.search(self.text[: match.start()]):
                    continue
                if MOST_GAINED >= kg >= self._limit(name, "kg", 0.9) and not re.search(
                    r"step|load|dumbbell|press|bar|row|squat|carry", around
                ):
                    self._mark(name, match)

    def _simple(self, pattern: re.Pattern[str], name: str, beyond: Any, mark: str) -> None:
        for match in pattern.finditer(self.text):
            value = float(match[1])
            self._set(name, value)
            if beyond(value):
                self._mark(mark, match)

    def _sugar(self) -> None:
        for match in _GLUCOSE.finditer(self.text):
            value = float(match[1])
            unit = "mmol" if value < 36 else "mgdl"
            self._set("glucose", value, unit)
            if 0 < value < self._limit("low-glucose", unit, 4 if unit == "mmol" else 70):
                self._mark("low-glucose", match)
            if value > self._limit("high-glucose", unit, 13.9 if unit == "mmol" else 250):
                self._mark("high-glucose", match)
