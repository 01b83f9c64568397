"""Addresses of the pages of `jobs`."""

from django.urls import path, re_path

from jobs.views import gate, imports, job, job_list, job_new, links, owner, readiness, space

urlpatterns = [
    path("jobs/", job_list.job_list_page, name="job-list"),
    path("jobs/new/", job_new.job_new, name="job-new"),
    path("jobs/<int:job_id>/", job.job_show, name="job"),
    path("jobs/<int:job_id>/spaces/new/", space.space_new, name="space-new"),
    path("jobs/<int:job_id>/spaces/look/", space.space_look, name="space-look"),
    path("jobs/<int:job_id>/spaces/<int:space_id>/", space.space_change, name="space"),
    path(
        "jobs/<int:job_id>/spaces/<int:space_id>/remove/",
        space.space_take_off,
        name="space-remove",
    ),
    path("jobs/<int:job_id>/dates/", job.dates_post, name="job-dates"),
    path("jobs/<int:job_id>/gate/", gate.gate_post, name="job-gate"),
    path("jobs/<int:job_id>/owner/", owner.owner_post, name="job-owner"),
    path(
        "jobs/<int:job_id>/conditions/<int:condition_id>/",
        job.condition_post,
        name="condition-move",
    ),
    path("jobs/<int:job_id>/warnings/<int:warning_id>/", job.warning_post, name="job-warning"),
    path("jobs/<int:job_id>/checklist-link/", job.checklist_link_post, name="job-checklist-link"),
    path("checklist-links/", links.links_page, name="checklist-links"),
    path("checklist-links/make/", links.link_make, name="checklist-link-make"),
    path("checklist-links/<int:link_id>/close/", links.link_revoke, name="checklist-link-revoke"),
    path("sites/<int:site_id>/place/", job_list.site_place_post, name="site-place"),
    path("import/", imports.import_page, name="import"),
    path("import/<uuid:upload_id>/", imports.preview_page, name="import-preview"),
    re_path(r"^import/blank\.(?P<form>csv|xlsx)$", imports.blank_sheet, name="import-blank"),
    path("readiness/", readiness.readiness_page, name="readiness"),
]
