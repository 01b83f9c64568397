"""The moment at which the tests of these pages take place."""

from collections.abc import Iterator

import pytest
import time_machine

from tests.people import NOW


@pytest.fixture(autouse=True)
def _thursday_morning() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield
