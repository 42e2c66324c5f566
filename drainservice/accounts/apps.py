"""The app of people and history: registers what must hold before others come in."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Who is asking, and what was changed."""

    name = "drainservice.accounts"

    def ready(self) -> None:
        """Load the checks."""
        from drainservice.accounts import checks  # noqa: F401
