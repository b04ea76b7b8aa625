"""Names of people in a typed text: after a title, after a word for a person, after `called`, and common given names."""

from __future__ import annotations

import re
from collections.abc import Callable

from assistant.journal.wordlists import ALSO, GIVEN, KEPT, PARTICLE, STOP, TERM, TRADE

_WORD = re.compile(r"[^\W\d_](?:[\w]|['’.-](?=[^\W\d_]))*")
_INITIALS = re.compile(r"(?:[A-Z]\.\s?){1,3}")
_TITLES = re.compile(
    r"\b(?:Mr|Mrs|Mx|Dr|Sr|Sra|Srta|Herr|Frau|Mme|Prof|Professor|Rev|Reverend|Sir|Dame|MR|MRS|DR|mr|mrs|dr|prof|professor)\b\.?\s+"
)
_SOFT_TITLES = re.compile(
    r"\b(?:Ms|Miss|Lady|Lord|Sister|Nurse|Coach|Father|Auntie|Aunt|Uncle|Grandma|Grandad|Granny|Nan|Mum|Mom|Dad|Master|Doctor|Matron)\b\.?\s+"
)
_CLIENT = re.compile(
    r"\b(?:client|clients|patient|pt|member|customer|participant|resident|trainee)\b(?:['’]s)?(?:\s+(?:name|initials))?\s*[:,=–-]?\s*(?:is\s+|was\s+)?",
    re.I,
)
_PERSON = re.compile(
    r"\b(?:lady|gentleman|gent|woman|man|bloke|chap|guy|widow|widower|pensioner|student|lifter|trainer|instructor|physio|physiotherapist|therapist"
    r"|surgeon|consultant|doctor|gp|nurse|carer|caregiver|husband|wife|partner|daughter|son|mum|mom|mother|dad|father|sister|brother"
    r"|aunt|uncle|friend|neighbour|neighbor|colleague|granddaughter|grandson|gran|nan|grandma|grandad|ask|told|tell|hi|hello|hey|dear"
    r"|spoke\s+(?:to|with)|speak(?:ing)?\s+(?:to|with)|saw|met|i\s?am|i'm|i’m|thanks|cheers|regards)\b\s*[:,]?\s*",
    re.I,
)
_CALLED = re.compile(
    r"\b(?:called|named|nicknamed|known\s+as|goes\s+by|aka|a\.k\.a\.|surname(?:\s+is|d)?|name(?:\s+is|\s*[:=]|['’]s|s))\s*[:,]?\s*(?:the\s+name\s+of\s+)?['\"]?",
    re.I,
)
_WHO = re.compile(
    r"\b(?:client|patient|pt|member|lady|gentleman|gent|woman|man|bloke|chap|guy|person|someone|somebody|she|he|she['’]?s|he['’]?s|who|who['’]?s|who\s+is|whos"
    r"|is|was|husband|wife|partner|daughter|son|trainer|coach|physio|surgeon|doctor|friend|neighbour|my|her|his|full|first|last|the|one)\s+$",
    re.I,
)
_THING = re.compile(
    r"\b(?:exercise|move|movement|lunge|squat|deadlift|lift|press|test|drill|thing|it|technique|method|machine|condition|syndrome|disease|muscle|stretch"
    r"|tool|device|app|scale|score|version|variation|bit|bone|joint|pole|band|class|programme|program|what|whats|is\s+this|surgery|operation|procedure|medicine|tablet|drug)\b[^.?!]{0,20}$",
    re.I,
)


