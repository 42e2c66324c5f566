"""The app's name."""

from django.apps import AppConfig


class VisitsConfig(AppConfig):
    """Visits."""

    name = "drainservice.visits"
