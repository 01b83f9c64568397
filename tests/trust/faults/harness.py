"""Breaks a service at its n-th SQL statement, for every n, and looks for what is half done."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

from django.apps import apps
from django.db import DatabaseError, connection, transaction

OWN_APPS = ("contractor", "jobs", "scheduling")


class Broken(DatabaseError):
    """The fault that is put in, as a database would raise it."""


def state_digest() -> str:
    """A digest of every row of every table of ours, read past the ORM, which takes ten times."""
    digest = hashlib.sha256()
    with connection.cursor() as cursor:
        for statement in _reads():
            cursor.execute(statement)
            digest.update(repr((statement, cursor.fetchall())).encode())
    return digest.hexdigest()


@cache
def _reads() -> tuple[str, ...]:
    models = (
        model._meta
        for app in OWN_APPS
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
    )
    quote = connection.ops.quote_name
    return tuple(
        f"SELECT * FROM {quote(meta.db_table)} ORDER BY {quote(str(meta.pk.column))}"  # noqa: S608
        for meta in models
        if meta.pk and not meta.proxy
    )


@contextmanager
def broken_at(number: int) -> Iterator[list[int]]:
    """Raise Broken at the number-th statement; yields a list whose first item counts them."""
    count = [0]

    def wrapper(
        execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any
    ) -> Any:
        if not sql.startswith("ROLLBACK"):
            count[0] += 1
            if count[0] == number:
                raise Broken(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(wrapper):
        yield count


def sweep(call: Callable[[], object]) -> int:
    """Break `call` at each of its statements; return how many there are.

    Raises AssertionError where anything is changed after a fault, or nothing after success.
    """
    before = state_digest()
    number = 1
    while True:
        point = transaction.savepoint()
        try:
            with broken_at(number) as count:
                call()
        except Broken as fault:
            transaction.set_rollback(False)
            if state_digest() != before:
                raise AssertionError(f"half done after statement {number}: {fault}") from fault
        else:
            assert state_digest() != before
            if count[0] < number:
                return number - 1
            # Django's own check of a constraint lives through a fault and says so in the log.
        transaction.savepoint_rollback(point)
        number += 1
