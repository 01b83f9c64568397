"""The columns of a job sheet: what each holds and within which limits; must not know a file."""

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from jobs.conditions.words import COVERS, SPACE_KINDS
from jobs.sheets.errors import marked as _


class Holds(Enum):
    """What kind of value a column holds."""

    TEXT = "text"
    NOTE = "note"
    EMAIL = "email"
    PHONE = "phone"
    CHOICE = "choice"
    NUMBER = "number"
    PITCH = "pitch"
    WHOLE = "whole"
    DATE = "date"


class About(Enum):
    """What a column describes. Rows of one thing must agree about it."""

    SUPERINTENDENT = "superintendent"
    SITE = "site"
    JOB = "job"
    SPACE = "space"


@dataclass(frozen=True)
class Column:
    """One column. `unit` is what a number counts; low and high bound it, low itself if `zero`."""

    name: str
    holds: Holds
    about: About
    unit: str = ""
    required: bool = False
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    zero: bool = False
    places: int = 3
    most_characters: int = 120
    choices: tuple[str, ...] = ()


def _text(name: str, about: About, *, required: bool = False, most: int = 120) -> Column:
    return Column(name, Holds.TEXT, about, required=required, most_characters=most)


def _measure(name: str, unit: str, high: int, *, zero: bool = False) -> Column:
    return Column(name, Holds.NUMBER, About.SPACE, unit, high=Decimal(high), zero=zero)


def _count(name: str, unit: str) -> Column:
    return Column(name, Holds.WHOLE, About.SPACE, unit, high=Decimal(100_000))


def _degrees(name: str, most: int) -> Column:
    return Column(
        name,
        Holds.NUMBER,
        About.SITE,
        _("degrees"),
        low=Decimal(-most),
        high=Decimal(most),
        zero=True,
        places=6,
    )


OWNER_LANGUAGES = ("en", "es")
COLUMNS = (
    _text("builder", About.SITE, required=True),
    _text("superintendent", About.SITE),
    Column("superintendent_email", Holds.EMAIL, About.SUPERINTENDENT),
    Column("superintendent_phone", Holds.PHONE, About.SUPERINTENDENT, most_characters=30),
    _text("branch", About.SITE, most=80),
    _text("site", About.SITE, required=True),
    _text("address", About.SITE, most=200),
    _degrees("latitude", 90),
    _degrees("longitude", 180),
    _text("gate_note", About.SITE, most=200),
    _text("unit", About.JOB, most=60),
    Column(
        "year_built",
        Holds.WHOLE,
        About.JOB,
        _("year"),
        low=Decimal(1700),
        high=Decimal(2100),
        zero=True,
    ),
    Column("ready_date", Holds.DATE, About.JOB),
    Column("promised_date", Holds.DATE, About.JOB),
    _text("owner_name", About.JOB),
    Column("owner_email", Holds.EMAIL, About.JOB),
    Column("owner_phone", Holds.PHONE, About.JOB, most_characters=30),
    Column("owner_language", Holds.CHOICE, About.JOB, choices=OWNER_LANGUAGES),
    _text("space", About.SPACE, required=True, most=80),
    Column("kind", Holds.CHOICE, About.SPACE, required=True, choices=SPACE_KINDS),
    _measure("area_ft2", _("square feet"), 1_000_000),
    _count("bays", _("bays")),
    _measure("length_ft", _("feet"), 100_000),
    _measure("run_ft", _("feet"), 1_000),
    Column(
        "pitch",
        Holds.PITCH,
        About.SPACE,
        _("inches of rise in 12"),
        high=Decimal(48),
        zero=True,
    ),
    _measure("depth_in", _("inches"), 60),
    _measure("spacing_in", _("inches"), 96),
    _measure("vent_in", _("inches"), 60, zero=True),
    Column("cover", Holds.CHOICE, About.SPACE, choices=COVERS),
    _measure("target_r", _("R-value"), 200),
    _text("material", About.SPACE, most=80),
    _measure("lb_per_ft3", _("pounds in a cubic foot"), 6),
    _measure("board_in", _("inches"), 4),
    _measure("framing_in", _("inches"), 96),
    _count("count", _("pieces or holes")),
    Column("note", Holds.NOTE, About.SPACE, most_characters=500),
)
BY_NAME = {column.name: column for column in COLUMNS}
NAMES = tuple(BY_NAME)
MEASURES = (
    "area_ft2",
    "bays",
    "length_ft",
    "run_ft",
    "pitch",
    "depth_in",
    "spacing_in",
    "vent_in",
    "cover",
    "target_r",
    "lb_per_ft3",
    "board_in",
    "framing_in",
    "count",
    "note",
)
WORDS = {
    "builder": _("The company that builds the house, or whoever asked for the work."),
    "superintendent": _("The builder's person who runs the site."),
    "superintendent_email": _("Where the checklist goes."),
    "superintendent_phone": _("Whom to call when the house is not ready."),
    "branch": _("The yard that does the work; empty for the only one."),
    "site": _("The address or the name of the development."),
    "address": _("Street and town, for the truck."),
    "latitude": _("Degrees north; empty is asked for later."),
    "longitude": _("Degrees east, so west is below zero."),
    "gate_note": _("Gate code or key box; only the crews that go there and the office see it."),
    "unit": _("Lot, unit or house number; empty where the site is one house."),
    "year_built": _("Empty for a new house."),
    "ready_date": _("When the builder says that the house will be ready."),
    "promised_date": _("By when we told the builder that we would be finished."),
    "owner_name": _("Of a house that somebody lives in: whom we tell when we come."),
    "owner_email": _("Where the owner is told the time of arrival."),
    "owner_phone": _("Whom to ring at the house."),
    "owner_language": _("en for English, es for Spanish; English where it is empty."),
    "space": _("A name for the part of the house, once in each job."),
    "kind": _("What kind of space it is."),
    "area_ft2": _("Net area; needed for attic flats, walls, rims, knee walls and floors."),
    "bays": _("How many rafter bays; needed for slopes."),
    "length_ft": _("Length of a bay along the slope; for air sealing feet of top plate."),
    "run_ft": _("Level run of a slope, together with pitch, instead of its length."),
    "pitch": _("Rise in 12, such as 6 or 6:12."),
    "depth_in": _("Depth of rafter, stud or joist; needed for slopes, walls, rims and floors."),
    "spacing_in": _("From framing to framing; 16 is taken where it is empty."),
    "vent_in": _("Space left for air over the fill; 1 is taken where it is empty."),
    "cover": _("What holds the fill of slopes."),
    "target_r": _("The R-value asked for; needed for attic flats."),
    "material": _("As the company calls it; empty for the usual one."),
    "lb_per_ft3": _("Density of a fill; the material's own where it is empty."),
    "board_in": _("Thickness of the ceiling board, such as 0.625."),
    "framing_in": _("Spacing of the framing that carries the ceiling board."),
    "count": _("Wire and pipe holes for air sealing, pieces for baffles."),
    "note": _("Anything else; kept as it is written."),
}
