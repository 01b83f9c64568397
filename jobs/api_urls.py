"""Addresses of the API of `jobs`."""

from rest_framework.routers import SimpleRouter

from jobs.api import JobViewSet

router = SimpleRouter(trailing_slash=False)
router.register("jobs", JobViewSet, basename="api-job")

urlpatterns = router.urls
