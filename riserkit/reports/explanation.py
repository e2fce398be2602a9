"""Why an opening is wired as it is, in words and as JSON."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from riserkit.wiring.values import Candidate

if TYPE_CHECKING:
    from riserkit.reports.explained import Explained


def candidate_data(candidate: Candidate) -> dict[str, Any]:
    """A candidate as plain data."""
    return {
        "arrangement": candidate.arrangement,
        "title": candidate.title,
        "lock_cable": candidate.lock_cable,
        "lock_power_from": candidate.supply_at,
        "cost_order": candidate.cost,
        "feasible": candidate.feasible,
        "tests": [
            {"name": r.name, "passed": r.passed, "value": r.value, "limit": r.limit, "unit": r.unit, "text": r.text}
            for r in candidate.reasons
        ],
    }


def explanation_json(explained: Explained) -> str:
    """All of it as one JSON document."""
    wiring = explained.wiring
    document = {
        "mark": wiring.mark,
        "chosen": candidate_data(wiring.chosen) if wiring.chosen else None,
        "nearest": candidate_data(wiring.nearest) if wiring.nearest else None,
        "forced": wiring.forced,
        "missing": list(wiring.missing),
        "considered": [candidate_data(c) for c in wiring.considered],
        "words": list(explained.words),
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)
