"""Addresses of the API of `contractor`."""

from rest_framework.routers import SimpleRouter

from contractor.api.outbox import OutboxMailViewSet

router = SimpleRouter(trailing_slash=False)
router.register("mails", OutboxMailViewSet, basename="api-mail")

urlpatterns = router.urls
