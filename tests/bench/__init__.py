"""Measurements: `python -m tests.bench [QUESTIONS]` for time, memory and growth; `python -m tests.bench.paraphrases`,
`python -m tests.bench.retrieval` over thousands of questions."""
