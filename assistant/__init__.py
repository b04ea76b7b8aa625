"""rungbook: which version of a movement fits this person today."""

__version__ = "0.1.0"
