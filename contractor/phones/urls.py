"""Addresses of phones: the office's page, a lead's own, and the link that needs no account."""

from django.urls import path

from contractor.phones.views import desk as pages
from contractor.phones.views import link as link_page

urlpatterns = [
    path("phones/", pages.phones_page, name="phones"),
    path("phones/link/", pages.phone_link_new, name="phone-link-new"),
    path("phones/link/<int:link_id>/end/", pages.phone_link_end, name="phone-link-end"),
    path("phones/<int:phone_id>/end/", pages.phone_end, name="phone-end"),
    path("phones/mine/", pages.phones_mine, name="phones-mine"),
    path("phones/mine/<int:phone_id>/end/", pages.phone_mine_end, name="phone-mine-end"),
    path("phone/<str:secret>/", link_page.phone_link, name="phone-link"),
]
