"""The owner's pages: who opens them, that every change leaves an event, that charts are sound."""

from typing import Any

import pytest
from django.contrib import admin
from django.test import Client
from django.urls import reverse

from contractor.models import ChartRow, Crew, DayOff, Event, Machine, Material, User
from jobs.models import Builder
from tests.jobs.rates.worked import attic_job
from tests.people import TODAY, Company, signed_in

OURS = [m for m in admin.site._registry if m._meta.app_label in ("contractor", "jobs")]


def address(model: Any, page: str, *args: object) -> str:
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}", args=args)


@pytest.fixture
def olive(company: Company) -> Client:
    return signed_in(company.olive)


@pytest.mark.parametrize("model", OURS)
def test_an_owner_opens_every_list_and_form(olive: Client, model: Any) -> None:
    assert olive.get(address(model, "changelist")).status_code == 200
    expected = 403 if model is Event else 200
    assert olive.get(address(model, "add")).status_code == expected


@pytest.mark.parametrize("who", ["omar", "esme", "cleo"])
@pytest.mark.parametrize("is_staff", [True, False])
def test_nobody_else_sees_a_row(company: Company, who: str, is_staff: bool) -> None:
    user = getattr(company, who)
    user.is_staff = user.is_superuser = is_staff
    user.save()
    client = signed_in(user)
    for model in OURS:
        for page in ("changelist", "add"):
            assert client.get(address(model, page)).status_code in (302, 403)


def test_an_owner_without_staff_rights_is_sent_away(company: Company) -> None:
    User.objects.filter(pk=company.olive.pk).update(is_staff=False)
    assert signed_in(company.olive).get(address(Crew, "changelist")).status_code == 302


def test_a_new_machine_leaves_an_event(olive: Client, company: Company) -> None:
    olive.post(
        address(Machine, "add"),
        {
            "branch": company.fairfield.pk,
            "name": "Blower 2",
            "kind": "blower",
            "open_lb_per_hour": 900,
            "dense_lb_per_hour": 300,
            "active": "on",
        },
    )
    assert Machine.objects.filter(name="Blower 2").exists()
    event = Event.objects.get()
    assert (event.verb, event.noun, event.user) == ("created", "machine", company.olive)
    assert event.branch == company.fairfield


def test_a_changed_builder_says_before_and_after(olive: Client) -> None:
    builder = Builder.objects.create(name="Hazel Homes")
    rows = {"superintendents-TOTAL_FORMS": 1, "superintendents-INITIAL_FORMS": 0}
    person = {
        "superintendents-0-name": "Rosa Reyes",
        "superintendents-0-language": "es",
        "superintendents-0-builder": builder.pk,
    }
    values = {"name": "Hazel Homes", "late_cents_per_day": 20000}
    response = olive.post(address(Builder, "change", builder.pk), {**values, **rows, **person})
    assert response.status_code == 302
    events = {(event.noun, event.verb): event.what for event in Event.objects.all()}
    assert events["builder", "changed"]["late_cents_per_day"] == [None, 20000]
    assert events["superintendent", "created"]["title"] == "Rosa Reyes"


def test_saving_without_a_change_leaves_no_event(olive: Client, company: Company) -> None:
    machine = company.blower
    values = {
        "branch": machine.branch_id,
        "name": machine.name,
        "kind": machine.kind,
        "open_lb_per_hour": machine.open_lb_per_hour,
        "dense_lb_per_hour": machine.dense_lb_per_hour,
        "active": "on",
    }
    assert olive.post(address(Machine, "change", machine.pk), values).status_code == 302
    assert not Event.objects.exists()


def test_what_is_removed_leaves_an_event(olive: Client, company: Company) -> None:
    days = [
        DayOff.objects.create(crew=company.north, first_date=TODAY, last_date=TODAY)
        for _ in range(2)
    ]
    olive.post(address(DayOff, "delete", days[0].pk), {"post": "yes"})
    olive.post(
        address(DayOff, "changelist"),
        {"action": "delete_selected", "_selected_action": [days[1].pk], "post": "yes"},
    )
    assert not DayOff.objects.exists()
    assert [event.verb for event in Event.objects.all()] == ["removed", "removed"]


