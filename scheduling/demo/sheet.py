"""The invented jobs, as a sheet of the import's own form; pure, the same for the same day."""

import csv
import io
import random
from collections.abc import Iterator
from datetime import date, timedelta

Row = dict[str, str]

_SEED = 20270301
# Builder, superintendent, mail, phone.
_BUILDERS = (
    ("Quillfeather Homes", "Rosa Reyes", "rosa@quillfeather.example", "515-555-0111"),
    ("Brindle Acre Builders", "Walt Penny", "walt@brindleacre.example", "515-555-0112"),
    ("Tallow & Tern", "June Okafor", "june@tallowtern.example", "515-555-0113"),
)
_OLD_HOUSES = ("Marigold Retrofit", "Vic Lindgren", "vic@marigold.example", "515-555-0114")
# How crews get in where a tract has a gate.
_GATES = {
    "Larkspur Hollow": "Gate code 2290, close it behind the truck",
    "Millrace Commons": "Key box on the site office's door, code 0417",
}
# Where houses stand apart: name, street, latitude, longitude, lots; builders take turns.
_TRACTS = (
    ("Larkspur Hollow", "Larkspur Lane", 41.872, -93.251, 10),
    ("Millrace Commons", "Millrace Way", 41.801, -93.164, 9),
    ("Fallow Ridge", "Fallow Ridge Road", 41.918, -93.142, 8),
)
# One address with seven units: one site, seven jobs.
_ROW_HOUSES = ("Osier Court 20", 41.7790, -93.3020, 7)
_OLD_STREETS = (
    ("Thistle Street 418", 41.849, -93.225, 1926),
    ("Copper Alley 7", 41.838, -93.198, 1951),
    ("Juniper Street 92", 41.853, -93.207, 1968),
    ("Depot Street 230", 41.846, -93.213, 1974),
    ("Weaver Street 15", 41.861, -93.190, 1989),
    ("Chandler Street 3", 41.833, -93.231, 2001),
)
# Who lives there; the second has a telephone only, so that somebody has to ring.
_OWNERS: dict[str, Row] = {
    "Depot Street 230": {
        "owner_name": "Marta Quiroga",
        "owner_email": "marta@example.com",
        "owner_phone": "515-555-0131",
        "owner_language": "es",
    },
    "Thistle Street 418": {"owner_name": "Alvin Pratt", "owner_phone": "515-555-0132"},
}


def next_monday(today: date) -> date:
    """Return the Monday of the coming week."""
    return today + timedelta(days=7 - today.weekday())


def demo_rows(*, monday: date) -> list[Row]:
    """Return the sheet's rows, one per space, for houses to be done from `monday` on."""
    chance = random.Random(_SEED)  # noqa: S311 - the same houses each time, no secret
    rows: list[Row] = []
    for number, place in enumerate([*_tract_places(chance), *_row_house_places()]):
        rows += _house(chance, place, monday, number)
    for number, place in enumerate(_old_places()):
        rows += _old_house(chance, place, monday, number)
    return rows


def finished_rows(*, monday: date) -> list[Row]:
    """Return the rows of eight houses of one tract, done in the days from `monday` on."""
    chance = random.Random(_SEED + 1)  # noqa: S311 - the same houses each time, no secret
    rows: list[Row] = []
    for lot in range(1, 9):
        place = {
            **_customer(_BUILDERS[lot % len(_BUILDERS)]),
            "site": f"Sorrel Green {lot}",
            "address": f"{200 + 4 * lot} Sorrel Green, Cedar Ford",
            "unit": f"Lot {lot}",
            **_spot(41.825 + lot / 2000, -93.243),
        }
        rows += _house(chance, place, monday, lot - 1)
    return rows


def demo_day_rows(*, monday: date, houses: int) -> list[Row]:
    """Return the rows of houses of one court, which crews are at these days."""
    chance = random.Random(_SEED + 2)  # noqa: S311 - the same houses each time, no secret
    rows: list[Row] = []
    for lot in range(1, houses + 1):
        place = {
            **_customer(_BUILDERS[lot % len(_BUILDERS)]),
            "site": f"Bramble Court {lot}",
            "address": f"{300 + 4 * lot} Bramble Court, Cedar Ford",
            "unit": f"Lot {lot}",
            **_spot(41.836 + lot / 2000, -93.221),
        }
        rows += _house(chance, place, monday, 0 if lot % 2 else 3)
    return rows


