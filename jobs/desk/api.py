"""What the APIs of jobs share: how large a number may be, and the answer to a conflict."""

from rest_framework.exceptions import APIException

LARGEST = 2**63 - 1


class Conflict(APIException):
    """Somebody was quicker, or the move may not be made: nothing was changed."""

    status_code = 409
