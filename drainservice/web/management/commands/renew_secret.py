"""Put a new signing secret in front; links and sessions signed with the last three still read."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from drainservice import keyring


class Command(BaseCommand):
    """`renew_secret`: after someone who knew it has left, or once a year."""

    help = __doc__ or ""

    def handle(self, *args: Any, **options: Any) -> None:
        """Renew it and say what to do next."""
        if settings.SECRET_FROM_ENVIRONMENT:
            raise CommandError(
                "The secret comes from the environment variable SECRET_KEY; renew it there."
            )
        kept = keyring.renew_secret(settings.VAR)
        self.stdout.write(
            f"A new secret signs from the next start on; {kept - 1} older ones still read. "
            "Restart the server now."
        )
