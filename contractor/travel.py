"""Minutes of driving between places; must not know the clock, Django, maps or any row."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import asin, ceil, cos, inf, isfinite, radians, sin, sqrt

EARTH_RADIUS_KM = 6371.0088  # mean radius of GRS 80 (Moritz 2000, J. Geodesy 74:128-133)
KM_PER_MILE = 1.609344  # international mile
EARTH_RADIUS_MILES = EARTH_RADIUS_KM / KM_PER_MILE

Measured = Mapping[tuple[str, str], int]


class TravelError(ValueError):
    """Coordinates, speeds or minutes that cannot be; the message says what was expected."""


@dataclass(frozen=True)
class SpeedBand:
    """Road miles up to this distance from the start are driven at this speed."""

    up_to_miles: float
    miles_per_hour: float


def _check_bands(bands: tuple[SpeedBand, ...]) -> None:
    limits = [band.up_to_miles for band in bands]
    if not limits or limits[-1] != inf:
        raise TravelError("speed bands: the last must have no upper limit")
    if limits != sorted(set(limits)) or limits[0] <= 0:
        raise TravelError("speed bands: expected limits in miles that rise from above 0")
    if any(not (isfinite(band.miles_per_hour) and band.miles_per_hour > 0) for band in bands):
        raise TravelError("speed bands: expected a speed above 0 miles per hour in each")


# Streets at either end of a drive, then county roads, then highway (common practice, no source).
USUAL_SPEEDS = (SpeedBand(3, 20), SpeedBand(15, 35), SpeedBand(inf, 55))


@dataclass(frozen=True)
class TravelSettings:
    """How miles as the crow flies become minutes.

    road_factor: road miles per great-circle mile. Ballou, Rahardja and Sakai (2002, Transp. Res. A
    36:843-848) give 1.20 for the US; short trips wind more (Giacomin and Levinson), hence 1.3.
    minutes_per_stop: parking and walking up, added to each drive (common practice, no source).
    unknown_minutes: a drive to a site without coordinates where no other site has any either.
    """

    road_factor: float = 1.3
    speed_bands: tuple[SpeedBand, ...] = USUAL_SPEEDS
    minutes_per_stop: int = 4
    unknown_minutes: int = 30

    def __post_init__(self) -> None:
        if not 1 <= self.road_factor < inf:
            raise TravelError(f"road factor: {self.road_factor}, expected 1 or more")
        if self.minutes_per_stop < 0 or self.unknown_minutes < 0:
            raise TravelError("minutes per stop and of an unknown drive: expected 0 or more")
        _check_bands(self.speed_bands)


USUAL_SETTINGS = TravelSettings()


@dataclass(frozen=True)
class Place:
    """A yard or site; latitude and longitude in degrees (WGS 84), or neither."""

    id: str
    latitude: float | None = None
    longitude: float | None = None

    def __post_init__(self) -> None:
        try:
            check_coordinates(self.latitude, self.longitude)
        except TravelError as error:
            raise TravelError(f"place {self.id}: {error}") from None

    @property
    def position(self) -> tuple[float, float] | None:
        """Latitude and longitude, where known."""
        if self.latitude is None or self.longitude is None:
            return None
        return self.latitude, self.longitude


@dataclass(frozen=True)
class YardDrive:
    """A site that lacks coordinates (or whose yard does), and the drive from the yard it counts as.

    basis says what the minutes rest on: "measured", "average" (of the drives from the yard to the
    sites that are known) or "setting"; "coordinates" where nothing was guessed.
    """

    id: str
    minutes: int
    basis: str


@dataclass(frozen=True)
class DriveTable:
    """Minutes from each place (row) to each place (column), and the places that were guessed."""

    minutes: list[list[int]]
    guessed: tuple[YardDrive, ...]


def check_coordinates(latitude: float | None, longitude: float | None) -> None:
    """Raise TravelError unless both are degrees in range, or neither is given."""
    if (latitude is None) != (longitude is None):
        missing = "latitude" if latitude is None else "longitude"
        raise TravelError(f"{missing} is missing: expected both of latitude and longitude, or none")
    if latitude is not None and not -90 <= latitude <= 90:
        raise TravelError(f"latitude {latitude}: expected -90 to 90 degrees")
    if longitude is not None and not -180 <= longitude <= 180:
        raise TravelError(f"longitude {longitude}: expected -180 to 180 degrees")


def great_circle_miles(start: tuple[float, float], end: tuple[float, float]) -> float:
    """Return the miles on a sphere of the mean radius between two (latitude, longitude) in degrees.

    The haversine form, which keeps its precision for short ways (Sinnott 1984, Sky and Telescope
    68:159): 2 R asin sqrt(sin²(Δφ/2) + cos φ₁ cos φ₂ sin²(Δλ/2)).
    """
    latitude_1, longitude_1, latitude_2, longitude_2 = map(radians, (*start, *end))
    across = sin((latitude_2 - latitude_1) / 2) ** 2
    along = cos(latitude_1) * cos(latitude_2) * sin((longitude_2 - longitude_1) / 2) ** 2
    return 2 * EARTH_RADIUS_MILES * asin(sqrt(min(1.0, across + along)))


def road_minutes(straight_miles: float, settings: TravelSettings = USUAL_SETTINGS) -> int:
    """Return a drive's minutes: great-circle miles × road factor at bands' speeds, plus the stop.

    Each band's speed holds for the miles within it, so that a longer way never takes less time.
    Rounded up to whole minutes, which also keeps every detour at least as long as the direct way.
    """
    if not 0 <= straight_miles < inf:
        raise TravelError(f"distance: {straight_miles} miles, expected 0 or more")
    road_miles = straight_miles * settings.road_factor
    hours, begun = 0.0, 0.0
    for band in settings.speed_bands:
        hours += max(0.0, min(road_miles, band.up_to_miles) - begun) / band.miles_per_hour
        begun = band.up_to_miles
    # A millionth of a minute is noise of the arithmetic, not a minute begun.
    return ceil(round(hours * 60, 6)) + settings.minutes_per_stop


def drive_table(
    places: Sequence[Place],
    settings: TravelSettings = USUAL_SETTINGS,
    measured: Measured | None = None,
) -> DriveTable:
    """Return the minutes between all places, whole numbers, 0 from a place to itself.

    places[0] is the yard. `measured` holds minutes by (from id, to id), stop included, and goes
    before any estimate; one direction alone counts for both. A place without coordinates counts as
    an average drive from the yard, and as no nearer to another site than that site is to the yard:
    otherwise a site at an unknown spot would be a short cut to everywhere.
    """
    measured = _by_id(places, measured or {})
    from_yard = _from_yard(places, settings, measured)
    minutes = [[0] * len(places) for _ in places]
    for row, start in enumerate(places):
        for column in range(row + 1, len(places)):
            end = places[column]
            further = max(from_yard[row].minutes, from_yard[column].minutes)
            guess = _estimate(start, end, settings, further)
            there, back = measured.get((start.id, end.id)), measured.get((end.id, start.id))
            minutes[row][column] = _first_known(there, back, guess)
            minutes[column][row] = _first_known(back, there, guess)
    sites = list(zip(places, from_yard, strict=True))[1:]
    return DriveTable(minutes, tuple(drive for place, drive in sites if _is_guessed(place, drive)))


def drive_matrix(
    places: Sequence[Place],
    settings: TravelSettings = USUAL_SETTINGS,
    measured: Measured | None = None,
) -> list[list[int]]:
    """Return the minutes of `drive_table` alone: a row for each place, a column for each place."""
    return drive_table(places, settings, measured).minutes


def _estimate(start: Place, end: Place, settings: TravelSettings, otherwise: int) -> int:
    if start.position and end.position:
        return road_minutes(great_circle_miles(start.position, end.position), settings)
    return otherwise


def _from_yard(
    places: Sequence[Place], settings: TravelSettings, measured: Measured
) -> list[YardDrive]:
    """Return the drive from the yard to each place; average, or setting, where none is known."""
    known = [_known_from_yard(places[0], place, settings, measured) for place in places]
    sure = [drive.minutes for drive in known[1:] if drive]
    guess = ceil(sum(sure) / len(sure)) if sure else settings.unknown_minutes
    basis = "average" if sure else "setting"
    return [
        drive or YardDrive(place.id, guess, basis)
        for place, drive in zip(places, known, strict=True)
    ]


def _known_from_yard(
    yard: Place, place: Place, settings: TravelSettings, measured: Measured
) -> YardDrive | None:
    if place.id == yard.id:
        return YardDrive(place.id, 0, "coordinates")
    minutes = measured.get((yard.id, place.id), measured.get((place.id, yard.id)))
    if minutes is not None:
        return YardDrive(place.id, minutes, "measured")
    if yard.position and place.position:
        return YardDrive(place.id, _estimate(yard, place, settings, 0), "coordinates")
    return None


def _is_guessed(place: Place, drive: YardDrive) -> bool:
    return place.position is None or drive.basis in ("average", "setting")


def _by_id(places: Sequence[Place], measured: Measured) -> Measured:
    """Return the measured minutes, once the places and the minutes are seen to make sense."""
    counts = Counter(place.id for place in places)
    if not counts:
        raise TravelError("places: none given, expected the yard first")
    id_, count = counts.most_common(1)[0]
    if count > 1:
        raise TravelError(f"place {id_}: given {count} times, expected each place once")
    for (start, end), minutes in measured.items():
        if minutes < 0:
            raise TravelError(f"measured {start} to {end}: {minutes} minutes, expected 0 or more")
    return measured


def _first_known(*minutes: int | None) -> int:
    return next(figure for figure in minutes if figure is not None)
