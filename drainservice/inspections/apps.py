"""The app's name."""

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    """Inspections."""

    name = "drainservice.inspections"
