"""Addresses of superintendents' pages, and of their checklist on paper."""

from django.urls import path

from scheduling.checklists.views import checklist, code, sheet

urlpatterns = [
    path("checklist-sheet/", sheet.checklist_sheet, name="checklist-sheet"),
    path("code/", code.checklist_code, name="checklist-code"),
    path("c/<str:secret>/", checklist.checklist, name="checklist"),
    path("c/<str:secret>/<int:job_id>/", checklist.checklist_house, name="checklist-house"),
    path(
        "c/<str:secret>/<int:job_id>/thanks/", checklist.checklist_thanks, name="checklist-thanks"
    ),
]
