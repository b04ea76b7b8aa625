"""Measurements of time, memory and growth: `python -m tests.bench [QUESTIONS]`."""
