"""Draws odd calls of the API from the schema that it publishes itself, and judges the answers."""

import json
from dataclasses import dataclass
from random import Random
from typing import Any
from urllib.parse import quote

import jsonschema
from django.test import Client
from drf_spectacular.generators import SchemaGenerator

from tests.pages import Reply
from tests.test_api import PROBLEM, _nullable
from tests.trust.odd import VALUES, query_drawn

METHODS = ("get", "get", "get", "head", "options", "post", "put", "patch", "delete", "trace")
BODIES = (
    b"", b"{}", b"[]", b"{", b"null", b"\xff\xfe", b'{"a":' * 200, b"9" * 5000,
    b'{"person": 1, "now": "2027-03-01T12:00:00Z", "facts": [{"id": "x"}, 7, null, {"at": []}]}',
    b'{"person": 1e400, "now": "0001-01-01T00:00:00+14:00", "facts": {}}',
    b'{"id": 1, "state": "posted"}', b"<x/>", b"a=b",
)  # fmt: skip
TYPES = (
    "application/json", "application/xml", "multipart/form-data", "text/plain", "", "a/b/c",
    "multipart/form-data; boundary=x", "application/json; charset=nonsense",
)  # fmt: skip
HEADERS: tuple[dict[str, str], ...] = (
    {}, {}, {},
    {"Accept": "text/html"}, {"Accept": "application/xml"}, {"Accept": "*/*;q=nonsense"},
    {"Accept-Language": "es"}, {"Accept-Language": "x" * 2000}, {"X-HTTP-Method-Override": "PUT"},
    {"Range": "bytes=0-1"}, {"If-Match": "*"}, {"HX-Request": "true"}, {"Cookie": "sessionid=x"},
    {"Authorization": "Basic ====="}, {"Host": "127.0.0.1:99999999"},
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """One call: method, address with query, body with its kind, headers."""

    path: str
    method: str
    url: str
    body: bytes
    kind: str
    headers: dict[str, str]


def schema_published() -> dict[str, Any]:
    """The API's own schema, as it goes out."""
    found: dict[str, Any] = json.loads(json.dumps(SchemaGenerator().get_schema(public=True)))
    return found


def case_drawn(chance: Random, schema: dict[str, Any], known: dict[str, int]) -> Case:
    """Draw a call; `known` gives, for a path with a number, one that is there."""
    path = chance.choice(sorted(schema["paths"]))
    told = (operation.get("parameters", []) for operation in schema["paths"][path].values())
    asked = list({one["name"]: one for each in told for one in each}.values())
    url = path
    for name in (one["name"] for one in asked if one["in"] == "path"):
        odd = quote(chance.choice(VALUES), safe="", errors="surrogatepass")
        there = path in known and chance.random() < 0.5
        url = url.replace(f"{{{name}}}", str(known[path]) if there else odd)
    names = tuple(one["name"] for one in asked if one["in"] == "query")
    query = query_drawn(chance, names * 3 + ("odd", "format")) if chance.random() < 0.7 else ""
    method = chance.choice(METHODS)
    kind = chance.choice(TYPES)
    return Case(path, method, f"{url}?{query}", chance.choice(BODIES), kind, chance.choice(HEADERS))


def answer_of(browser: Client, case: Case) -> Reply:
    """Make the call."""
    found: Any = browser.generic(
        case.method.upper(), case.url, case.body, case.kind, headers=case.headers
    )
    answer: Reply = found
    return answer


def faults_of(case: Case, answer: Reply, schema: dict[str, Any]) -> list[str]:
    """What is wrong with an answer: a server's fault, an error in another form, a broken schema."""
    if answer.status_code >= 500:
        return ["server's fault"]
    if case.method == "head" or "Host" in case.headers:
        return []  # an answer without a body; a host that is refused before any address is read
    if answer.status_code >= 400:
        return _problem_faults(answer)
    if case.method == "get" and case.path != "/api/schema":
        form = schema["paths"][case.path]["get"]["responses"]["200"]["content"]
        return _schema_faults(answer, form["application/json"]["schema"], schema)
    return []


def _problem_faults(answer: Reply) -> list[str]:
    if answer.headers["Content-Type"] != PROBLEM:
        return [f"an error as {answer.headers['Content-Type']}"]
    body = json.loads(answer.content)
    missing = {"type", "title", "status", "detail"} - set(body)
    if missing or body["status"] != answer.status_code:
        return [f"status {body.get('status')} within {answer.status_code}, without {missing}"]
    return []


def _schema_faults(answer: Reply, form: Any, schema: dict[str, Any]) -> list[str]:
    try:
        whole = {**form, "components": _nullable(schema["components"])}
        jsonschema.validate(json.loads(answer.content), whole)
    except jsonschema.ValidationError as error:
        return [f"not as the schema says: {error.message[:200]}"]
    return []
