"""The app's name."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Accounts."""

    name = "drainservice.accounts"
