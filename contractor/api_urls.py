"""Addresses of the API of `contractor`."""

from rest_framework.routers import SimpleRouter

from contractor.api.outbox import OutboxMailViewSet
from contractor.api.phones import PhoneLinkViewSet, PhoneViewSet

router = SimpleRouter(trailing_slash=False)
router.register("mails", OutboxMailViewSet, basename="api-mail")
router.register("phones", PhoneViewSet, basename="api-phone")
router.register("phone-links", PhoneLinkViewSet, basename="api-phone-link")

urlpatterns = router.urls
