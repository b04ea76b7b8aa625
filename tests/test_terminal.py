"""Answers on a terminal, from fixed dataclasses: kept screens at three widths, with and without colour."""

from __future__ import annotations

import argparse
import dataclasses
import io
import re
import types
from collections.abc import Callable
from pathlib import Path

import pytest

from assistant.commands import display, plain_words
from assistant.commands.talk import Talk
from assistant.conversation import Assistant
from assistant.rendering.plain import TIER
from assistant.rendering.terminal import ALARM_STYLE, LABEL_STYLE, Screen, card, doi_link, full_sources, ink, printed
from assistant.rulebase.model import Source
from assistant.shapes import Answer, Figure, Point

GOLDEN = Path(__file__).parent / "golden"
WIDTHS = (60, 80, 120)
SOURCES = {
    "one": Source("one", "Neumann DA", "1998", "Hip abductors", "Physical Therapy", "doi:10.1093/ptj/78.5.490", "trial", "read"),
    "common-practice": Source("common-practice", "", "", "", "", "", "common-practice", ""),
}  # fmt: skip
FULL = {name: source.full() for name, source in SOURCES.items()}

ADVICE = Answer(
    "hikes on the 8 in step, easier?", "answered", "regress", movements=["step-up"], carried=["step-up"],
    heading="step-up; hip replacement (left); 8 in step",
    points=[
        Point("a", "regression", "Drop to a 4 in (10 cm) step and put the pole in the hand opposite the working leg. Two "
              "poles if she wobbles.", "An opposite-hand pole cut side-hip muscle work by about a third.",
              ("one", "common-practice"), "trial"),
        Point("b", "ladder", "Use a 6 in (15 cm) step.", "", ("common-practice",), "common-practice"),
    ],
    watch="Over 5/10, or 2 grabs in a set: stop.",
    criteria="Two sessions running, 3 sets of 8 reps, pain at most 2/10.", notes=["Change one thing at a time."],
    sources=FULL,
)  # fmt: skip
NUMBERS = Answer(
    "pole?", "answered", "setup", heading="split squat",
    lead=["Pole 38 to 45 in (96 to 114 cm), start at 41.8 in (106.1 cm): elbow 87 degrees."],
    figures=[Figure("pole-length", 106.1, "cm", ("one",))], ask_back="How tall is the client?", sources={"one": FULL["one"]},
)  # fmt: skip
REFERRAL = Answer(
    "chest pain on the step", "refer", "referral", "emergency", lead=["chest, jaw or arm discomfort that may be the heart"],
    points=[Point("chest", "referral", "Sit the client down, knees bent, and stay. Call now; fetch the defibrillator within "
                  "3 minutes.", "", ("one",), "guideline")],
    notes=["Tell them when it began."], watch="Unresponsive: start CPR.", sources={"one": FULL["one"]},
)  # fmt: skip
UNSURE = Answer("hm", "unsure", "explain", heading="step-up", nearest=["caution for step-up", "dose for squat"])
OUTSIDE = Answer("shares", "out_of_scope", "out_of_scope", lead=["That is outside what rungbook covers."])
ANSWERS = {"advice": ADVICE, "numbers": NUMBERS, "referral": REFERRAL, "unsure": UNSURE, "outside": OUTSIDE}
_LINK_ID = re.compile(r"8;id=\d+;")
_CODES = re.compile(r"\x1b\[[0-9;]*m|\x1b\]8;[^\x1b]*\x1b\\")


def _plain(text: str) -> str:
    return _CODES.sub("", text)


@pytest.mark.parametrize("name", sorted(ANSWERS))
@pytest.mark.parametrize("colour", [True, False])
def test_screen_is_as_kept(name: str, colour: bool, golden: Callable[[Path, str], None]) -> None:
    """Control sequences are kept as \\e so that the files can be read."""
    parts = []
    for width in WIDTHS:
        text = printed(ANSWERS[name], SOURCES, Screen(width, colour, links=colour), "step-up from before (say forget)")
        parts.append(f"--- {width} columns\n{_LINK_ID.sub('8;id=0;', text)}")
    golden(
        GOLDEN / f"screen-{name}-{'colour' if colour else 'mono'}.txt",
        "".join(parts).replace("\x1b", "\\e"),
    )


@pytest.mark.parametrize("name", sorted(ANSWERS))
@pytest.mark.parametrize("width", [*WIDTHS, 20, 200, 500])
def test_no_line_is_wider_than_the_screen_and_nothing_hangs_on_colour(name: str, width: int) -> None:
    screen = Screen(width, True, links=True)
    coloured = printed(ANSWERS[name], SOURCES, screen)
    bare = printed(ANSWERS[name], SOURCES, Screen(width, False))
    assert _plain(coloured) == _plain(bare)
    assert max(map(len, _plain(bare).splitlines())) <= screen.usable
    assert not re.search(r"\x1b\[[0-9;]*3[0-7]m", bare)
    assert not set("│┃╭╮╰╯┌┐└┘|") & set(_plain(bare))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("urgency", sorted(TIER))
def test_a_referral_stands_alone_on_top(width: int, urgency: str) -> None:
    answer = Answer(**{**vars(REFERRAL), "urgency": urgency})
    for colour in (True, False):
        text = printed(answer, SOURCES, Screen(width, colour))
        lines = _plain(text).splitlines()
        assert lines[0] == "" and lines[1].startswith((" STOP.", " HOLD."))
        order = lines[1 : lines.index("", 1)]
        assert " ".join(line.strip() for line in order) == TIER[urgency]
        heavy = text.splitlines()[1]
        assert heavy.startswith("\x1b[1;7")  # bold and reverse, with colour or without


