"""Pairs and rounds of a class: who works with whom, where each pair is when, and what one coach can watch.

A worker whom the coach must be near costs 1/limit of the coach's attention, the limit being how many such workers one
coach can watch at once; the others are seen from where the coach stands. In a pair one works while the other counts, so a station holds one worker at a time.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

WHOLE = 60  # a coach's whole attention, in parts that 1, 2, 3, 4, 5, 6, 10 and 12 divide
Pair = tuple[str, ...]


def cost(limit: int) -> int:
    """The attention that a worker takes of whom one coach can watch `limit` at once."""
    return -(-WHOLE // limit)


@dataclass(frozen=True)
class Rotation:
    """Pairs with their first station; `over` is the attention that is missing, summed over all rounds."""

    pairs: tuple[Pair, ...]
    starts: tuple[int, ...]
    over: int


def pairings(clients: Sequence[str]) -> Iterator[tuple[Pair, ...]]:
    """All ways to make pairs, one client alone when the number is odd."""
    if len(clients) <= 1:
        yield ((clients[0],),) if clients else ()
        return
    first, rest = clients[0], list(clients[1:])
    for number, partner in enumerate(rest):
        for others in pairings(rest[:number] + rest[number + 1 :]):
            yield ((first, partner), *others)
    if len(clients) % 2:
        for others in pairings(rest):
            yield ((first,), *others)


def halves(working: Sequence[Pair], load: Callable[[str], int]) -> tuple[int, tuple[Pair, ...]]:
    """The order in which each pair works that keeps the busier half lightest; returns the attention missing."""
    best: tuple[int, tuple[Pair, ...]] | None = None
    for turned in itertools.product((False, True), repeat=len(working)):
        order = tuple(pair[::-1] if turn else pair for pair, turn in zip(working, turned, strict=True))
        loads = [sum(load(pair[half]) for pair in order if len(pair) > half) for half in (0, 1)]
        over = sum(max(0, each - WHOLE) for each in loads)
        if best is None or over < best[0]:
            best = (over, order)
        if not over:
            break
    return best or (0, ())


def missing(loads: Sequence[tuple[int, int]]) -> int:
    """The attention missing with the best order of turns; `loads` are what the two of each pair take (0 for nobody)."""
    first = {0}
    for one, other in loads:
        first = {sum_ + each for sum_ in first for each in (one, other)}
    total = sum(one + other for one, other in loads)
    return min(max(0, half - WHOLE) + max(0, total - half - WHOLE) for half in first)


def rotation(ways: Sequence[tuple[Pair, ...]], stations: int, load: Callable[[str, int], int]) -> Rotation:
    """The pairs and first stations that leave the least unwatched; among equals the first of `ways` to make pairs.

    `load` is the attention a client takes at a station. Every pair comes to every station, so there are as many rounds as
    stations. Needs at least as many stations as pairs.
    """
    clients = {client for pair in ways[0] for client in pair}
    takes = {(client, at): load(client, at) for client in clients for at in range(stations)}

    def loads(pair: Pair, at: int) -> tuple[int, int]:
        return takes[pair[0], at], takes[pair[1], at] if len(pair) > 1 else 0

    best: Rotation | None = None
    for pairs in ways:
        tables = [[loads(pair, at) for at in range(stations)] for pair in pairs]
        for starts in itertools.permutations(range(1, stations), len(pairs) - 1):
            first = (0, *starts)
            total = 0
            for turn in range(stations):
                total += missing([at[(start + turn) % stations] for at, start in zip(tables, first, strict=True)])
                if best is not None and total >= best.over:
                    break
            if best is None or total < best.over:
                best = Rotation(pairs, first, total)
            if not best.over:
                return best
    if best is None:
        raise ValueError("no clients to pair")
    return best
