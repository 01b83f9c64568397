"""Makes the plain forms by which a crew says something; knows no row and no rule."""

from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid4

from django import template
from django.http import HttpRequest, QueryDict
from django.middleware.csrf import get_token
from django.template import Context
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

register = template.Library()


@dataclass(frozen=True)
class Refused:
    """A form that was not taken: which one it was, what was typed, and what is wrong with it."""

    form: tuple[str, ...]
    typed: QueryDict
    problems: tuple[str, ...]


@dataclass(frozen=True)
class Entered:
    """What stands in a form when it is shown: nothing, or what was typed and refused."""

    values: dict[str, str] = field(default_factory=dict)
    lists: dict[str, list[str]] = field(default_factory=dict)
    problems: tuple[str, ...] = ()


class _Forms:
    """What the forms of one page share, so that dozens of them weigh little when compressed.

    One token, for each call of Django's masks it anew; ids that are alike but for their end.
    """

    def __init__(self, request: HttpRequest) -> None:
        self.token = get_token(request)
        self.start = uuid4().hex[:26]
        self.number = 0

    def new_id(self) -> str:
        """Return an id that no other form has, of this page or another."""
        self.number += 1
        return str(UUID(f"{self.start}{self.number:06x}"))


def _forms_of(request: HttpRequest) -> _Forms:
    found: _Forms | None = getattr(request, "fact_forms", None)
    if found is None:
        found = _Forms(request)
        request.fact_forms = found  # type: ignore[attr-defined]
    return found


def form_key(data: QueryDict) -> tuple[str, ...]:
    """Tell which form of the page was posted."""
    return tuple(data.get(name, "") for name in ("kind", "job", "step", "condition", "answer"))


@register.simple_tag(takes_context=True)
def entered(
    context: Context,
    kind: str,
    *,
    job: object = "",
    step: str = "",
    condition: object = "",
    answer: str = "",
) -> Entered:
    """Return what was typed into this very form, if it is the one that was refused."""
    refused: Refused | None = context.get("refused")
    if refused is None or refused.form != _key(kind, job, step, condition, answer):
        return Entered()
    lists = {name: refused.typed.getlist(name) for name in refused.typed}
    values = {name: refused.typed.get(name, "") for name in refused.typed}
    return Entered(values, lists, refused.problems)


@register.simple_block_tag(takes_context=True)
def fact_form(
    context: Context,
    content: SafeString,
    kind: str,
    *,
    job: object = "",
    step: str = "",
    condition: object = "",
    answer: str = "",
    **attributes: object,
) -> SafeString:
    """Put the block into a `<form class="fact">` with its hidden inputs, its id made anew.

    Further attributes come with their underscores as dashes: data_when, id, hidden. True makes a
    bare attribute.
    """
    key = _key(kind, job, step, condition, answer)
    named = dict(zip(("kind", "job", "step", "condition"), key, strict=False))
    shown: dict[str, object] = {f"data-{name}": text for name, text in named.items()}
    shown |= {name.replace("_", "-"): value for name, value in attributes.items()}
    forms = _forms_of(context["request"])
    hidden = {
        "csrfmiddlewaretoken": forms.token,
        "id": forms.new_id(),
        **named,
        "seen_version": str(context["page"].version_id),
    } | ({"answer": answer} if answer else {})
    return format_html(
        '<form method="post" class="fact"{}>{}{}</form>',
        format_html_join("", "{}", ((_attribute(*pair),) for pair in shown.items())),
        format_html_join("", '<input type="hidden" name="{}" value="{}">', hidden.items()),
        content,
    )


def _key(kind: str, *rest: object) -> tuple[str, ...]:
    return (kind, *("" if value is None else str(value) for value in rest))


def _attribute(name: str, value: Any) -> SafeString:
    if value is True:
        return format_html(" {}", name)
    if value is False or value is None:
        return SafeString("")
    return format_html(' {}="{}"', name, value)
