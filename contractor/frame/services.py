"""Services about people with an account, and what time it is where they work."""

from zoneinfo import ZoneInfo

from contractor.models import Branch, User


def language_choose(*, user: User, language: str) -> None:
    """Keep the language that a person wants pages in (one of settings.LANGUAGES)."""
    user.language = language
    user.save(update_fields=["language"])


def zone_of(user: User) -> ZoneInfo:
    """Return the zone of the person's own branch; an owner's is the first branch's."""
    branch = user.branch or Branch.objects.order_by("pk").first()
    return ZoneInfo(branch.time_zone if branch else "UTC")
