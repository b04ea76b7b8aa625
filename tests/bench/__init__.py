"""Measurements that run over thousands of questions: `python -m tests.bench.paraphrases`, `python -m tests.bench.retrieval`."""