def sheet_bytes(rows: list[Row]) -> bytes:
    """Return rows as a CSV sheet, with the columns that any of them has."""
    columns = list(dict.fromkeys(column for row in rows for column in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, restval="")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def _customer(builder: tuple[str, str, str, str]) -> Row:
    name, person, mail, phone = builder
    return {
        "builder": name,
        "superintendent": person,
        "superintendent_email": mail,
        "superintendent_phone": phone,
    }


def _spot(latitude: float, longitude: float) -> Row:
    return {"latitude": f"{latitude:.5f}", "longitude": f"{longitude:.5f}"}


def _tract_places(chance: random.Random) -> Iterator[Row]:
    for (name, street, latitude, longitude, lots), builder in zip(_TRACTS, _BUILDERS, strict=True):
        for lot in range(1, lots + 1):
            spot = _spot(
                latitude + chance.uniform(-0.004, 0.004), longitude + chance.uniform(-0.004, 0.004)
            )
            # The last lot of a tract comes without coordinates: the office is asked for them.
            known = spot if (name, lot) != ("Fallow Ridge", 8) else {}
            yield {
                **_customer(builder),
                "site": f"{name} {lot}",
                "address": f"{100 + 4 * lot} {street}, Cedar Ford",
                "unit": f"Lot {lot}",
                "gate_note": _GATES.get(name, ""),
                **known,
            }


def _row_house_places() -> Iterator[Row]:
    address, latitude, longitude, units = _ROW_HOUSES
    for unit in range(1, units + 1):
        yield {
            **_customer(_BUILDERS[0]),
            "site": address,
            "address": f"{address}, Cedar Ford",
            "unit": f"Unit {unit}",
            **_spot(latitude, longitude),
        }


def _old_places() -> Iterator[Row]:
    for address, latitude, longitude, year in _OLD_STREETS:
        yield {
            **_customer(_OLD_HOUSES),
            "site": address,
            "address": f"{address}, Cedar Ford",
            "year_built": str(year),
            **_OWNERS.get(address, {}),
            **_spot(latitude, longitude),
        }


def _dates(chance: random.Random, monday: date, number: int) -> Row:
    """Promise most houses over three weeks; every ninth builder has named no day."""
    ready = monday + timedelta(days=chance.choice((-4, -3, 0, 0, 1, 1, 2, 3, 4, 7, 8, 9, 10, 15)))
    ready = _weekday(ready)
    promised = _weekday(ready + timedelta(days=chance.choice((4, 6, 7, 9, 11))))
    named = number % 9 != 5
    return {
        "ready_date": ready.isoformat() if named else "",
        "promised_date": promised.isoformat(),
    }


def _weekday(day: date) -> date:
    return day - timedelta(days=max(0, day.weekday() - 4))


def _house(chance: random.Random, place: Row, monday: date, number: int) -> Iterator[Row]:
    """Yield a new house: always an attic or slopes, often walls, sealing and baffles with them."""
    job = {**place, **_dates(chance, monday, number)}
    area = chance.randrange(1040, 2100, 20)
    shape = number % 4
    if shape != 3:
        yield {
            **job,
            "space": "air sealing",
            "kind": "air_seal",
            "length_ft": str(chance.randrange(140, 320, 10)),
            "count": str(chance.randrange(18, 52)),
        }
    if shape in (0, 1):
        yield {
            **job,
            "space": "eave baffles",
            "kind": "baffles",
            "count": str(chance.randrange(24, 60)),
        }
    if shape in (1, 3):
        yield {**job, **_walls(chance)}
    if shape == 2:
        yield {**job, **_slopes(chance)}
    if shape != 3:
        yield {**job, **_attic(area, chance.choice(("38", "49")))}


def _walls(chance: random.Random) -> Row:
    return {
        "space": "outside walls",
        "kind": "walls",
        "area_ft2": str(chance.randrange(1200, 2300, 20)),
        "spacing_in": "16",
        "depth_in": "5.5",
        "target_r": "20",
    }


def _slopes(chance: random.Random) -> Row:
    return {
        "space": "great room slopes",
        "kind": "slope_bays",
        "bays": str(chance.randrange(14, 36, 2)),
        "run_ft": str(chance.choice((10, 12, 14))),
        "pitch": str(chance.choice((6, 8, 10))),
        "depth_in": "11.25",
        "spacing_in": "16",
        "vent_in": "1",
        "cover": "net",
        "lb_per_ft3": "3.5",
    }


def _attic(area_ft2: int, target_r: str) -> Row:
    return {
        "space": "attic flat",
        "kind": "attic_flat",
        "area_ft2": str(area_ft2),
        "target_r": target_r,
        "board_in": "0.625",
        "framing_in": "24",
    }


def _old_house(chance: random.Random, place: Row, monday: date, index: int) -> Iterator[Row]:
    """Yield an old house: sealing and a blown attic; one has a ceiling that is too weak for it."""
    job = {**place, **_dates(chance, monday, index)}
    yield {
        **job,
        "space": "attic sealing",
        "kind": "air_seal",
        "length_ft": str(chance.randrange(120, 220, 10)),
        "count": str(chance.randrange(12, 30)),
    }
    weak = index == 2
    yield {
        **job,
        **_attic(chance.randrange(800, 1400, 20), "49"),
        "board_in": "0.5" if weak else "0.625",
        "note": "hatch in the hall closet; dog in the yard" if index == 0 else "",
    }
