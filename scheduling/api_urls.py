"""Addresses of the API of `scheduling`."""

from rest_framework.routers import SimpleRouter

from scheduling.api import CrewDayViewSet, WeekViewSet

router = SimpleRouter(trailing_slash=False)
router.register("weeks", WeekViewSet, basename="api-week")
router.register("crew-days", CrewDayViewSet, basename="api-crew-day")

urlpatterns = router.urls
