"""A second way to the same answers: plain float arithmetic from the statements of the trade.

It shares no code with the estimating. Where a count lies within 1e-6 of a whole number both
neighbours are right, since floats cannot tell.
"""

import math
from typing import Any

Space = dict[str, Any]


def number(value: Any) -> float:
    """A float from a number or from "28/15"."""
    if isinstance(value, str) and "/" in value:
        over, under = value.split("/")
        return float(over) / float(under)
    return float(value)


def whole(value: float) -> set[int]:
    """The counts that a float may round up to."""
    return {math.ceil(value - 1e-6), math.ceil(value + 1e-6)}


def crew(paced: float, hand: float, people: int) -> float:
    """Machine-paced minutes + hand work divided by people, 5 % lost for each beyond two."""
    return paced + hand / (people * (1 - 0.05 * max(0, people - 2)))


def attic(space: Space, row: Space, bag_lb: float, rates: Space) -> Space:
    """An attic flat: pounds by area and chart, the slowest of three paces, a minute a marker."""
    area, weight = number(space["area_ft2"]), number(row["lb_per_ft2"])
    pounds = area * weight
    per_hour = {
        "machine": rates["open"],
        "feeder": rates["feed"] * bag_lb,
        "hose_hand": rates["spread"] * weight,
    }
    blow = pounds / min(per_hour.values()) * 60
    markers = math.ceil(area / 300)
    return {
        "pounds": pounds,
        "bags": whole(pounds / bag_lb),
        "machine_minutes": blow,
        "paces": per_hour,
        "crew": {people: crew(blow, markers, people) for people in (2, 3, 4)},
    }


def slope(space: Space, bag_lb: float, rates: Space) -> Space:
    """Slope bays: clear width x fill depth x length, the slower of two paces, handling per bay."""
    if space.get("length_ft") is None:
        length = number(space["run_ft"]) * math.hypot(1, number(space["pitch"]) / 12)
    else:
        length = number(space["length_ft"])
    width = number(space["spacing_in"]) - number(space["rafter_width_in"])
    depth = number(space["depth_in"]) - number(space["vent_in"])
    density = number(space["lb_per_ft3"])
    bay = width / 12 * depth / 12 * length
    pounds = bay * density * space["bays"]
    dense = abs(density - 3.5) <= abs(density - 1.6)
    machine = rates["dense"] if dense else rates["open"]
    blow = pounds / min(machine, rates["feed"] * bag_lb) * 60
    return {
        "volume_ft3": bay * space["bays"],
        "pounds": pounds,
        "bags": whole(pounds / bag_lb),
        "machine_minutes": blow,
        "minutes_per_bay": blow / space["bays"] + rates["bay"],
        "crew": dict.fromkeys((2, 3, 4), blow + rates["bay"] * space["bays"]),
    }


def wall(space: Space, bag_lb: float, rates: Space) -> Space:
    """A dense-filled wall: net area without studs, a minute's share for each cavity of 8 ft."""
    net = number(space["area_ft2"]) - number(space["openings_ft2"])
    spacing = number(space["spacing_in"])
    volume = net * (spacing - 1.5) / spacing * number(space["depth_in"]) / 12
    pounds = volume * number(space["lb_per_ft3"])
    blow = pounds / min(rates["dense"], rates["feed"] * bag_lb) * 60
    return {
        "volume_ft3": volume,
        "pounds": pounds,
        "bags": whole(pounds / bag_lb),
        "machine_minutes": blow,
        "cavities": whole(net / (spacing / 12 * 8)),
    }
