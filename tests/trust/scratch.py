"""Changes a scratch copy and serves it; for a child process."""

import urllib.request
from typing import Any

from contractor.models import Branch
from scheduling.management.scratch_site import scratch_copy, server_running
from tests.people import company_make


def main() -> dict[str, Any]:
    """Rename every branch in a copy, look at it by a server, and come back."""
    company_make()
    names = sorted(Branch.objects.values_list("name", flat=True))
    with scratch_copy() as folder:
        Branch.objects.filter(name=names[0]).update(name="Scratch yard")
        with server_running(folder) as port:
            url = f"http://127.0.0.1:{port}/readyz"
            ready = urllib.request.urlopen(url, timeout=10).read().decode()
        copied = sorted(Branch.objects.values_list("name", flat=True))
    after = sorted(Branch.objects.values_list("name", flat=True))
    return {
        "before": names,
        "in the copy": copied,
        "after": after,
        "ready": ready,
        "gone": not folder.exists(),
    }
