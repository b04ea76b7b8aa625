"""Units: SI inside, the coach's own unit kept for showing.

Factors are exact by definition (international yard and pound agreement, 1959): 1 in = 2.54 cm, 1 lb = 0.45359237 kg.
"""

from __future__ import annotations

CM_PER_IN = 2.54
KG_PER_LB = 0.45359237
LB_PER_STONE = 14


def inches(cm: float) -> float:
    """Centimetres to inches."""
    return cm / CM_PER_IN


def pounds(kg: float) -> float:
    """Kilograms to pounds."""
    return kg / KG_PER_LB


def plain(value: float, places: int = 1) -> str:
    """A number without needless zeros: 8.0 -> 8, 10.55 -> 10.6 (places=1)."""
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def length(cm: float, unit: str = "cm") -> str:
    """A length in the coach's unit first, the other in brackets."""
    metric, imperial = f"{plain(cm)} cm", f"{plain(inches(cm))} in"
    return f"{imperial} ({metric})" if unit in ("in", "ft") else f"{metric} ({imperial})"


def mass(kg: float, unit: str = "kg") -> str:
    """A mass in the coach's unit first, the other in brackets."""
    metric, imperial = f"{plain(kg)} kg", f"{plain(pounds(kg))} lb"
    return f"{imperial} ({metric})" if unit in ("lb", "st") else f"{metric} ({imperial})"
