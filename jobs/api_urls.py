"""Addresses of the API of `jobs`."""

from django.urls import path
from rest_framework.routers import SimpleRouter

from jobs.catalogue.api import CatalogueViewSet
from jobs.charges.api import BackChargeViewSet
from jobs.houses.api import JobViewSet
from jobs.readiness.api import CallsView
from jobs.record.api import BuilderRecordViewSet, FindingViewSet

router = SimpleRouter(trailing_slash=False)
router.register("jobs", JobViewSet, basename="api-job")
router.register("back-charges", BackChargeViewSet, basename="api-back-charge")
router.register("builders", BuilderRecordViewSet, basename="api-builder")
router.register("findings", FindingViewSet, basename="api-finding")
router.register("catalogue", CatalogueViewSet, basename="api-catalogue")

urlpatterns = [path("calls", CallsView.as_view(), name="api-calls"), *router.urls]
