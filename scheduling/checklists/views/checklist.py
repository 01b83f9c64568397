"""The superintendent's pages, opened by a link: houses, a form for each; decides nothing."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import wraps
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from jobs.catalogue.rows import entry_of
from jobs.checklists.forms import ChecklistItemForm, ChecklistNameForm
from jobs.checklists.services.answers import ChecklistAnswer, checklist_answer
from jobs.conditions.states import MoveRefused
from jobs.desk.forms import forms_sentences
from jobs.desk.services import Stale
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker, state_text
from jobs.models import Condition
from jobs.wording import sentence_text, word
from scheduling.checklists.queries.checklist import ChecklistPage, HouseDue, checklist_page

# The address is the right itself: it goes to no other site, no search engine and no store.
PRIVATE = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow",
    "Cache-Control": "no-store",
}
# Of one send, photos and all; it is looked at before anything is read.
MAX_SEND_BYTES = 40 * 1024 * 1024
TOO_LARGE = 413

Forms = dict[int, ChecklistItemForm]


@dataclass(frozen=True)
class ItemPresenter:
    """One owed thing: its state in words, why it matters, and the form with what was typed."""

    condition: Condition
    state_text: str
    why: str
    form: ChecklistItemForm

    @property
    def is_reported(self) -> bool:
        """Whether somebody said that it is done."""
        return self.condition.state == Condition.State.REPORTED_DONE


@dataclass(frozen=True)
class ChecklistHouse:
    """One house with its items, its name form and what was wrong with what was sent."""

    due: HouseDue
    address: str
    items: tuple[ItemPresenter, ...]
    name: str
    problems: tuple[str, ...] = ()

    @property
    def waiting(self) -> list[ItemPresenter]:
        """What nobody has reported done."""
        return [item for item in self.items if not item.is_reported]

    @property
    def reported(self) -> list[ItemPresenter]:
        """What was reported done, and can still be changed."""
        return [item for item in self.items if item.is_reported]


@dataclass(frozen=True)
class Opened:
    """What was asked for: a page of a link, at one of its houses where there is any."""

    request: HttpRequest
    secret: str
    page: ChecklistPage
    due: HouseDue | None


def private(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponseBase]:
    """Let the view's answer be kept, indexed and passed on by nobody."""

    @wraps(view)
    def guarded(request: HttpRequest, **names: Any) -> HttpResponse:
        response = view(request, **names)
        for name, value in PRIVATE.items():
            response.headers[name] = value
        return response

    return guarded


@require_safe
@private
def checklist(request: HttpRequest, secret: str) -> HttpResponse:
    """Show the most urgent house of a link with its form, and the way to each other one."""
    page = checklist_page(secret, now=timezone.now())
    if page is None:
        return gone(request)
    with translation.override(language_of(request, page)):
        return _shown(Opened(request, secret, page, next(iter(page.houses), None)))


# No cookie and no token: with `no-referrer` a browser sends no origin to check, and who does not
# know the secret cannot forge the address that carries it.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@private
def checklist_house(request: HttpRequest, secret: str, job_id: int) -> HttpResponse:
    """Show one house of a link and take the answers for it; opening it changes nothing."""
    page = checklist_page(secret, now=timezone.now())
    due = page.house(job_id) if page else None
    if page is None or due is None:
        return gone(request)
    with translation.override(language_of(request, page)):
        if request.method == "POST":
            return _take(request, secret, page, due)
        return _shown(Opened(request, secret, page, due))


@require_safe
@private
def checklist_thanks(request: HttpRequest, secret: str, job_id: int) -> HttpResponse:
    """Say thank you, what was understood for this house, and what happens next."""
    page = checklist_page(secret, now=timezone.now())
    due = page.house(job_id) if page else None
    if page is None or due is None:
        return gone(request)
    with translation.override(language_of(request, page)):
        open_ones = [other for other in page.others(due) if other.open_count]
        context = {
            "page": page,
            "due": due,
            "answers": [(c, state_text(c)) for c in due.conditions if c.moved_at],
            "here": _address("checklist-house", secret, job_id),
            "next": open_ones[0] if open_ones else None,
            "next_address": _address("checklist-house", secret, open_ones[0].job.pk)
            if open_ones
            else "",
            "back": _address("checklist", secret),
        }
        return _in_language(render(request, "scheduling/checklists/checklist_thanks.html", context))


def gone(request: HttpRequest) -> HttpResponse:
    """Show one page for every secret that opens nothing, in both languages."""
    return render(request, "scheduling/checklists/checklist_gone.html", status=404)


def language_of(request: HttpRequest, page: ChecklistPage) -> str:
    """Return the language asked for in the address, else the superintendent's."""
    asked = request.GET.get("lang", "")
    return asked if asked in dict(settings.LANGUAGES) else page.link.superintendent.language


