"""An answer as the one-line JSON object of the contract."""

from __future__ import annotations

import json
from typing import Any

from assistant.shapes import Answer, Figure


def answer_object(answer: Answer, text: str) -> dict[str, Any]:
    """The contract's object; `text` is the plain rendering."""
    return {
        "question": answer.question, "status": answer.status, "urgency": answer.urgency, "intent": answer.intent,
        "movements": answer.movements, "conditions": answer.conditions, "equipment": answer.equipment,
        "carried": answer.carried, "facts": answer.facts, "text": text,
        "points": [
            {"rule": p.rule, "kind": p.kind, "text": p.text, "why": p.why, "sources": list(p.sources), "evidence": p.evidence}
            for p in answer.points
        ],
        "computed": [_figure(figure) for figure in answer.figures],
        "sources": answer.sources, "knowledge": answer.knowledge, "elapsed_ms": round(answer.elapsed_ms, 2),
    }  # fmt: skip


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "quantity": figure.quantity, "value": round(figure.value, 4), "unit": figure.unit,
        "range": [round(v, 4) for v in figure.range] if figure.range else None,
        "inputs": {k: round(v, 4) for k, v in figure.inputs.items()}, "sources": list(figure.sources),
    }  # fmt: skip


def line(answer: Answer, text: str) -> str:
    """One JSON line."""
    return json.dumps(answer_object(answer, text), ensure_ascii=False)
