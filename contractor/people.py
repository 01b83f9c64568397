"""Services about people with an account."""

from contractor.models import User


def language_choose(*, user: User, language: str) -> None:
    """Keep the language that a person wants pages in (one of settings.LANGUAGES)."""
    user.language = language
    user.save(update_fields=["language"])
