"""People who sign in; knows their role and branch, not what these may do."""

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from contractor.models.branch import Branch


class Role(models.TextChoices):
    """What a person is here for. A superintendent has a link instead of an account."""

    OWNER = "owner", "owner"
    OFFICE = "office", "office"
    ESTIMATOR = "estimator", "estimator"
    CREW_LEAD = "crew_lead", "crew lead"


class User(AbstractUser):
    """A person with an account: an owner sees every branch, the others see theirs."""

    role = models.CharField(max_length=12, choices=Role, default=Role.CREW_LEAD)
    branch = models.ForeignKey(
        Branch, on_delete=models.PROTECT, null=True, blank=True, related_name="people"
    )
    language = models.CharField(max_length=5, choices=settings.LANGUAGES, default="en")
    may_clear_stop = models.BooleanField(
        default=False,
        help_text="May record that a stop condition (asbestos, live wiring …) was seen done.",
    )

    class Meta(AbstractUser.Meta):
        constraints = [
            models.CheckConstraint(
                condition=Q(role="owner") | Q(branch__isnull=False),
                name="user_has_branch",
                violation_error_message=_("Everybody but an owner belongs to a branch."),
            ),
        ]
