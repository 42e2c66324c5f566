"""The app's name."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Web."""

    name = "drainservice.web"
