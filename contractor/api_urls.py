"""Addresses of the API of `contractor`."""

from rest_framework.routers import SimpleRouter

from contractor.outbox.api import OutboxMailViewSet
from contractor.phones.api import PhoneLinkViewSet, PhoneViewSet

router = SimpleRouter(trailing_slash=False)
router.register("mails", OutboxMailViewSet, basename="api-mail")
router.register("phones", PhoneViewSet, basename="api-phone")
router.register("phone-links", PhoneLinkViewSet, basename="api-phone-link")

urlpatterns = router.urls
