"""Who may do what, and how far each person sees."""

import pytest
from django.contrib.auth.models import AnonymousUser

from contractor.access import NOTHING, Action, Scope, may, scope_of
from contractor.models import Role, User
from tests.people import Company

pytestmark = pytest.mark.django_db

OFFICE_ONLY = {
    Action.PLAN_WEEK,
    Action.MOVE_CONDITION,
    Action.SEND_CHECKLIST,
    Action.SET_COSTS,
    Action.SEE_RATES,
    Action.SET_RATES,
    Action.ENTER_ACTUAL,
    Action.EDIT_CATALOGUE,
    Action.MANAGE_PHONES,
    Action.TELL_FACT,
    Action.CORRECT_FACT,
}


def test_owner_and_office_may_do_everything(company: Company) -> None:
    for action in Action:
        assert may(company.olive, action)
        assert may(company.omar, action)


def test_an_estimator_neither_plans_nor_moves_conditions(company: Company) -> None:
    assert {action for action in Action if not may(company.esme, action)} == OFFICE_ONLY


def test_a_crew_lead_sees_crew_days_and_speaks_of_them(company: Company) -> None:
    allowed = {action for action in Action if may(company.cleo, action)}
    assert allowed == {Action.SEE_CREW_DAY, Action.TELL_FACT}


def test_nobody_and_who_has_left_may_nothing(company: Company) -> None:
    company.omar.is_active = False
    for person in (AnonymousUser(), company.omar):
        assert not any(may(person, action) for action in Action)
        assert scope_of(person) == NOTHING


def test_every_role_has_its_actions() -> None:
    for role in Role:
        assert isinstance(may(User(role=role), Action.SEE_JOB), bool)


def test_scopes(company: Company) -> None:
    assert scope_of(company.olive) == Scope(all_branches=True)
    assert scope_of(company.omar) == Scope(branch_ids=frozenset({company.fairfield.pk}))
    assert scope_of(company.cleo) == Scope(crew_id=company.north.pk)


def test_a_lead_who_left_the_crew_sees_nothing(company: Company) -> None:
    member = company.cleo.crew_member
    member.active = False
    member.save()
    assert scope_of(company.cleo) == NOTHING
    member.delete()
    assert scope_of(User.objects.get(pk=company.cleo.pk)) == NOTHING
