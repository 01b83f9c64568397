"""Ports: who answers is asked, who is missing is named; every port is filled as the site starts."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from contractor import ports
from contractor.ports import Port
from jobs import plan_ports


def test_a_port_that_nobody_fills_says_which() -> None:
    port: Port[object] = Port("planned days")
    with pytest.raises(ImproperlyConfigured, match=r"'planned days'.*AppConfig\.ready"):
        _ = port.ask


def test_who_fills_it_is_asked() -> None:
    port: Port[object] = Port("anything")
    port.fill(len)
    assert port.ask is len


def test_every_port_is_filled_by_a_floor_above() -> None:
    found = {
        name: port
        for module in (ports, plan_ports)
        for name, port in vars(module).items()
        if isinstance(port, Port)
    }
    answerers = {name: getattr(port.ask, "__module__", "") for name, port in found.items()}
    assert answerers.pop("RATES_CHANGED").startswith("jobs.")
    assert len(answerers) == 5
    assert all(module.startswith("scheduling.") for module in answerers.values())
