"""The app's name."""

from django.apps import AppConfig


class RegisterConfig(AppConfig):
    """Register."""

    name = "drainservice.register"
