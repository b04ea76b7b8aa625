"""In which sense a mention is meant: said, denied, past, supposed, of somebody else, or an idiom.

After ConText (Harkema et al. 2009, doi:10.1016/j.jbi.2009.05.002) and NegEx (Chapman et al. 2001,
doi:10.1006/jbin.2001.1029); the cue words stand in knowledge/language/scope.yaml.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.shapes import Span, Word

DENY_REACH = 7
AFTER_REACH = 3
Cues = Mapping[str, Sequence[Span]]
_NOW = {
    "now",
    "today",
    "tonight",
    "morning",
    "mid",
    "just",
    "suddenly",
    "again",
    "still",
    "new",
    "newly",
    "started",
    "lately",
}
_AGE = ("old", "olds")


@dataclass(frozen=True)
class Reach:
    """A cue's reach: mentions that start inside [start, end) get the sense, unless the cue is part of them."""

    sense: str
    start: int
    end: int
    cue: Span


class Scope:
    """Senses for one question. `cues` maps cue names to the spans found."""

    def __init__(self, words: Sequence[Word], cues: Cues) -> None:
        self.words = words
        self.cues = cues
        self.cuts = sorted({span[0] for span in cues.get("cut", ())})
        self.idioms = list(cues.get("idiom", ()))
        self._known: dict[Span, str] = {}
        self.reaches = [*self._denials(), *self._times(), *self._suppositions(), *self._others()]

    def sense(self, span: Span) -> str:
        """Sense of a mention at `span`."""
        if span not in self._known:
            self._known[span] = self._sense(span)
        return self._known[span]

    def _sense(self, span: Span) -> str:
        if any(a < span[1] and span[0] < b for a, b in self.idioms):
            return "idiom"
        for reach in self.reaches:
            inside = reach.start <= span[0] < reach.end
            own = span[0] <= reach.cue[0] and reach.cue[1] <= span[1]
            if inside and not own:
                return reach.sense
        return "said"

    def _clause_end(self, start: int) -> int:
        end = start
        while end < len(self.words) and self.words[end].clause == self.words[start].clause:
            end += 1
        return end

    def _sentence(self, at: int) -> Span:
        number = self.words[at].sentence
        inside = [i for i, w in enumerate(self.words) if w.sentence == number]
        return inside[0], inside[-1] + 1

    def _next_cut(self, start: int, end: int) -> int:
        return next((cut for cut in self.cuts if start <= cut < end), end)

    def _denials(self) -> list[Reach]:
        result = []
        shields = list(self.cues.get("not-deny", ()))
        for cue in self.cues.get("deny", ()):
            if cue[1] >= len(self.words) or any(a <= cue[0] < b for a, b in shields):
                continue
            if self.words[cue[1]].clause != self.words[cue[0]].clause:
                continue
            end = min(self._list_end(cue[1]), cue[1] + DENY_REACH)
            result.append(Reach("denied", cue[1], self._next_cut(cue[1], end), cue))
        for cue in self.cues.get("deny-list", ()):
            if cue[1] < len(self.words):
                end = self._sentence(cue[0])[1]
                result.append(Reach("denied", cue[1], self._next_cut(cue[1], end), cue))
        for cue in self.cues.get("deny-after", ()):
            start = max(0, cue[0] - AFTER_REACH)
            while start < cue[0] and self.words[start].clause != self.words[cue[0]].clause:
                start += 1
            blocks = [c + 1 for c in self.cuts if start <= c < cue[0]]
            result.append(Reach("denied", max([start, *blocks]), cue[0], cue))
        return result

    def _list_end(self, start: int) -> int:
        """End of the clause, run on over commas while a short list item ending in `or` follows."""
        end = self._clause_end(start)
        sentence = self._sentence(start)[1]
        ahead = [w.text for w in self.words[end:sentence]]
        if ahead and (ahead[0] in ("or", "nor") or ("or" in ahead[:5] and len(ahead) < 9)):
            return sentence
        return end

    def _times(self) -> list[Reach]:
        result = []
        for cue in self.cues.get("past", ()):
            if self.words[cue[1] : cue[1] + 1] and self.words[cue[1]].text in _AGE:
                continue  # "for a 72 year old" tells an age, not since when
            clause = self.words[cue[0]].clause
            inside = [i for i, w in enumerate(self.words) if w.clause == clause]
            start = max([inside[0], *(cut for cut in self.cuts if inside[0] <= cut < cue[0])])
            end = self._next_cut(cue[1], inside[-1] + 1)
            if not any(self.words[i].text in _NOW for i in range(start, end)):
                result.append(Reach("past", start, end, cue))
        for cue in self.cues.get("settled", ()):
            start, end = self._sentence(cue[0])
            for clause in {self.words[i].clause for i in range(start, end)}:
                inside = [i for i in range(start, end) if self.words[i].clause == clause]
                if not any(self.words[i].text in _NOW for i in inside):
                    result.append(Reach("past", inside[0], inside[-1] + 1, (-1, -1)))
        return result

    def _suppositions(self) -> list[Reach]:
        result = [Reach("supposed", *self._sentence(cue[0]), (-1, -1)) for cue in self.cues.get("suppose", ())]
        people = {self.words[span[0]].sentence for span in self.cues.get("person", ())}
        hollow = list(self.cues.get("not-explain", ()))
        for cue in self.cues.get("explain", ()):
            if any(a < cue[1] and cue[0] < b for a, b in hollow):
                continue
            if self.words[cue[0]].sentence not in people:
                result.append(Reach("supposed", *self._sentence(cue[0]), (-1, -1)))
        return result

    def _others(self) -> list[Reach]:
        result = []
        back = sorted(span[0] for span in self.cues.get("client-again", ()))
        aside = self._set_aside()
        asked = self.cues.get("asked-about", ()) if aside else ()
        for cue in self.cues.get("other", ()):
            if any(a < cue[1] and cue[0] < b for a, b in asked):
                continue
            end = self._sentence(cue[0])[1]
            end = next((i for i in back if cue[1] <= i < end), end)
            result.append(Reach("other", cue[0], self._next_cut(cue[1], end), (-1, -1)))
        return [*result, *aside]

    def _set_aside(self) -> list[Reach]:
        """Of two people the one who is well: "my knee lady is fine, but the other one ..." asks about the second."""
        later = [span[0] for span in self.cues.get("asked-about", ())]
        return [
            Reach("other", self._sentence(cue[0])[0], cue[1], (-1, -1))
            for cue in self.cues.get("no-trouble", ())
            if any(start >= cue[1] for start in later)
        ]
