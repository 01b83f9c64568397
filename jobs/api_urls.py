"""Addresses of the API of `jobs`."""

from django.urls import path
from rest_framework.routers import SimpleRouter

from jobs.api import JobViewSet
from jobs.api_back_charges import BackChargeViewSet
from jobs.api_calls import CallsView
from jobs.api_catalogue import CatalogueViewSet
from jobs.api_record import BuilderRecordViewSet, FindingViewSet

router = SimpleRouter(trailing_slash=False)
router.register("jobs", JobViewSet, basename="api-job")
router.register("back-charges", BackChargeViewSet, basename="api-back-charge")
router.register("builders", BuilderRecordViewSet, basename="api-builder")
router.register("findings", FindingViewSet, basename="api-finding")
router.register("catalogue", CatalogueViewSet, basename="api-catalogue")

urlpatterns = [path("calls", CallsView.as_view(), name="api-calls"), *router.urls]
