"""The superintendent's page, opened by a link: a plain form for each house; decides nothing."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps

from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from jobs.conditions.states import MoveRefused
from jobs.conditions_rows import entry_of
from jobs.forms.answers import ChecklistItemForm, ChecklistNameForm, forms_sentences
from jobs.models import Condition
from jobs.services import ChecklistAnswer, Stale, checklist_answer
from jobs.shown import said, word
from jobs.views.moving import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker, standing
from scheduling.queries.checklist import ChecklistPage, HouseDue, checklist_page

# The address is the right itself: it goes to no other site, no search engine and no store.
PRIVATE = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow",
    "Cache-Control": "no-store",
}


Forms = dict[int, ChecklistItemForm]


@dataclass(frozen=True)
class ItemShown:
    """One owed thing: its state in words, why it matters, and the form with what was typed."""

    condition: Condition
    standing: str
    why: str
    form: ChecklistItemForm

    @property
    def is_reported(self) -> bool:
        """Whether somebody said that it is done."""
        return self.condition.state == Condition.State.REPORTED_DONE


@dataclass(frozen=True)
class HouseShown:
    """One house with its items, its name form and what was wrong with what was sent."""

    due: HouseDue
    items: tuple[ItemShown, ...]
    name: str
    is_open: bool
    problems: tuple[str, ...] = ()

    @property
    def waiting(self) -> list[ItemShown]:
        """What nobody has reported done."""
        return [item for item in self.items if not item.is_reported]

    @property
    def reported(self) -> list[ItemShown]:
        """What was reported done, and can still be changed."""
        return [item for item in self.items if item.is_reported]


def private(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponseBase]:
    """Let the view's answer be kept, indexed and passed on by nobody."""

    @wraps(view)
    def guarded(request: HttpRequest, secret: str) -> HttpResponse:
        response = view(request, secret)
        for name, value in PRIVATE.items():
            response.headers[name] = value
        return response

    return guarded


# No cookie and no token: with `no-referrer` a browser sends no origin to check, and who does not
# know the secret cannot forge the address that carries it.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
@private
def checklist(request: HttpRequest, secret: str) -> HttpResponse:
    """Show the houses of a link and take the answers for one; opening it changes nothing."""
    page = checklist_page(secret, now=timezone.now())
    if page is None:
        return gone(request)
    with translation.override(language_of(request, page)):
        if request.method == "POST":
            return _take(request, secret, page)
        return _shown(request, page)


@require_safe
@private
def checklist_thanks(request: HttpRequest, secret: str) -> HttpResponse:
    """Say thank you, and what happens next."""
    page = checklist_page(secret, now=timezone.now())
    if page is None:
        return gone(request)
    with translation.override(language_of(request, page)):
        context = {"page": page, "back": _address("checklist", secret)}
        return _in_language(render(request, "scheduling/checklist_thanks.html", context))


def gone(request: HttpRequest) -> HttpResponse:
    """One page for every secret that opens nothing, in both languages."""
    return render(request, "scheduling/checklist_gone.html", status=404)


def language_of(request: HttpRequest, page: ChecklistPage) -> str:
    """The language asked for in the address, else the superintendent's."""
    asked = request.GET.get("lang", "")
    return asked if asked in dict(settings.LANGUAGES) else page.link.superintendent.language


def _take(request: HttpRequest, secret: str, page: ChecklistPage) -> HttpResponse:
    house_id = request.POST.get("house", "")
    is_number = house_id.isdecimal() and len(house_id) < 19
    due = page.house(int(house_id) if is_number else None)
    if due is None:
        return gone(request)
    forms = {c.pk: _item_form(c, page, request.POST) for c in due.conditions}
    name_form = ChecklistNameForm(request.POST)
    problems = _problems(name_form, forms)
    if problems:
        return _shown(request, page, due, Refusal(BAD_INPUT, problems))
    refusal = _answers_save(page, due, forms, name_form.cleaned_data["name"])
    if refusal:
        fresh = checklist_page(secret, now=timezone.now())
        return _shown(request, fresh, due, refusal) if fresh else gone(request)
    return redirect(_address("checklist-thanks", secret))


def _problems(name_form: ChecklistNameForm, forms: Forms) -> tuple[str, ...]:
    problems = forms_sentences([name_form, *forms.values()])
    if not problems and not any(form.is_answered for form in forms.values()):
        problems = [_("No answer was chosen. Tick one for at least one thing.")]
    return tuple(problems)


def _answers_save(page: ChecklistPage, due: HouseDue, forms: Forms, name: str) -> Refusal | None:
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
        return Refusal(CONFLICT, (said(refused.sentence),))
    except Stale as stale:
        return Refusal(CONFLICT, (someone_was_quicker(stale.present),))
    except ValidationError as error:
        return Refusal(BAD_INPUT, tuple(map(word, error.messages)))
    return None


def _shown(
    request: HttpRequest,
    page: ChecklistPage,
    wrong: HouseDue | None = None,
    refusal: Refusal | None = None,
) -> HttpResponse:
    """The page; what was typed stays where it was wrong, and goes where it was overtaken."""
    typed = request.POST if refusal and refusal.status == BAD_INPUT else None
    # The most urgent house lies open, or the one that was just answered wrongly.
    shown = wrong or next(iter(page.houses), None)
    houses = [
        _house_shown(due, page, typed, refusal, is_open=True)
        if shown and due.job == shown.job
        else _house_shown(due, page, None, None, is_open=False)
        for due in page.houses
    ]
    context = {"page": page, "houses": houses, "languages": _other_languages()}
    status = refusal.status if refusal else 200
    return _in_language(render(request, "scheduling/checklist.html", context, status=status))


def _house_shown(
    due: HouseDue,
    page: ChecklistPage,
    typed: QueryDict | None,
    refusal: Refusal | None,
    *,
    is_open: bool,
) -> HouseShown:
    name = typed.get("name", "") if typed else page.link.superintendent.name
    return HouseShown(
        due=due,
        items=tuple(_item_shown(condition, page, typed) for condition in due.conditions),
        name=name,
        is_open=is_open,
        problems=refusal.sentences if refusal else (),
    )


def _item_shown(condition: Condition, page: ChecklistPage, typed: QueryDict | None) -> ItemShown:
    entry = entry_of(condition)
    return ItemShown(
        condition=condition,
        standing=standing(condition),
        why=word(entry.consequence) if entry else "",
        form=_item_form(condition, page, typed),
    )


def _item_form(
    condition: Condition, page: ChecklistPage, typed: QueryDict | None
) -> ChecklistItemForm:
    label = word(condition.name)
    return ChecklistItemForm(typed, prefix=f"c{condition.pk}", today=page.today, label=label)


def _other_languages() -> list[tuple[str, str]]:
    now = translation.get_language()
    return [(code, name) for code, name in settings.LANGUAGES if code != now]


def _address(name: str, secret: str) -> str:
    """The address of a page of the link, in the language at hand."""
    return f"{reverse(name, args=[secret])}?lang={translation.get_language()}"


def _in_language(response: HttpResponse) -> HttpResponse:
    response.headers["Content-Language"] = translation.get_language() or "en"
    return response
