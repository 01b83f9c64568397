"""Addresses of the outbox: the office's page, and the stop page that needs no account."""

from django.urls import path

from contractor.outbox import views as mail_views

urlpatterns = [
    path("mail/", mail_views.mail_page, name="mail"),
    path("mail/<int:mail_id>/", mail_views.mail_show, name="mail-one"),
    path("mail/<int:mail_id>/again/", mail_views.mail_again, name="mail-again"),
    path("mail/addresses/<int:address_id>/resume/", mail_views.address_resume, name="mail-resume"),
    path("mail/stop/<str:token>/", mail_views.stop_page, name="mail-stop"),
]
