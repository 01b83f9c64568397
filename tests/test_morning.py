"""Whenever a browser's test begins, its yard has fifteen hours of the day before it."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from tests.morning import MORNING_HOUR, morning_zone


@pytest.mark.parametrize("hour", range(24))
def test_it_is_morning_at_every_hour(hour: int) -> None:
    now = datetime(2028, 2, 29, hour, 59, tzinfo=UTC)
    assert now.astimezone(ZoneInfo(morning_zone(now))).hour == MORNING_HOUR
