"""Every address of the site; upper apps are named as strings."""

from django.contrib import admin
from django.contrib.auth.views import LogoutView
from django.urls import include, path, re_path
from drf_spectacular.views import SpectacularAPIView

from contractor.api import problems
from contractor.frame import views

urlpatterns = [
    path("", views.home, name="home"),
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("language/", views.language_set, name="language-set"),
    path("photos/<uuid:photo_id>/", views.photo_show, name="photo"),
    path("livez", views.livez, name="livez"),
    path("readyz", views.readyz, name="readyz"),
    path("admin/", admin.site.urls),
    path("", include("contractor.outbox.urls")),
    path("", include("contractor.phones.urls")),
    path("", include("jobs.urls")),
    path("", include("scheduling.urls")),
    path("api/schema", SpectacularAPIView.as_view(), name="api-schema"),
    path("api/", include("contractor.api_urls")),
    path("api/", include("jobs.api_urls")),
    path("api/", include("scheduling.api_urls")),
    re_path(r"^api/(?P<unused>.*)$", problems.not_found, name="api-not-found"),
]