def chart(material: Material, weight: str) -> dict[str, object]:
    return {
        "key": material.key,
        "name": material.name,
        "kind": material.kind,
        "bag_lb": "25",
        "cavity_chart-TOTAL_FORMS": 0,
        "cavity_chart-INITIAL_FORMS": 0,
        "batts-TOTAL_FORMS": 0,
        "batts-INITIAL_FORMS": 0,
        "chart-TOTAL_FORMS": 1,
        "chart-INITIAL_FORMS": 0,
        "chart-0-r": "44",
        "chart-0-initial_in": "15",
        "chart-0-settled_in": "12.6",
        "chart-0-lb_per_ft2": weight,
        "chart-0-bags_per_1000_ft2": "67",
    }


@pytest.mark.parametrize("weight", ["28/15", "1.867", " 28 / 15 "])
def test_a_charts_weight_is_a_number_or_a_fraction(
    olive: Client, company: Company, weight: str
) -> None:
    place = address(Material, "change", company.batts.pk)
    assert olive.post(place, chart(company.batts, weight)).status_code == 302
    assert ChartRow.objects.filter(material=company.batts).count() == 1


@pytest.mark.parametrize("weight", ["abc", "1/0", "0", "-2", "51", "28/15/2"])
def test_a_weight_that_cannot_be_read_is_refused(
    olive: Client, company: Company, weight: str
) -> None:
    place = address(Material, "change", company.batts.pk)
    response = olive.post(place, chart(company.batts, weight))
    assert response.status_code == 200
    assert "Expected a weight" in response.content.decode()
    assert not ChartRow.objects.filter(material=company.batts).exists()


def test_a_password_is_set_and_not_recorded(olive: Client, company: Company) -> None:
    words = "quiet hazel lane 47"
    place = reverse("admin:auth_user_password_change", args=[company.omar.pk])
    response = olive.post(place, {"password1": words, "password2": words})
    assert response.status_code == 302
    company.omar.refresh_from_db()
    assert company.omar.check_password(words)
    assert words not in str(list(Event.objects.values()))
    assert Event.objects.get().what == {"title": "omar", "password": []}


def test_a_person_without_a_branch_is_refused(olive: Client) -> None:
    words = "quiet hazel lane 47"
    values = {
        "username": "nina",
        "role": "office",
        "usable_password": "true",
        "password1": words,
        "password2": words,
    }
    response = olive.post(address(User, "add"), values)
    assert response.status_code == 200
    assert "belongs to a branch" in response.content.decode()
    assert not User.objects.filter(username="nina").exists()


def test_the_record_of_events_cannot_be_changed_here(olive: Client, company: Company) -> None:
    DayOff.objects.create(crew=company.north, first_date=TODAY, last_date=TODAY)
    olive.post(address(DayOff, "delete", DayOff.objects.get().pk), {"post": "yes"})
    event = Event.objects.get()
    assert olive.get(address(Event, "change", event.pk)).status_code == 200
    assert olive.post(address(Event, "change", event.pk), {}).status_code == 403
    assert olive.post(address(Event, "delete", event.pk), {"post": "yes"}).status_code == 403


def test_a_machines_new_rate_prices_open_jobs_anew(olive: Client, company: Company) -> None:
    """2,800 lb at 600 lb/h blow for 280 minutes (worked by hand)."""
    job = attic_job(company, "Open")
    data = {
        "branch": company.fairfield.pk,
        "name": "Blower 1",
        "kind": "blower",
        "open_lb_per_hour": 600,
        "dense_lb_per_hour": 420,
        "active": "on",
    }
    place = address(Machine, "change", company.blower.pk)
    page = olive.post(place, data, follow=True)
    assert "1 open job was re-priced." in page.content.decode()
    assert job.spaces.get().estimate["steps"][0]["machine_minutes"] == 280
    assert Event.objects.filter(noun="job", verb="estimated", user=company.olive).count() == 1


def test_a_chart_changed_here_is_another_version_of_the_material(
    olive: Client, company: Company
) -> None:
    olive.post(address(Material, "change", company.batts.pk), chart(company.batts, "1.5"))
    assert Material.objects.get(pk=company.batts.pk).version == 2
