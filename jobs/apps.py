"""The queue's app: loads the Celery application so that tasks bind to it."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """The durable queue."""

    name = "jobs"

    def ready(self) -> None:
        """Make our Celery application the default one before any task is declared."""
        from jobs import celery  # noqa: F401
