"""From a sheet's rows to what they would make and change; reads the database, writes nothing."""

from jobs.importing.plan import Change, ImportPlan, JobPlan, SpacePlan
from jobs.importing.preview import import_preview

__all__ = ["Change", "ImportPlan", "JobPlan", "SpacePlan", "import_preview"]
