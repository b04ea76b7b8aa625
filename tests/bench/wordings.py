"""How coaches put a question: frames for each intent, and what stands round a question when it is typed in a hurry.

`{m}` is a movement, `{c}` a condition, `{s}` a screen, `{k}` a piece of kit, `{w}` the client.
"""

from __future__ import annotations

MOVEMENT = {
    "regress": (
        "how do I make {m} easier for {w}",
        "easier version of {m} please",
        "{m}: too hard for {w}, what instead",
        "{w} cannot manage {m}, what can I offer",
        "need to scale back {m} for {w} today",
        "gentler option for {m}",
        "{m} is too much for {w}, how do I break it down",
        "{w} struggles with {m}, simpler one?",
    ),
    "progress": (
        "{m} is too easy for {w} now, what next",
        "how do I make {m} harder",
        "when can I move {w} on from {m}",
        "{w} has nailed {m}, next step up?",
        "is {w} ready to progress {m}",
        "make {m} more challenging for {w}",
        "what is the next rung after {m}",
    ),
    "dose": (
        "how many reps of {m} for {w}",
        "how many sets and reps of {m}",
        "how often should {w} do {m} in a week",
        "how much weight for {m}",
        "how long to rest between sets of {m}",
    ),
    "cue": (
        "what do I say to {w} to get {m} right",
        "coaching cues for {m}",
        "best cue for {m}",
        "how do I teach {m} to {w}",
        "what should good {m} look like",
    ),
    "setup": (
        "how do I set up {m}",
        "what kit do I need to set up {m}",
        "how should I set the room up for {m}",
    ),
    "explain": (
        "why do we bother with {m}",
        "why use {m} at all",
        "what is the point of {m}",
        "reason for doing {m}",
    ),
    "plan": (
        "twelve week plan to build up to {m}",
        "plan to get {w} to {m} over two months",
        "how do I build towards {m} over the next few weeks",
    ),
}
CONDITION = {
    "caution": (
        "what should I watch with {c} and {m}",
        "is {m} safe with {c}",
        "{w} has {c}, can {w} do {m}",
        "{c}: cautions for {m}",
        "anything to avoid in {m} with {c}",
        "precautions for {m} given {c}",
    ),
    "regress": (
        "{w} has {c}, how do I make {m} easier",
        "easier {m} for someone with {c}",
        "{c}, struggling with {m}, what can I change",
    ),
    "progress": (
        "{w} has {c} and finds {m} too easy, what next",
        "how do I progress {m} with {c}",
    ),
}
BARE_CONDITION = {
    "caution": (
        "{w} has {c}, what do I need to be careful with",
        "new client with {c}, what should I avoid",
        "cautions for {c}",
        "is it safe to train with {c}",
    ),
}
SCREEN = {
    "screen": (
        "how do I run the {s}",
        "how is the {s} scored",
        "what is a good score on the {s}",
        "cut-off for the {s}?",
    ),
}
KIT = {
    "setup": (
        "how do I set up the {k}",
        "how should I set up the {k} for {m}",
        "where does the {k} go for {m}",
    ),
}
# Written once and never looked at while the patterns of knowledge/language were mended: the honest figure.
HELD_OUT = {
    "regress": (
        "{w} keeps failing at {m}, tone it down for me",
        "what could stand in for {m} until {w} is stronger",
        "{m} beats {w} every time, something kinder?",
    ),
    "progress": (
        "{w} flies through {m}, how do I stretch this",
        "{m} has become boring for {w}, where do we go",
        "what would make {m} tougher for {w}",
    ),
    "dose": (
        "sets, reps and rest for {m}?",
        "how many {m} should {w} do per session",
        "what load would you start {w} on for {m}",
    ),
    "cue": (
        "give me two words to say during {m}",
        "how would you explain the technique of {m} to {w}",
        "what do I tell {w} when {m} looks sloppy",
    ),
    "setup": ("how should everything be arranged for {m}", "what equipment and what height for {m}"),
    "explain": ("what does {m} do for {w}", "{w} asks why {m} is in the session"),
    "plan": ("map out six weeks that end with {m}", "route from nothing to {m} for {w}"),
}
PEOPLE = ("her", "him", "my client", "a 72 year old", "this lady", "a gent of 81", "someone new", "her", "him")
SUBJECTS = {"her": "she", "him": "he", "someone new": "a newcomer"}
BEFORE = (
    "",
    "hi, ",
    "quick one: ",
    "morning, ",
    "hey ",
    "ok so ",
    "question - ",
    "for tomorrow's class: ",
    "help please, ",
)
AFTER = ("", "?", " thanks", " pls", " cheers", "??", " asap", " ta", "...", ", any ideas?")
# UK and US, long and short: each side may stand for the other in any question.
PAIRS = (
    ("programme", "program"),
    ("centre", "center"),
    ("colour", "color"),
    ("metres", "meters"),
    ("physio", "physiotherapist"),
    ("without", "w/o"),
    ("with", "w/"),
    ("because", "cos"),
    ("seconds", "secs"),
    ("minutes", "mins"),
    ("weeks", "wks"),
    ("right", "R"),
    ("left", "L"),
    ("and", "&"),
    ("cannot", "can't"),
    ("is not", "isn't"),
    ("does not", "doesn't"),
    ("years", "yrs"),
    ("before", "b4"),
    ("please", "pls"),
    ("total hip replacement", "THR"),
    ("total knee replacement", "TKR"),
    ("hip replacement", "THR"),
    ("knee replacement", "TKR"),
    ("Parkinson's", "PD"),
    ("osteoarthritis", "OA"),
    ("sit-to-stand", "STS"),
    ("timed up and go", "TUG"),
    ("blood pressure", "BP"),
    ("opposite hand", "contralateral hand"),
)
