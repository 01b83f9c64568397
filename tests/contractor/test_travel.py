"""Drive minutes between places."""

from itertools import permutations
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from contractor.travel import (
    Place,
    SpeedBand,
    TravelError,
    TravelSettings,
    YardDrive,
    check_coordinates,
    drive_matrix,
    drive_table,
    great_circle_miles,
    road_minutes,
)

YARD = Place("yard", 41.60, -93.60)
NEAR = Place("near", 41.61, -93.60)
FAR = Place("far", 41.60, -93.00)
NOWHERE = Place("nowhere")
# 30 mph throughout, straight roads, no stop: a mile is two minutes.
PLAIN = TravelSettings(1.0, (SpeedBand(inf, 30),), 0, 25)

latitudes = st.floats(41, 42)
longitudes = st.floats(-94, -93)
positions = st.tuples(latitudes, longitudes)


def test_the_same_spot_is_no_way() -> None:
    assert great_circle_miles((41.6, -93.6), (41.6, -93.6)) == 0


def test_opposite_ends_of_the_earth_do_not_break_the_arithmetic() -> None:
    assert great_circle_miles((90, 0), (-90, 0)) == pytest.approx(12436.8, abs=0.1)


@given(positions, positions)
def test_there_and_back_are_the_same(start: tuple[float, float], end: tuple[float, float]) -> None:
    assert great_circle_miles(start, end) == pytest.approx(great_circle_miles(end, start))


def test_minutes_are_miles_by_speed_times_the_road_factor_plus_the_stop() -> None:
    assert road_minutes(10, PLAIN) == 20
    assert road_minutes(10, TravelSettings(1.3, PLAIN.speed_bands, 0)) == 26
    assert road_minutes(10, TravelSettings(1.3, PLAIN.speed_bands, 4)) == 30


def test_each_band_of_the_way_has_its_speed() -> None:
    bands = (SpeedBand(2, 20), SpeedBand(12, 30), SpeedBand(inf, 60))
    # 2 miles at 20 are 6 minutes, 10 at 30 are 20, the last 8 at 60 are 8.
    assert road_minutes(20, TravelSettings(1.0, bands, 0)) == 34
    assert road_minutes(2, TravelSettings(1.0, bands, 0)) == 6


def test_a_minute_begun_counts_but_noise_of_the_arithmetic_does_not() -> None:
    assert road_minutes(10.1, PLAIN) == 21
    assert road_minutes(1.1 * 3, TravelSettings(1.0, (SpeedBand(inf, 6),), 0)) == 33


@given(st.floats(0, 500), st.floats(0, 500))
def test_a_longer_way_never_takes_less_time(one: float, other: float) -> None:
    short, long = sorted((one, other))
    assert road_minutes(short) <= road_minutes(long)


@pytest.mark.parametrize("miles", [-1, nan, inf])
def test_an_impossible_distance_is_refused(miles: float) -> None:
    with pytest.raises(TravelError, match="distance"):
        road_minutes(miles)


# By hand: 0.01° of latitude is 0.9 road miles, 3 min at 20 mph, and the stop. 0.6° of longitude at
# 41.6° is 40.3 road miles: 9 min for 3, 20.6 for 12, 27.6 for 25.3, so 58, and the stop.
def test_matrix_is_of_whole_numbers_symmetric_with_nothing_on_the_diagonal() -> None:
    matrix = drive_matrix([YARD, NEAR, FAR])
    assert matrix == [[0, 7, 62], [7, 0, 62], [62, 62, 0]]
    assert all(type(minutes) is int for row in matrix for minutes in row)


def test_next_door_costs_the_stop_but_the_same_site_nothing() -> None:
    next_door = Place("next door", NEAR.latitude, NEAR.longitude)
    matrix = drive_matrix([YARD, NEAR, next_door])
    assert matrix[1][2] == TravelSettings().minutes_per_stop
    assert matrix[1][1] == 0


def test_measured_minutes_go_before_the_estimate_in_both_directions() -> None:
    matrix = drive_matrix([YARD, NEAR, FAR], measured={("yard", "near"): 19})
    assert (matrix[0][1], matrix[1][0]) == (19, 19)
    assert matrix[0][2] == 62


def test_two_measured_directions_may_differ() -> None:
    measured = {("yard", "near"): 19, ("near", "yard"): 12}
    matrix = drive_matrix([YARD, NEAR], measured=measured)
    assert (matrix[0][1], matrix[1][0]) == (19, 12)


def test_measured_zero_is_an_answer() -> None:
    assert drive_matrix([YARD, FAR], measured={("far", "yard"): 0}) == [[0, 0], [0, 0]]


def test_measured_minutes_of_other_places_are_left_alone() -> None:
    assert drive_matrix([YARD, NEAR], measured={("yard", "elsewhere"): 5}) == [[0, 7], [7, 0]]


def test_a_site_without_coordinates_counts_as_an_average_drive_and_says_so() -> None:
    table = drive_table([YARD, NEAR, FAR, NOWHERE])
    assert table.guessed == (YardDrive("nowhere", 35, "average"),)  # (7 + 62) / 2, rounded up
    assert table.minutes[0][3] == table.minutes[3][0] == 35


def test_a_site_without_coordinates_is_no_short_cut_to_far_sites() -> None:
    minutes = drive_table([YARD, NEAR, FAR, NOWHERE]).minutes
    assert minutes[3][1] == 35  # near the yard: as far as the guess
    assert minutes[3][2] == 62  # further than the guess: as far as from the yard


