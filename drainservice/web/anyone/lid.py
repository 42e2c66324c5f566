"""What anyone sees who reads the tag under a lid: whom to ring, and nothing else."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from drainservice.doors.door import door


@door(to="anyone")
def lid(request: Any, code: str) -> HttpResponse:
    """The same bytes for every code, real or invented."""
    return render(request, "anyone/lid.html")
