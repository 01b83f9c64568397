"""Addresses of the pages of back-charges."""

from django.urls import path

from jobs.charges.views import list as back_charges

urlpatterns = [
    path("back-charges/", back_charges.back_charges_page, name="back-charges"),
    path("back-charges/sheet.xlsx", back_charges.back_charges_sheet, name="back-charges-sheet"),
]
