"""An answer for a terminal: a floor card of labelled lines, the thing to do next on top, the width handed in.

Words and places carry the meaning; weight and colour only repeat it. Magenta and red are the two of the eight basic
colours that stay legible on white and on black; everything else is the terminal's own ink.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from rich.console import Console
from rich.style import Style
from rich.text import Text

from assistant.clean import harmless
from assistant.rendering.plain import AFTER, TIER, marks, numbering
from assistant.rulebase.model import Source
from assistant.shapes import Answer

NARROWEST, WIDEST, READABLE = 60, 200, 100
LABEL = 9
LABEL_STYLE, ALARM_STYLE = "bold magenta", "bold red reverse"

_NUMBER = r"\d+(?:[.,]\d+)?"
_UNIT = (
    r"inches|inch|in|cm|mm|m|feet|ft|kg|lb|stone|%|percent|degrees?|deg|reps?|sets?|seconds?|sec|s|minutes?|min|hours?|"
    r"days?|weeks?|months?|years?|sessions?|bpm|beats|METs?|watts?|J|N|points?|times|counts?|stands?|poles?|rungs?"
)
_FIGURE = re.compile(rf"(?<![\w.])(?:{_NUMBER}(?:\s?(?:to|or|x|-|–|/)\s?{_NUMBER})*\s?(?:{_UNIT})(?!\w)|\d+/\d+(?!\w))")
_DOI = re.compile(r"\bdoi:\s*(10\.\d{4,9}/\S+)", re.IGNORECASE)


@dataclass(frozen=True)
class Screen:
    """What the terminal can show: its width, colours or none, links or none, line-drawing letters or ASCII only."""

    width: int = 80
    colour: bool = True
    links: bool = False
    unicode: bool = True

    @property
    def usable(self) -> int:
        """The width clamped to what the layout is made for."""
        return max(NARROWEST, min(self.width, WIDEST))


@dataclass(frozen=True)
class Row:
    """A labelled line of the card; an empty label continues the row above."""

    label: str
    body: Text


def printed(answer: Answer, sources: Mapping[str, Source], screen: Screen, kept: str = "") -> str:
    """The answer as the characters to send to the terminal; `kept` names what was carried over and how to drop it."""
    return ink(card(answer, sources, screen, kept), screen)


def ink(lines: Iterable[Text], screen: Screen) -> str:
    """Lines of text with their weight and colour as control sequences."""
    out = io.StringIO()
    console = Console(
        file=out, width=WIDEST * 2, force_terminal=True, color_system="standard", no_color=not screen.colour,
        legacy_windows=False, highlight=False, markup=False, emoji=False,
    )  # fmt: skip
    for line in lines:
        console.print(line, soft_wrap=True)
    return out.getvalue()


def card(answer: Answer, sources: Mapping[str, Source], screen: Screen, kept: str = "") -> list[Text]:
    """The answer as finished lines, none wider than the screen."""
    made = {"refer": _referral, "unsure": _unsure, "out_of_scope": _outside}.get(answer.status, _advice)
    lines = _alarm(answer, screen) if answer.status == "refer" else []
    rows = [*made(answer), *_row("KEPT", kept), *_source_rows(answer, sources, screen)]
    return lines + laid_out(rows, screen)


def laid_out(rows: Iterable[Row], screen: Screen) -> list[Text]:
    """Rows as wrapped lines with the labels in a column of their own."""
    console = Console(file=io.StringIO(), width=screen.usable)
    width = min(screen.usable, READABLE) - LABEL
    lines: list[Text] = []
    for row in rows:
        for number, piece in enumerate(row.body.wrap(console, width, overflow="fold")):
            piece.rstrip()
            label = row.label if number == 0 else ""
            lines.append(Text.assemble((label.ljust(LABEL), LABEL_STYLE if label else ""), piece))
    return lines


def words(text: str, style: str = "") -> Text:
    """Outside text made harmless, with figures and their units in bold; never read as markup."""
    body = Text(harmless(text), style=style)
    body.highlight_regex(_FIGURE, "bold underline" if "bold" in style else "bold")
    return body


def _row(label: str, text: str, style: str = "") -> list[Row]:
    return [Row(label, words(text, style))] if text.strip() else []


# -- the four kinds of answer ------------------------------------------------------------------------------------------


def _alarm(answer: Answer, screen: Screen) -> list[Text]:
    """Blank line, the order in capitals and reverse, blank line: seen before anything else is read."""
    console = Console(file=io.StringIO(), width=screen.usable)
    order = Text(TIER[answer.urgency or "soon"])
    lines = order.wrap(console, min(screen.usable, READABLE) - 2)
    for line in lines:
        line.rstrip()
    return [Text(""), *(Text(f" {line.plain} ", style=ALARM_STYLE) for line in lines), Text("")]


def _referral(answer: Answer) -> list[Row]:
    numbers = numbering(answer)
    rows: list[Row] = []
    for count, point in enumerate(answer.points):
        rows += _row("NOW" if count == 0 else "AND", f"{point.text} {marks(point.sources, numbers)}", "bold")
    rows += _row("SEEN", "; ".join(answer.lead))
    for note in answer.notes:
        rows += _row("THEN", note)
    rows += _row("WORSE IF", answer.watch)
    return rows + _row("TRAINING", AFTER[answer.urgency or "soon"])


def _outside(answer: Answer) -> list[Row]:
    return [row for text in answer.lead for row in _row("OUTSIDE", text)]


def _unsure(answer: Answer) -> list[Row]:
    rows = _row(
        "NOT SURE",
        "I will not guess. Say the movement, what goes wrong, and whether you want it easier, harder, set up, dosed or explained.",
    )
    rows += _row("NEAREST", "; ".join(answer.nearest))
    return rows + _row("HEARD", answer.heading or "no movement, condition or kit that I know")


def _advice(answer: Answer) -> list[Row]:
    numbers = numbering(answer)
    rows: list[Row] = []
    for text in answer.lead:
        rows += _row("NEXT" if not rows else "ALSO", text)
    for point in answer.points:
        rows += _row("NEXT" if not rows else "ALSO", f"{point.text} {marks(point.sources, numbers)}")
        rows += _row("  why", point.why)
    rows += _row("WATCH", answer.watch) + _row("UP WHEN", answer.criteria)
    for note in answer.notes:
        rows += _row("MIND", note)
    return rows + _row("TELL ME", answer.ask_back) + _row("HEARD", answer.heading)


# -- where it comes from ---------------------------------------------------------------------------------------------


def _source_rows(answer: Answer, sources: Mapping[str, Source], screen: Screen) -> list[Row]:
    body = Text()
    for source_id, number in numbering(answer).items():
        source = sources[source_id]
        kind = "" if source.kind == "common-practice" else f", {source.kind}"
        name = Text(f"[{number}] {harmless(source.short())}{kind}")
        link = doi_link(source) if screen.links else ""
        if link:
            name.stylize(Style(link=link))
        body += Text("; ") + name if body else name
    return [Row("FROM", body)] if body else []


def doi_link(source: Source) -> str:
    """The address of a source that has a DOI, else an empty text."""
    found = _DOI.search(harmless(source.locator))
    return f"https://doi.org/{found[1].rstrip('.,;')}" if found else ""


def full_sources(answer: Answer, sources: Mapping[str, Source], screen: Screen) -> list[Text]:
    """Every source of the answer in full, numbered as in its text."""
    rows = []
    for source_id, number in numbering(answer).items():
        body = Text(harmless(answer.sources[source_id]))
        link = doi_link(sources[source_id]) if screen.links and source_id in sources else ""
        if link:
            body.stylize(Style(link=link))
        rows.append(Row(f"[{number}]", body))
    return laid_out(rows, screen)
