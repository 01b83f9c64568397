"""Addresses of the office's page of checklist links."""

from django.urls import path

from jobs.checklists import views

urlpatterns = [
    path("checklist-links/", views.links_page, name="checklist-links"),
    path("checklist-links/make/", views.link_make, name="checklist-link-make"),
    path("checklist-links/<int:link_id>/close/", views.link_revoke, name="checklist-link-revoke"),
]
