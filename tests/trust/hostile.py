"""A yard whose every text that people may write is hostile; and what a page must not make of it."""

import json
import re
from datetime import UTC, datetime
from html.parser import HTMLParser

from contractor.models import Crew, CrewMember, Machine, User
from jobs.checklists.services.link import checklist_link_make
from jobs.models import Builder, Condition, EstimateWarning, Job, Site, Space, Superintendent
from scheduling.models import CrewDay, PlanningRun
from tests.access_world import Yard, yard_make
from tests.people import ACTOR, NOW, Company, company_make, password_give

# Each text carries a word of its own, so that a page which shows it is known to show it.
HOSTILE = {
    "builder": "qbuilder<script>window.owned=1;alert(1)</script>",
    "superintendent": 'qsuper"><img src=x onerror="window.owned=2;alert(2)">',
    "site": "qsite'><svg/onload=alert(3)>{{ 7|add:7 }}{% now 'Y' %}",
    "address": 'qaddress" onmouseover="alert(4)" x="',
    "gate": 'qgate"><script>alert(12)</script>{{ 7|add:7 }}',
    "unit": "qunit</title></textarea><iframe src=javascript:alert(5)>",
    "space": "qspace\u202egnp.exe\u202c\u200f🏠🏠 &lt;b&gt;<blink>x</blink>",
    "note": "qnote\r\nSet-Cookie: owned=1\r\n\r\n<script>alert(6)</script>" + "ñ🏚" * 200,
    "reason": "qreason javascript:alert(7) <a href='javascript:alert(8)'>x</a>" + "W" * 200,
    "warning": "qwarning<body onload=alert(9)><style>*{display:none}</style>",
    "answer": "qanswer --></style></script><script src=//evil.example/x.js></script>",
    "crew": "qcrew<meta http-equiv=refresh content=0;url=//evil.example>",
    "machine": "qmachine<form action=//evil.example><button>go</button>",
    "person": "qperson<script>alert(10)</script>",
    "member": "qmember<math><mtext><script>alert(11)</script>",
    "mover": "qmover<base href=//evil.example/>",
}
# Tags that the texts hold and no page of ours does.
FORBIDDEN = {"iframe", "base", "blink"}


def hostile_make(company: Company) -> Yard:
    """Fill a yard of the company with hostile texts, by rows alone, as long as columns take."""
    yard = yard_make(company, company.fairfield, company.north, company.omar)
    text = HOSTILE
    Builder.objects.update(name=text["builder"])
    Superintendent.objects.update(name=text["superintendent"])
    Site.objects.update(name=text["site"], address=text["address"], gate_note=text["gate"])
    Job.objects.filter(pk=yard.job.pk).update(unit=text["unit"][:60])
    Space.objects.update(name=text["space"][:80], note=text["note"][:500])
    moved = {"moved_by": text["mover"], "moved_at": NOW, "reason": text["reason"][:300]}
    Condition.objects.update(**moved)
    EstimateWarning.objects.update(
        text=text["warning"], answer=text["answer"], answered_by=company.omar, answered_at=NOW
    )
    User.objects.filter(pk=company.omar.pk).update(first_name=text["person"])
    Crew.objects.filter(pk=yard.crew.pk).update(name=text["crew"][:60])
    CrewMember.objects.filter(crew=yard.crew, is_lead=True).update(name=text["member"][:80])
    Machine.objects.filter(branch=yard.branch).update(name=text["machine"][:60])
    yard.crew_day.machines.add(company.blower)
    return yard


def site_load() -> None:
    """Fill the browser's own server; `secret_print` gives the link afterwards."""
    company = company_make()
    for person in (company.omar, company.cleo):
        password_give(person)
    hostile_make(company)


def addresses_print() -> None:
    """Print the addresses of pages that hold the texts: of the desk, the phone and the link."""
    day = CrewDay.objects.get()
    job, stop, space = day.stops.get().job_id, day.stops.get().pk, Space.objects.first()
    assert space is not None
    person = Superintendent.objects.get()
    branch = Site.objects.get().branch
    now = datetime.now(UTC)
    _, secret = checklist_link_make(superintendent=person, branch=branch, actor=ACTOR, now=now)
    found = {
        "omar": [
            "/jobs/",
            f"/jobs/{job}/",
            f"/jobs/{space.job_id}/spaces/{space.pk}/",
            "/readiness/",
            "/week/2027-W09/?posted=1",
            "/week/2027-W09/?weeks=2",
            f"/week/2027-W09/stop/{stop}/?posted=1",
            f"/runs/{PlanningRun.objects.get().pk}/",
        ],
        "cleo": ["/crew-days/", f"/crew-days/{day.crew_id}/{day.date.isoformat()}/"],
        "": [f"/c/{secret}/", f"/c/{secret}/{job}/", f"/c/{secret}/{job}/thanks/"],
    }
    print(json.dumps(found))


class Reader(HTMLParser):
    """Collects the marks of a page that only a stored text can have put there."""

    def __init__(self) -> None:
        super().__init__()
        self.faults: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        bad = [name for name in values if name.startswith("on")]
        bad += [name for name, value in values.items() if _leads_out(name, value)]
        if tag in FORBIDDEN or (tag == "script" and not _is_ours(values)):
            bad.append(tag)
        if tag == "meta" and "refresh" in values.get("http-equiv", ""):
            bad.append("refresh")
        self.faults += [f"<{tag}> {name}" for name in bad]
        self.text += list(values.values())

    def handle_data(self, data: str) -> None:
        self.text.append(data)


# The open map's address of a place: nothing of it but two numbers comes from a row.
MAP = re.compile(r"https://www\.openstreetmap\.org/\?mlat=-?[\d.]+&mlon=-?[\d.]+#map=[-\d./]+")


def _is_ours(values: dict[str, str]) -> bool:
    """Whether a script is a file of this site, or only data that nothing runs."""
    return values.get("src", "").startswith("/") or values == {
        "id": values.get("id", ""),
        "type": "application/json",
    }


def _leads_out(name: str, value: str) -> bool:
    """Whether an address runs something or leads to another site."""
    if name == "href" and MAP.fullmatch(value):
        return False
    if name not in {"href", "src", "action", "formaction", "hx-get", "hx-post"}:
        return False
    return value.strip().lower().startswith(("javascript:", "//", "http:", "https:"))


def read(page: str) -> Reader:
    """Parse a page as a browser would."""
    reader = Reader()
    reader.feed(page)
    return reader
