"""The writes of `jobs`: keyword-only, one transaction each, an event for every change."""

from jobs.services.actuals import actual_enter, actual_withdraw
from jobs.services.answers import ChecklistAnswer, checklist_answer, condition_disown
from jobs.services.back_charge import condition_take_over
from jobs.services.by_hand import condition_add, condition_strike, condition_unstrike
from jobs.services.call import CallAnswer, CallTaken, call_record
from jobs.services.catalogue import (
    CatalogueRefused,
    catalogue_add,
    catalogue_change,
    catalogue_restore,
    catalogue_retire,
)
from jobs.services.catalogue_sheet import (
    CatalogueSheetRefused,
    CatalogueTaken,
    catalogue_import,
)
from jobs.services.charts import (
    DoubtfulRows,
    material_save,
    material_table_replace,
    table_doubts,
)
from jobs.services.checklist import (
    checklist_actor,
    checklist_link_make,
    checklist_link_revoke,
)
from jobs.services.checklist_code import checklist_code_make, code_enter, code_try
from jobs.services.condition import condition_move
from jobs.services.customer import (
    builder_ensure,
    site_ensure,
    site_gate_say,
    site_place,
    superintendent_ensure,
)
from jobs.services.digest import digest_keep, digest_link_make
from jobs.services.drives import DrivesRefused, DrivesTaken, drive_times_import
from jobs.services.estimate import job_estimate, warning_answer
from jobs.services.expiry import conditions_expire
from jobs.services.finding import finding_record, finding_say
from jobs.services.imports import ImportRefused, import_apply, upload_import, upload_keep
from jobs.services.job import job_create, job_update
from jobs.services.rates import Learnt, rate_pin, rate_unpin, rates_learn, yard_set
from jobs.services.receipts import receipt_write
from jobs.services.reprice import Repriced, branch_reprice, jobs_reprice
from jobs.services.shared import Stale, mover_of
from jobs.services.space import space_remove, space_save

__all__ = [
    "CallAnswer",
    "CallTaken",
    "CatalogueRefused",
    "CatalogueSheetRefused",
    "CatalogueTaken",
    "ChecklistAnswer",
    "DoubtfulRows",
    "DrivesRefused",
    "DrivesTaken",
    "ImportRefused",
    "Learnt",
    "Repriced",
    "Stale",
    "actual_enter",
    "actual_withdraw",
    "branch_reprice",
    "builder_ensure",
    "call_record",
    "catalogue_add",
    "catalogue_change",
    "catalogue_import",
    "catalogue_restore",
    "catalogue_retire",
    "checklist_actor",
    "checklist_answer",
    "checklist_code_make",
    "checklist_link_make",
    "checklist_link_revoke",
    "code_enter",
    "code_try",
    "condition_add",
    "condition_disown",
    "condition_move",
    "condition_strike",
    "condition_take_over",
    "condition_unstrike",
    "conditions_expire",
    "digest_keep",
    "digest_link_make",
    "drive_times_import",
    "finding_record",
    "finding_say",
    "import_apply",
    "job_create",
    "job_estimate",
    "job_update",
    "jobs_reprice",
    "material_save",
    "material_table_replace",
    "mover_of",
    "rate_pin",
    "rate_unpin",
    "rates_learn",
    "receipt_write",
    "site_ensure",
    "site_gate_say",
    "site_place",
    "space_remove",
    "space_save",
    "superintendent_ensure",
    "table_doubts",
    "upload_import",
    "upload_keep",
    "warning_answer",
    "yard_set",
]
