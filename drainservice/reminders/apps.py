"""The app's name."""

from django.apps import AppConfig


class RemindersConfig(AppConfig):
    """Reminders."""

    name = "drainservice.reminders"
