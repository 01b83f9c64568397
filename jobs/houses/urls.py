"""Addresses of the pages of jobs."""

from django.urls import path

from jobs.houses.views import by_hand, gate, job, job_list, job_new, owner

urlpatterns = [
    path("jobs/", job_list.job_list_page, name="job-list"),
    path("jobs/new/", job_new.job_new, name="job-new"),
    path("jobs/<int:job_id>/", job.job_show, name="job"),
    path("jobs/<int:job_id>/dates/", job.dates_post, name="job-dates"),
    path("jobs/<int:job_id>/gate/", gate.gate_post, name="job-gate"),
    path("jobs/<int:job_id>/owner/", owner.owner_post, name="job-owner"),
    path(
        "jobs/<int:job_id>/conditions/<int:condition_id>/",
        job.condition_post,
        name="condition-move",
    ),
    path("jobs/<int:job_id>/conditions/add/", by_hand.add_post, name="condition-add"),
    path(
        "jobs/<int:job_id>/conditions/<int:condition_id>/strike/",
        by_hand.strike_post,
        name="condition-strike",
    ),
    path("jobs/<int:job_id>/warnings/<int:warning_id>/", job.warning_post, name="job-warning"),
    path("jobs/<int:job_id>/checklist-link/", job.checklist_link_post, name="job-checklist-link"),
    path("sites/<int:site_id>/place/", job_list.site_place_post, name="site-place"),
]
