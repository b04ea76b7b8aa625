"""Support taken by poles, rails and bands. Masses and pulls in kg, lengths in cm, angles in degrees from upright."""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.errors import InputError
from assistant.figures.geometry import cos

DEPTHS = 13


def band_relief(pull: float, body: float, angle: float = 0.0) -> float:
    """Percent of body weight a high-anchored band takes off: 100 x pull x cos(angle from vertical) / body."""
    if not 0 <= angle < 90 or not body > 0 or not 0 <= pull <= body:
        raise InputError("band pull must be below body weight and its angle below 90 degrees", fix="check the numbers")
    return 100 * pull * cos(angle) / body


def support_share(reading: float, body: float, hanging: bool) -> float:
    """Percent of body weight: what a pole tip presses on a scale, or what is missing from the scale when hanging."""
    if not body > 0 or reading < 0 or (hanging and reading > body):
        raise InputError("the reading must lie between 0 and body weight", fix="give both in one unit")
    return 100 * ((body - reading) if hanging else reading) / body


@dataclass(frozen=True)
class Band:
    """A band hung from above: anchor height, height at which it is held when standing, unstretched length (cm),
    stiffness (kg per cm of stretch), and how far ahead of the client the anchor hangs (cm)."""

    anchor: float
    held: float
    slack: float
    stiffness: float
    ahead: float = 0.0


def band_pull(band: Band, depth: float) -> tuple[float, float]:
    """(pull along the band, upward part of it) in kg with the client `depth` cm below standing.

    A straight-line spring: pull = stiffness x stretch, nothing while slack. Raises InputError for impossible input.
    """
    if not 0 <= depth <= 100:
        raise InputError(f"a depth of {depth:g} cm is outside 0 to 100 cm", fix="give the drop from standing")
    if not band.held < band.anchor <= 500 or band.held < 0:
        raise InputError("the anchor must hang above the hands, at most 5 m up", fix="check both heights")
    if not 0 < band.slack <= 400 or not 0 < band.stiffness <= 10 or not 0 <= band.ahead <= 150:
        raise InputError(
            "a band needs a slack length up to 4 m and a stiffness up to 10 kg per cm",
            fix="hook it to a luggage scale and read the pull at a known stretch",
        )
    up = band.anchor - band.held + depth
    length = math.hypot(band.ahead, up)
    pull = band.stiffness * max(0.0, length - band.slack)
    return pull, pull * up / length


def band_curve(band: Band, body: float, depth: float) -> list[tuple[float, float]]:
    """(depth in cm, percent of body weight taken) from standing to `depth`, for drawing beside an even help."""
    if not 25 <= body <= 300:
        raise InputError(f"a body weight of {body:g} kg is outside 25 to 300 kg", fix="check the unit")
    places = [depth * n / (DEPTHS - 1) for n in range(DEPTHS)]
    return [(place, 100 * band_pull(band, place)[1] / body) for place in places]
