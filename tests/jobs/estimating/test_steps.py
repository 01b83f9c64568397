"""Steps as they are built: figures, products, bags, hand work, and the table of minutes."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.estimating.estimated import Load
from jobs.estimating.labour import crew_minutes, person_minutes
from jobs.estimating.means import hand_divisor
from jobs.estimating.reading import Default, Rate
from jobs.estimating.steps import Figure, SpaceReckoned, StepReckoned

LOSS = Fraction(1, 20)
RATE = Rate(Fraction(3), "person-min each", "a source", path="hand.thing_minutes")


def test_a_figure_speaks_its_formula_in_names_and_numbers() -> None:
    figure = Figure(
        "pounds", Fraction(2800), "lb", "{area} x {weight}", {"area": Fraction(1500),
        "weight": Fraction(28, 15)}, "chart",
    ).explained()  # fmt: skip
    assert figure.formula == "area x weight"
    assert figure.with_numbers == "1,500 x 1.8667 = 2,800 lb"
    assert figure.inputs == {"area": 1500, "weight": 1.8667}


def test_a_product_is_kept_and_given_back() -> None:
    step = StepReckoned("net", Fraction(1), "ft2")
    inputs = {"a": Fraction(2), "b": Fraction(3, 4), "c": Fraction(4)}
    assert step.product("size", "ft2", "geometry", **inputs) == 6
    assert step.figures[0].formula == "{a} x {b} x {c}"


@pytest.mark.parametrize(("pounds", "bags"), [("2800", 112), ("2800.001", 113), ("0.001", 1)])
def test_bags_are_rounded_up_once(pounds: str, bags: int) -> None:
    step = StepReckoned("flat_blow", Fraction(1), "ft2")
    assert step.bag(Fraction(pounds), Fraction(25), "cellulose") == bags
    assert step.loads == [Load("cellulose", bags, "bags")]
    assert step.facts["bags"] == bags


def test_hand_work_adds_up_and_names_its_rate() -> None:
    step = StepReckoned("baffles", Fraction(5), "pieces")
    step.by_hand(RATE, Fraction(5), "Things")
    step.by_hand(RATE, Fraction(2), "More things")
    assert step.hand_minutes == 21
    assert step.because == [
        "Things: 5 x 3 person-min each (a source) = 15.",
        "More things: 2 x 3 person-min each (a source) = 6.",
    ]
    assert list(step.rates) == ["hand.thing_minutes"]


def test_no_hand_work_leaves_no_word() -> None:
    step = StepReckoned("baffles", Fraction(5), "pieces")
    step.by_hand(RATE, Fraction(0), "Things")
    assert (step.because, step.figures, step.rates) == ([], [], {})


def test_handling_is_paced_and_not_divided() -> None:
    step = StepReckoned("slope_blow", Fraction(4), "bays")
    step.handle(RATE, Fraction(4), "bay")
    assert step.handling_minutes == 12
    assert crew_minutes(step, 2, LOSS) == crew_minutes(step, 4, LOSS) == 12


def test_facts_keep_the_order_in_which_they_are_stated() -> None:
    step = StepReckoned("net", Fraction(1), "ft2")
    step.fact(r=49, initial_in=16.47)
    step.fact(material="net", settled_in=None)
    stated = [("r", 49), ("initial_in", 16.47), ("material", "net"), ("settled_in", None)]
    assert list(step.facts.items()) == stated


def test_doubts_that_are_none_are_left_out() -> None:
    space = SpaceReckoned()
    space.doubt(None, None)
    assert space.doubts == []


@pytest.mark.parametrize(
    ("people", "divisor"),
    [(1, "1"), (2, "2"), (3, "2.85"), (4, "3.6"), (8, "5.6"), (11, "6.05"), (12, "6.05")],
)
def test_by_how_much_people_divide_hand_work(people: int, divisor: str) -> None:
    assert hand_divisor(people, LOSS) == Fraction(divisor)


@given(st.integers(1, 11), st.fractions(0, "1/2", max_denominator=20))
def test_one_more_never_makes_it_slower(people: int, loss: Fraction) -> None:
    assert hand_divisor(people, loss) <= hand_divisor(people + 1, loss) <= people + 1


def test_two_are_paid_for_a_blow_at_the_least() -> None:
    step = StepReckoned("flat_blow", Fraction(1), "ft2", blow_minutes=Fraction(100))
    step.hand_minutes = Fraction(10)
    assert [person_minutes(step, people) for people in (1, 2, 3)] == [210, 210, 310]


def test_a_default_rate_says_that_it_is_one() -> None:
    rate = Default("0.4", "of the open rate", "a log").rate("machine.dense_share")
    assert rate.default
    assert rate.spoken() == "0.4 of the open rate (default: a log)"
    assert rate.path == "machine.dense_share"