def test_without_any_known_site_the_setting_holds() -> None:
    table = drive_table([YARD, NOWHERE, Place("lost")], PLAIN)
    assert table.minutes == [[0, 25, 25], [25, 0, 25], [25, 25, 0]]
    assert {drive.basis for drive in table.guessed} == {"setting"}


def test_measured_minutes_help_a_site_without_coordinates() -> None:
    table = drive_table([YARD, NOWHERE, Place("lost")], PLAIN, {("nowhere", "yard"): 40})
    assert table.guessed == (YardDrive("nowhere", 40, "measured"), YardDrive("lost", 40, "average"))


def test_a_yard_without_coordinates_makes_every_drive_from_it_a_guess() -> None:
    table = drive_table([Place("yard"), NEAR, FAR], PLAIN)
    assert table.minutes[0] == [0, 25, 25]
    assert table.minutes[1][2] > 25
    assert [drive.id for drive in table.guessed] == ["near", "far"]


def test_known_sites_are_not_called_guessed() -> None:
    assert drive_table([YARD, NEAR, FAR]).guessed == ()


@settings(max_examples=50)
@given(st.lists(st.one_of(positions, st.none()), min_size=3, max_size=6), positions)
def test_no_detour_is_shorter_than_the_direct_way(
    spots: list[tuple[float, float] | None], yard: tuple[float, float]
) -> None:
    sites = [Place(f"site-{n}", *(spot or (None, None))) for n, spot in enumerate(spots)]
    minutes = drive_matrix([Place("yard", *yard), *sites])
    for start, between, end in permutations(range(len(minutes)), 3):
        assert minutes[start][end] <= minutes[start][between] + minutes[between][end]


@pytest.mark.parametrize(
    ("latitude", "longitude", "message"),
    [
        (90.5, 0, "latitude 90.5: expected -90 to 90"),
        (-91, 0, "latitude -91: expected -90 to 90"),
        (0, 180.1, "longitude 180.1: expected -180 to 180"),
        (nan, 0, "latitude nan"),
        (0, inf, "longitude inf"),
        (41.6, None, "longitude is missing"),
        (None, -93.6, "latitude is missing"),
    ],
)
def test_impossible_coordinates_are_refused(
    latitude: float | None, longitude: float | None, message: str
) -> None:
    with pytest.raises(TravelError, match=message):
        check_coordinates(latitude, longitude)
    with pytest.raises(TravelError, match=f"place p: {message}"):
        Place("p", latitude, longitude)


def test_coordinates_at_the_edge_or_missing_are_fine() -> None:
    check_coordinates(90, -180)
    check_coordinates(0, 0)
    check_coordinates(None, None)
    assert Place("origin", 0, 0).position == (0, 0)


def test_a_place_given_twice_is_named() -> None:
    with pytest.raises(TravelError, match="place near: given 2 times"):
        drive_matrix([YARD, NEAR, NEAR])


def test_no_places_are_refused() -> None:
    with pytest.raises(TravelError, match="expected the yard first"):
        drive_matrix([])


def test_negative_measured_minutes_are_named() -> None:
    with pytest.raises(TravelError, match="measured yard to near: -1 minutes"):
        drive_matrix([YARD, NEAR], measured={("yard", "near"): -1})


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"road_factor": 0.9}, "road factor: 0.9"),
        ({"road_factor": nan}, "road factor: nan"),
        ({"minutes_per_stop": -1}, "expected 0 or more"),
        ({"unknown_minutes": -1}, "expected 0 or more"),
        ({"speed_bands": ()}, "no upper limit"),
        ({"speed_bands": (SpeedBand(10, 30),)}, "no upper limit"),
        ({"speed_bands": (SpeedBand(9, 30), SpeedBand(3, 20), SpeedBand(inf, 50))}, "rise"),
        ({"speed_bands": (SpeedBand(0, 30), SpeedBand(inf, 50))}, "above 0"),
        ({"speed_bands": (SpeedBand(inf, 0),)}, "speed above 0"),
        ({"speed_bands": (SpeedBand(inf, inf),)}, "speed above 0"),
    ],
)
def test_impossible_settings_are_refused(changes: dict[str, object], message: str) -> None:
    with pytest.raises(TravelError, match=message):
        TravelSettings(**changes)  # type: ignore[arg-type]


def test_settings_that_are_left_out_are_the_usual_ones() -> None:
    assert TravelSettings().unknown_minutes == 30
    assert TravelSettings(1, minutes_per_stop=0, unknown_minutes=0).road_factor == 1
    # By hand: 3 miles at 20 mph, 12 at 35, 55 at 55: 9 + 20.57 + 60 minutes, and 4 for the stop.
    assert road_minutes(70, TravelSettings(road_factor=1)) == 94
    assert road_minutes(3, TravelSettings(road_factor=1)) == 13


def test_a_band_may_end_within_the_first_mile_and_be_slow() -> None:
    slow = TravelSettings(1, (SpeedBand(0.5, 1), SpeedBand(inf, 60)), 0)
    assert road_minutes(1, slow) == 31


def test_the_second_place_given_twice_is_found_too() -> None:
    with pytest.raises(TravelError, match="place far: given 3 times"):
        drive_matrix([YARD, NEAR, FAR, FAR, FAR])


def test_places_at_the_poles_and_the_date_line_are_places() -> None:
    for latitude, longitude in ((90, 180), (-90, -180)):
        check_coordinates(latitude, longitude)


def test_places_and_settings_are_fixed_once_made() -> None:
    for thing, name in ((YARD, "id"), (PLAIN, "road_factor"), (PLAIN.speed_bands[0], "id")):
        with pytest.raises(AttributeError):
            setattr(thing, name, 1)
