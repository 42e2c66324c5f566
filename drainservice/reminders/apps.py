"""The reminders' app: says before the start what is wrong with the mail settings."""

from django.apps import AppConfig


class RemindersConfig(AppConfig):
    """What people are told, and when."""

    name = "drainservice.reminders"

    def ready(self) -> None:
        """Load the check."""
        from django.core.checks import register

        from drainservice.reminders.smtp import mail_settings_can_be_read

        register(mail_settings_can_be_read)
