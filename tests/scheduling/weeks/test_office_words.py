"""Minutes, cents and shares read as the office says them."""

from datetime import date

import pytest
from django.utils import translation

from jobs.conditions.readiness import Marks, OpenCondition
from jobs.conditions.sentences import Sentence
from jobs.wording import dollars, filled_marks, sentences_text
from scheduling.gather.holdups import NO_CREW_CAN
from scheduling.templatetags.office_words import (
    Owed,
    by_party,
    day_words,
    drive_words,
    gutter,
    in_brief,
    promise_words,
    work_words,
)
from scheduling.weeks.shapes import StripPart
from scheduling.weeks.views.stack import Block, Segment
from scheduling.words import change_in_dollars, dollars_and_cents, long_day, percent
from tests.scheduling.weeks.test_stack import cell_make, strip_make


@pytest.mark.parametrize(
    ("cents", "words"),
    [(0, "$0"), (49, "$0"), (-49, "$0"), (123_456, "$1,235"), (-2_000, "−$20")],
)
def test_dollars(cents: int, words: str) -> None:
    assert dollars(cents) == words


@pytest.mark.parametrize(
    ("cents", "words"), [(0, "$0.00"), (5, "$0.05"), (123_450, "$1,234.50"), (-5, "−$0.05")]
)
def test_dollars_and_cents(cents: int, words: str) -> None:
    assert dollars_and_cents(cents) == words


@pytest.mark.parametrize(
    ("cents", "words"), [(3_500, "+$35"), (-2_000, "−$20"), (20, "no change"), (0, "no change")]
)
def test_a_difference_has_its_sign(cents: int, words: str) -> None:
    assert change_in_dollars(cents) == words


@pytest.mark.parametrize(
    ("share", "words"), [(0.0, "0.0 %"), (0.0131, "1.4 %"), (0.013, "1.3 %"), (1.0, "100.0 %")]
)
def test_a_share_is_rounded_up(share: float, words: str) -> None:
    assert percent(share) == words


def test_marks_are_filled_and_empty() -> None:
    assert filled_marks(Marks(2, 3, (), ())) == (
        '<i class="done"></i><i class="done"></i><i class="open"></i>'
    )
    assert filled_marks(Marks(0, 0, (), ())) == ""


def owed_to(party: str, *names: str) -> list[OpenCondition]:
    return [
        OpenCondition(name, Sentence("owed by %(party)s, no date", {"party": party}))
        for name in names
    ]


def test_what_one_party_owes_for_one_day_stands_together() -> None:
    builder = owed_to("builder", "attic", "blocks: chase")
    assert by_party([builder[0], *owed_to("roofer", "roof"), builder[1]]) == [
        Owed("owed by builder, no date", ("attic", "blocks: chase")),
        Owed("owed by roofer, no date", ("roof",)),
    ]


def test_in_brief_the_most_comes_first() -> None:
    builder = owed_to("builder", "attic", "chase", "permit")
    others = [*owed_to("roofer", "roof"), *owed_to("electrician", "wires")]
    assert in_brief([*others, *builder]) == (
        "3 owed by builder, no date; roof: owed by roofer, no date; 1 more"
    )
    assert in_brief(others[:1]) == "roof: owed by roofer, no date"
    assert in_brief([]) == ""


def test_what_is_open_is_said_in_the_reader_s_language() -> None:
    with translation.override("es"):
        assert in_brief(owed_to("builder", "chases and dropped soffits capped")) == (
            "huecos verticales y cajillos tapados: le toca a constructora, sin fecha"
        )


def test_why_a_job_finds_no_place_is_said_in_the_reader_s_language() -> None:
    why = (Sentence(NO_CREW_CAN, {"step": "batts"}), *(owed_to("builder", "x")[0].sentence,))
    assert sentences_text(why) == "batts: no crew has the skill; x: owed by builder, no date"
    with translation.override("es"):
        assert sentences_text(why[:1]).endswith(": ninguna cuadrilla sabe hacerlo")


def test_days() -> None:
    assert long_day(date(2027, 3, 2)) == "Tuesday, March 2"


def test_work_is_named_with_its_time() -> None:
    whole = StripPart(1, "air_seal", "air sealing", 40, 40)
    part = StripPart(2, "flat_blow", "flat blow", 120, 190)
    assert work_words([whole, part]) == "air sealing 40 min, flat blow 2 h of 3 h 10 min"


def test_a_day_says_how_full_it_is() -> None:
    assert day_words(cell_make()) == "8 h free"
    assert day_words(cell_make(available=0)) == "off"
    assert day_words(cell_make(strip_make(1, 17, 30, 120))) == "3 h 4 min of 8 h"
    assert day_words(cell_make(strip_make(1, 17, 30, 420))) == "8 h 4 min of 8 h, 4 min overtime"


def test_drives_and_promises() -> None:
    assert drive_words(Block("drive", 17, 15)) == "17 min drive"
    assert drive_words(Block("home", 62, 60)) == "1 h 2 min drive home"
    assert promise_words(date(2027, 3, 2)) == "promised for Tue Mar 2"


def test_the_gutter_is_as_high_as_the_stop() -> None:
    block = Block("stop", 150, 150, segments=(Segment("set-up", 30), Segment("batt", 120)))
    assert gutter(block) == '<i class="m30 tall set-up"></i><i class="m120 tall batt"></i>'
