"""The app's name."""

from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    """Exchange."""

    name = "drainservice.exchange"