def test_the_first_line_is_the_thing_to_do_next() -> None:
    for answer, words in ((ADVICE, "NEXT     Drop to a 4 in"), (NUMBERS, "NEXT     Pole 38 to 45 in")):
        assert _plain(printed(answer, SOURCES, Screen(80))).startswith(words)


def test_figures_with_units_are_bold() -> None:
    text = printed(ADVICE, SOURCES, Screen(120, False))
    for figure in ("4 in", "10 cm", "5/10", "3 sets", "8 reps"):
        assert f"\x1b[1m{figure}\x1b[0m" in text, figure
    assert "\x1b[1m38 to 45 in\x1b[0m" in printed(NUMBERS, SOURCES, Screen(120, False))


def test_sources_are_last_and_linked_only_where_links_are_shown() -> None:
    linked, bare = (printed(ADVICE, SOURCES, Screen(80, True, links=shown)) for shown in (True, False))
    assert _plain(linked).splitlines()[-1].startswith("FROM     [1] Neumann 1998, trial; [2] common practice")
    assert "https://doi.org/10.1093/ptj/78.5.490" in linked
    assert "\x1b]8;" not in bare


def test_all_sources_in_full() -> None:
    text = _plain(ink(full_sources(ADVICE, SOURCES, Screen(200)), Screen(200)))
    assert "Hip abductors. Physical Therapy" in text and "[2]" in text


def test_doi_link_takes_nothing_but_a_doi() -> None:
    assert doi_link(SOURCES["common-practice"]) == ""
    odd = Source("x", "A", "2000", "t", "w", "doi:10.1000/a\x1b]8;;http://bad\x07b.", "trial", "")
    assert "\x1b" not in doi_link(odd) and "bad" not in doi_link(odd)


def test_outside_text_is_neither_markup_nor_control() -> None:
    text = "[bold red]Use[/] :smile: a \x1b[31m4 in\x1b[0m step \u202edetsrever [link=http://x]y[/link]"
    hostile = Answer("q", "answered", "setup", heading=text, points=[Point("r", "setup", text, text, (), "trial")])
    lines = card(hostile, SOURCES, Screen(200))
    joined = "\n".join(line.plain for line in lines)
    assert "[bold red]Use[/] :smile:" in joined and "[link=http://x]" in joined
    assert "\x1b" not in joined and "\u202e" not in joined


def test_colours_read_on_light_and_dark() -> None:
    """Contrast (WCAG 2 relative luminance) of the two colours used, in two common palettes, on white and black."""
    palettes = {"magenta": [(170, 0, 170), (205, 0, 205)], "red": [(170, 0, 0), (205, 0, 0)]}

    def luminance(rgb: tuple[int, int, int]) -> float:
        parts = [c / 255 / 12.92 if c / 255 <= 0.03928 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in rgb]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    for style in (LABEL_STYLE, ALARM_STYLE):
        name = next(word for word in style.split() if word in palettes)
        for rgb in palettes[name]:
            light, dark = 1.05 / (luminance(rgb) + 0.05), (luminance(rgb) + 0.05) / 0.05
            assert min(light, dark) >= 2.7, (name, rgb, light, dark)


# -- which screen a stream gets -----------------------------------------------------------------------------------------


class _Terminal(io.StringIO):
    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("env", "plain", "kept", "expected"),
    [
        ({}, False, False, "colour"),
        ({}, True, False, "plain"),
        ({"NO_COLOR": "1"}, False, False, "plain"),
        ({"NO_COLOR": "1"}, False, True, "mono"),
        ({"NO_COLOR": ""}, False, False, "colour"),
        ({"CLICOLOR": "0"}, False, False, "mono"),
        ({"TERM": "dumb"}, False, True, "plain"),
    ],
)
def test_what_a_terminal_is_given(
    env: dict[str, str], plain: bool, kept: bool, expected: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "72")
    for name, value in env.items():
        monkeypatch.setenv(name, value)
    found = display.screen(argparse.Namespace(plain=plain), _Terminal(), keep_layout=kept)
    assert ("plain" if found is None else "colour" if found.colour else "mono") == expected
    assert found is None or (found.width == 72 and found.links)


def test_a_pipe_is_plain() -> None:
    assert display.screen(argparse.Namespace(plain=False), io.StringIO(), keep_layout=True) is None


# -- the screens of the conversation ---------------------------------------------------------------------------------------

SHOWN = ("welcome", "help", "sources", "why", "forget", "draw")


@pytest.mark.parametrize("colour", [True, False])
@pytest.mark.parametrize("word", SHOWN)
def test_conversation_screen_is_as_kept(
    word: str,
    colour: bool,
    assistant: Assistant,
    golden: Callable[[Path, str], None],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """First screen, help, and what the words show after one answer, at three widths."""
    recorder = types.SimpleNamespace(folder=Path("/home/k7/journal"), state="journal on", coach="k7", code="", card=None,
                                     new_conversation=lambda: None)  # fmt: skip
    parts = []
    for width in WIDTHS:
        screen = Screen(width, colour, links=colour)
        talk = Talk(assistant, recorder, lambda screen=screen: screen)  # type: ignore[arg-type,misc]
        talk.answer = dataclasses.replace(ADVICE)
        talk.question = assistant.reader.read("step-up on a 6 inch step, one pole in the opposite hand")
        assistant.turn.question = talk.question
        plain_words.act(word, talk)
        text = capsys.readouterr().out
        assert max(map(len, _plain(text).splitlines())) <= width
        parts.append(f"--- {width} columns\n{_LINK_ID.sub('8;id=0;', text)}")
    golden(GOLDEN / f"talk-{word}-{'colour' if colour else 'mono'}.txt", "".join(parts).replace("\x1b", "\\e"))
