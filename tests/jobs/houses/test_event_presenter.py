"""Events of a job are said in words, whatever a service kept in them."""

from typing import Any

import pytest

from contractor.models import Event
from jobs.desk.views.history import event_presenter

pytestmark = pytest.mark.usefixtures("thursday_morning")
NAMES = {"chases_capped": "chases and dropped soffits capped"}


@pytest.mark.parametrize(
    ("noun", "verb", "what", "said"),
    [
        (
            "condition",
            "moved",
            {"job": 7, "code": "chases_capped", "state": ["owed", "reported_done"]},
            "chases and dropped soffits capped moved: state owed → reported done",
        ),
        (
            "job",
            "updated",
            {"ready_date": [None, "2027-03-01"]},
            "job updated: ready date — → 2027-03-01",
        ),
        ("job", "estimated", {"steps": ["net", "batt", "flat_blow"]}, "job estimated: steps 3"),
        (
            "job",
            "estimated",
            {"lags": {"flat_blow": [0, 4]}},
            "job estimated: lags flat blow 0 → 4",
        ),
        ("condition", "moved", {"code": "gone", "reason": ""}, "condition moved"),
        ("job", "created", {}, "job created"),
    ],
)
def test_an_event_in_words(noun: str, verb: str, what: dict[str, Any], said: str) -> None:
    assert event_presenter(Event(noun=noun, verb=verb, what=what), NAMES).sentence == said