class Names:
    """Finds and marks names. `known` tells ordinary words, `mend` mends misspelt ones."""

    def __init__(self, known: Callable[[str], bool], mend: Callable[[str], str]) -> None:
        self._known, self._mend = known, mend

    def redact(self, text: str, mark: str, marks: list[str]) -> str:
        """The text with `mark` for every name; each is noted in `marks`."""
        headline = _headline(text)
        spans = sorted(self._spans(text, headline))
        if not spans:
            return text
        out, end = [], 0
        for start, stop in spans:
            if start < end:
                continue
            out += [text[end:start], mark]
            marks.append(mark)
            end = stop
        return "".join([*out, text[end:]])

    def _spans(self, text: str, headline: bool) -> list[tuple[int, int]]:
        found: list[tuple[int, int]] = []
        for cue, judge in (
            (_TITLES, self._after_title), (_SOFT_TITLES, self._after_soft_title), (_CLIENT, self._after_client),
            (_PERSON, self._after_person),
        ):  # fmt: skip
            for match in cue.finditer(text):
                self._take(text, match.end(), judge, headline, found)
        for match in _CALLED.finditer(text):
            before = text[max(0, match.start() - 40) : match.start()]
            judge = self._after_who if _WHO.search(before) and not _THING.search(before) else self._after_called
            if _THING.search(before) and not re.match(r"\w*name", match[0], re.I):
                continue
            self._take(text, match.end(), judge, headline, found)
        for match in _WORD.finditer(text):
            word = _bare(match[0])
            if _given(word) and (len(word) > 3 or match[0][0].isupper()) and word not in KEPT:
                self._take(text, match.start(), self._given, headline, found)
        return found

    def _take(
        self, text: str, start: int, judge: Callable[[str, bool], bool], headline: bool, found: list[tuple[int, int]]
    ) -> None:
        """Add the span of the name that begins here, if one does: initials, the first word, and what goes on from it."""
        initials = _INITIALS.match(text, start)
        first = _WORD.match(text, initials.end() if initials else start)
        if (
            initials
            and len(re.findall(r"[A-Z]", initials[0])) > 1
            and not (first and self._goes_on(first[0], headline))
        ):
            found.append((start, initials.end()))
            return
        if first is None or not (judge(first[0], headline) and not _is_term(text, first)):
            return
        stop, most = first, 3
        while most and (after := _next(text, stop)) and self._goes_on(after[0], headline) and not _is_term(text, after):
            if after[0].lower() in PARTICLE:
                beyond = _next(text, after)
                if not (beyond and beyond[0][0].isupper()):
                    break
            stop, most = after, most - 1
        found.append((start, stop.end() - _possessive(stop[0])))

    # -- judges: whether the word after a cue is a name ---------------------------------------------------------------

    def _after_title(self, typed: str, headline: bool) -> bool:
        word = _bare(typed)
        return len(word) > 1 and word not in STOP and word not in TRADE and not _short_caps(typed)

    def _after_soft_title(self, typed: str, headline: bool) -> bool:
        return typed[0].isupper() and not _short_caps(typed) and self._strange(typed, headline)

    def _after_client(self, typed: str, headline: bool) -> bool:
        word = _bare(typed)
        if typed[0].isupper():
            return not _short_caps(typed) and (self._strange(typed, headline) or (word in ALSO and not headline))
        return word in GIVEN or (len(word) > 4 and self._unheard(word))

    def _after_person(self, typed: str, headline: bool) -> bool:
        if not typed[0].isupper():
            return _bare(typed) in GIVEN
        return not _short_caps(typed) and self._strange(typed, headline)

    def _after_who(self, typed: str, headline: bool) -> bool:
        word = _bare(typed)
        if word in STOP or word in KEPT or word in TRADE or _short_caps(typed):
            return False
        return typed[0].isupper() or word in GIVEN or word in ALSO or self._unheard(word)

    def _after_called(self, typed: str, headline: bool) -> bool:
        return typed[0].isupper() and not _short_caps(typed) and self._strange(typed, headline)

    def _given(self, typed: str, headline: bool) -> bool:
        return True

    def _goes_on(self, typed: str, headline: bool) -> bool:
        """Whether a further word belongs to the name: a surname, a second given name, a particle."""
        word = _bare(typed)
        if word in PARTICLE:
            return True
        if not typed[0].isupper():
            return word in GIVEN
        if _short_caps(typed) or word in STOP or word in TRADE or word in KEPT:
            return False
        return not headline or self._strange(typed, headline)

    def _strange(self, typed: str, headline: bool) -> bool:
        """A capitalised word that is a given name or no ordinary word."""
        word = _bare(typed)
        if word in STOP or word in KEPT or word in TRADE:
            return False
        return word in GIVEN or (word in ALSO and not headline) or not self._known(word)

    def _unheard(self, word: str) -> bool:
        """A lower-case word that is no ordinary word and no misspelt one either."""
        return word not in STOP and word not in TRADE and not self._known(word) and self._mend(word) == word


def _given(word: str) -> bool:
    """A given name, or two of them joined."""
    return word in GIVEN or ("-" in word and all(part in GIVEN for part in word.split("-")))


def _bare(typed: str) -> str:
    word = typed.lower().rstrip(".")
    for ending in ("'s", "’s"):
        word = word.removesuffix(ending)
    return word.replace("’", "'")


def _possessive(typed: str) -> int:
    return 2 if typed.lower().endswith(("'s", "’s")) else 0


def _short_caps(typed: str) -> bool:
    """COPD, TUG, GP: an abbreviation and no name."""
    return typed.isupper() and len(typed) <= 5


def _headline(text: str) -> bool:
    """Whether nearly every word is capitalised, so that a capital says nothing."""
    words = [match[0] for match in _WORD.finditer(text) if len(match[0]) > 2]
    return len(words) > 4 and sum(word[0].isupper() for word in words) > 0.6 * len(words)


def _next(text: str, match: re.Match[str]) -> re.Match[str] | None:
    if _possessive(match[0]):
        return None
    gap = re.compile(r"[ -]").match(text, match.end())
    return _WORD.match(text, gap.end()) if gap else None


def _is_term(text: str, match: re.Match[str]) -> bool:
    after = _WORD.match(text, match.end() + 1) if text[match.end() : match.end() + 1] == " " else None
    if after is None or after[0].lower() not in TERM:
        return False
    return not (_bare(match[0]) in GIVEN and after[0].endswith("s"))  # "Thomas test", but "Patricia squats"