def _take(request: HttpRequest, secret: str, page: ChecklistPage, due: HouseDue) -> HttpResponse:
    if int(request.META.get("CONTENT_LENGTH") or 0) > MAX_SEND_BYTES:
        # Told from the head, before a byte of it is read.
        words = _("That is more than %(most)s MB together: send fewer photos at once.")
        too_large = Refusal(TOO_LARGE, (words % {"most": MAX_SEND_BYTES // 1024**2},))
        return _shown(Opened(request, secret, page, due), too_large)
    forms = {c.pk: _item_form(c, page, request) for c in due.conditions}
    name_form = ChecklistNameForm(request.POST)
    problems = _problems(name_form, forms)
    if problems:
        return _shown(Opened(request, secret, page, due), Refusal(BAD_INPUT, problems), forms)
    refusal = _answers_save(page, forms, name_form.cleaned_data["name"])
    if refusal is None:
        return redirect(_address("checklist-thanks", secret, due.job.pk))
    fresh = checklist_page(secret, now=timezone.now())
    now_due = fresh.house(due.job.pk) if fresh else None
    if fresh is None or now_due is None:
        return gone(request)
    return _shown(Opened(request, secret, fresh, now_due), refusal, _still_true(forms, now_due))


def _problems(name_form: ChecklistNameForm, forms: Forms) -> tuple[str, ...]:
    problems = forms_sentences([name_form, *forms.values()])
    if not problems and not any(form.is_answered for form in forms.values()):
        problems = [_("No answer was chosen. Tick one for at least one thing.")]
    elif problems and any(form.cleaned_data.get("photo") for form in forms.values()):
        problems.append(_("Choose the photos again: a page cannot keep them."))
    return tuple(problems)


def _still_true(forms: Forms, due: HouseDue) -> Forms:
    """Return what was typed, but for the things that somebody else has moved since."""
    versions = {condition.pk: condition.version for condition in due.conditions}
    return {
        pk: form for pk, form in forms.items() if versions.get(pk) == form.cleaned_data["version"]
    }


def _answers_save(page: ChecklistPage, forms: Forms, name: str) -> Refusal | None:
    """Save all the answers of a house; None when that was done, else why nothing was."""
    try:
        checklist_answer(
            link=page.link,
            answers=[
                ChecklistAnswer(condition_id=pk, **form.answered())
                for pk, form in forms.items()
                if form.is_answered
            ],
            name=name,
            now=timezone.now(),
        )
    except MoveRefused as refused:
        return Refusal(CONFLICT, (sentence_text(refused.sentence),))
    except Stale as stale:
        return Refusal(CONFLICT, (someone_was_quicker(stale.present),))
    except ValidationError as error:
        return Refusal(BAD_INPUT, tuple(map(word, error.messages)))
    return None


def _shown(
    opened: Opened,
    refusal: Refusal | None = None,
    forms: Mapping[int, ChecklistItemForm] | None = None,
) -> HttpResponse:
    """Show the page of one house; what was typed stays where it was wrong or is still true."""
    page, due = opened.page, opened.due
    context = {
        "page": page,
        "house": _house_shown(opened, due, refusal, forms or {}) if due else None,
        "others": [
            (other, _address("checklist-house", opened.secret, other.job.pk))
            for other in page.others(due)
        ],
        "languages": _other_languages(),
    }
    status = refusal.status if refusal else 200
    response = render(
        opened.request, "scheduling/checklists/checklist.html", context, status=status
    )
    return _in_language(response)


def _house_shown(
    opened: Opened,
    due: HouseDue,
    refusal: Refusal | None,
    forms: Mapping[int, ChecklistItemForm],
) -> ChecklistHouse:
    page, owner = opened.page, opened.page.link.superintendent.name
    return ChecklistHouse(
        due=due,
        address=_address("checklist-house", opened.secret, due.job.pk),
        items=tuple(_item_shown(c, forms.get(c.pk) or _item_form(c, page)) for c in due.conditions),
        name=opened.request.POST.get("name", owner) if forms else owner,
        problems=refusal.sentences if refusal else (),
    )


def _item_shown(condition: Condition, form: ChecklistItemForm) -> ItemPresenter:
    entry = entry_of(condition)
    return ItemPresenter(
        condition=condition,
        state_text=state_text(condition),
        why=word(entry.consequence) if entry else "",
        form=form,
    )


def _item_form(
    condition: Condition, page: ChecklistPage, request: HttpRequest | None = None
) -> ChecklistItemForm:
    label = word(condition.name)
    sent = (request.POST, request.FILES) if request else (None, None)
    return ChecklistItemForm(*sent, prefix=f"c{condition.pk}", today=page.today, label=label)


def _other_languages() -> list[tuple[str, str]]:
    now = translation.get_language()
    return [(code, name) for code, name in settings.LANGUAGES if code != now]


def _address(name: str, *args: object) -> str:
    """Return the address of a page of the link, in the language at hand."""
    return f"{reverse(name, args=args)}?lang={translation.get_language()}"


def _in_language(response: HttpResponse) -> HttpResponse:
    response.headers["Content-Language"] = translation.get_language() or "en"
    return response
