"""Forms of answers: what they take, and how each wrong value is named."""

from datetime import date

import pytest
from django.utils import translation

from jobs.checklists.forms import ChecklistItemForm, ChecklistNameForm
from jobs.conditions.states import Grounds
from jobs.desk.forms import form_sentences, forms_sentences
from jobs.houses.forms.answers import PlaceForm, WarningForm
from jobs.readiness.forms import ConditionMoveForm

TODAY = date(2027, 2, 25)


def item(**data: str) -> ChecklistItemForm:
    posted = {f"c1-{name}": value for name, value in {"version": "3", **data}.items()}
    return ChecklistItemForm(posted, prefix="c1", today=TODAY, label="roof dried in")


def test_a_move_s_grounds() -> None:
    form = ConditionMoveForm(
        {"version": "2", "to_state": "promised", "day": "2027-03-02", "reason": "rain"},
        today=TODAY,
    )
    assert form.is_valid()
    assert form.grounds() == Grounds(day=date(2027, 3, 2), reason="rain")


@pytest.mark.parametrize(("day", "good"), [("2026-01-22", True), ("2028-03-31", True)])
def test_days_at_the_edge_of_what_a_job_can_mean(day: str, good: bool) -> None:
    # 400 days before and after the 25th of February 2027: counted with a calendar.
    near = ConditionMoveForm({"version": 1, "to_state": "promised", "day": day}, today=TODAY)
    assert ("day" not in near.errors) is good


@pytest.mark.parametrize("day", ["2026-01-20", "2028-04-02", "0001-01-01", "9999-12-31"])
def test_days_beyond_it_name_what_was_expected(day: str) -> None:
    form = ConditionMoveForm({"version": 1, "to_state": "promised", "day": day}, today=TODAY)
    (sentence,) = form_sentences(form)
    assert sentence == (
        f"Date: {day} is too far off; expected a day between 2026-01-21 and 2028-03-31."
    )


def test_an_item_left_alone_answers_nothing() -> None:
    form = item(answer="", day="", note="")
    assert form.is_valid()
    assert not form.is_answered


def test_done_on_a_day_and_not_ours() -> None:
    done = item(answer="done")
    assert done.is_answered
    assert done.answered() == {
        "version": 3,
        "answer": "done",
        "note": "",
        "day": None,
        "picture": None,
    }
    on = item(answer="on", day="2027-03-02")
    assert on.is_answered
    assert on.answered()["day"] == date(2027, 3, 2)
    other = item(answer="not_ours", note="The roofer's")
    assert other.is_answered
    assert other.answered()["note"] == "The roofer's"


def test_a_day_without_a_tick_means_that_day() -> None:
    form = item(day="2027-03-02")
    assert form.is_answered
    assert form.answered()["answer"] == "on"


def test_done_forgets_a_day_that_was_typed_too() -> None:
    form = item(answer="done", day="2027-03-02")
    assert form.is_answered
    assert form.answered()["day"] is None


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"answer": "on"}, "roof dried in, Date: Say on which day."),
        (
            {"answer": "on", "day": "2027-02-24"},
            "roof dried in, Date: Wed Feb 24 is past; expected today (Thu Feb 25) or later.",
        ),
        ({"answer": "on", "day": "2/30/2027"}, "roof dried in, Date: Enter a valid date."),
        ({"answer": "on", "day": "2099-01-01"}, "roof dried in, Date: 2099-01-01 is too far off"),
        ({"answer": "not_ours"}, "roof dried in, Note: Say whose it is"),
        ({"answer": "not_ours", "note": "x" * 201}, "roof dried in, Note: Ensure this value"),
        ({"answer": "later"}, "roof dried in, Answer: Select a valid choice."),
        ({"answer": "done", "version": ""}, "The page was not complete."),
        ({"answer": "done", "version": "one"}, "Enter a whole number."),
    ],
)
def test_a_wrong_item_names_the_thing_and_the_field(data: dict[str, str], said: str) -> None:
    form = item(**data)
    assert not form.is_answered
    assert said in " ".join(form_sentences(form))


def test_faults_of_several_forms_in_their_order_and_language() -> None:
    with translation.override("es"):
        faults = forms_sentences([ChecklistNameForm({}), item(answer="on")])
    assert faults == [
        "Su nombre: Este campo es requerido.",
        "roof dried in, Fecha: Diga qué día.",
    ]


def test_a_place_and_a_warning() -> None:
    assert PlaceForm({"latitude": "41.6005", "longitude": "-93.6091"}).is_valid()
    assert not WarningForm({"answer": ""}).is_valid()
