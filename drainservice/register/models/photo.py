"""Photos: decoded, written anew, and told apart by the hash of what was taken."""

import uuid

from django.conf import settings
from django.db import models

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, no_longer_than
from drainservice.register.models.system import System


class Photo(Kept):
    """One photo of something at a system."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    system = models.ForeignKey(System, models.PROTECT, related_name="photos")
    of_what = models.CharField(max_length=LINE)
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    hash_as_taken = models.CharField(max_length=64)
    hash_as_kept = models.CharField(max_length=64)
    kind = models.CharField(max_length=10, default="jpeg")

    class Meta:
        constraints = no_longer_than(
            "photo", of_what=LINE, hash_as_taken=64, hash_as_kept=64, kind=10
        )

    def __str__(self) -> str:
        return f"photo {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id
