"""The doors' app: registers the check that no address lacks a door."""

from django.apps import AppConfig


class DoorsConfig(AppConfig):
    """How ways in are declared."""

    name = "drainservice.doors"

    def ready(self) -> None:
        """Load the check."""
        from drainservice.doors import checks  # noqa: F401
