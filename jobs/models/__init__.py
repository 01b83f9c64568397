"""The nouns of what is to be done, importable from one place."""

from jobs.models.actual import Actual
from jobs.models.back_charge import BackCharge
from jobs.models.call import CallAttempt
from jobs.models.catalogue import CatalogueItem
from jobs.models.checklist_code import ChecklistCode, CodeEntry, CodeTry
from jobs.models.condition import ChecklistLink, Condition
from jobs.models.condition_photo import ConditionPhoto
from jobs.models.customer import Builder, Site, Superintendent
from jobs.models.digest import Digest, DigestLink
from jobs.models.house import Job, Space
from jobs.models.record import Finding, PromiseOutcome
from jobs.models.upload import SheetUpload
from jobs.models.work import EstimateWarning, Step

__all__ = [
    "Actual",
    "BackCharge",
    "Builder",
    "CallAttempt",
    "CatalogueItem",
    "ChecklistCode",
    "ChecklistLink",
    "CodeEntry",
    "CodeTry",
    "Condition",
    "ConditionPhoto",
    "Digest",
    "DigestLink",
    "EstimateWarning",
    "Finding",
    "Job",
    "PromiseOutcome",
    "SheetUpload",
    "Site",
    "Space",
    "Step",
    "Superintendent",
]
