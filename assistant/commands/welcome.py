"""The first screen: shown once, then only when asked for."""

from __future__ import annotations

import os
from pathlib import Path

from assistant.journal.places import make_private, state_home

MARKER = "welcomed"
EXAMPLES = (
    "68, left hip replaced 3 years ago, hikes the hip on an 8 inch step: easier step-up?",
    "5 ft 4, split squat to a 6 inch pad: which pole length?",
    "chair stand 9 in 30 seconds at 74, woman: what does it mean?",
)


def rows(journal: str, coach: str) -> list[tuple[str, str]]:
    """The screen as (label, text): what it is, three questions, the journal, the coach's code, units, words."""
    return [
        ("RUNGBOOK", "Which version of a movement fits this person today, with its source. Adults over 50, any kit."),
        (
            "",
            "It looks things up in written rules on this machine; nothing is sent anywhere. It sends danger signs to a clinician.",
        ),
        ("ASK", EXAMPLES[0]),
        ("OR", EXAMPLES[1]),
        ("OR", EXAMPLES[2]),
        ("JOURNAL", journal),
        ("YOU", f"Your code is {coach!r}. To change it: rungbook --coach ab, or RUNGBOOK_COACH=ab for good."),
        ("UNITS", "Write cm, in, ft, kg, lb or stone as you like; the answer puts your unit first."),
        (
            "WORDS",
            "easier, harder, why, sources, set-up, draw, history, forget, help, quit. This screen again: welcome.",
        ),
    ]


def first_time() -> bool:
    """Whether the first screen has not been shown yet; remembers that it has been. Never raises."""
    marker = state_home() / MARKER
    if marker.exists():
        return False
    try:
        make_private(marker.parent)
        _touch(marker)
    except OSError:
        pass  # cannot be remembered here: then it is shown again, which harms nobody
    return True


def _touch(path: Path) -> None:
    os.close(os.open(path, os.O_WRONLY | os.O_CREAT, 0o600))
