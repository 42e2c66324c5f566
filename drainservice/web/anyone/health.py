"""Is the process alive, is it ready, and what is amiss."""

import hmac
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpResponse, JsonResponse

from drainservice.doors.door import door, error
from jobs.queries import health as health_of_queue


@door(to="anyone")
def livez(request: Any) -> HttpResponse:
    """One word: the process answers."""
    return HttpResponse("alive\n", content_type="text/plain")


@door(to="anyone")
def readyz(request: Any) -> HttpResponse:
    """One word: the database answers and its tables are those of this release."""
    try:
        executor = MigrationExecutor(connection)
        is_ready = not executor.migration_plan(executor.loader.graph.leaf_nodes())
    except DatabaseError:
        is_ready = False
    return HttpResponse(
        "ready\n" if is_ready else "not ready\n",
        content_type="text/plain",
        status=200 if is_ready else 503,
    )


@door(to="anyone")
def healthz(request: Any) -> HttpResponse:
    """What is amiss, to whoever holds the health word; to anyone else, nothing is here."""
    word = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not settings.HEALTH_WORD or not hmac.compare_digest(
        word.encode(), settings.HEALTH_WORD.encode()
    ):
        return error(request, 404)
    health = health_of_queue(at=request.asker.at)
    return JsonResponse(health, status=200 if health["is_well"] else 503)
