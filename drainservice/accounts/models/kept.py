"""What every editable row has: a version against lost edits, and soft removal."""

from typing import Any, ClassVar

from django.db import models


class KeptQuerySet(models.QuerySet[Any]):
    """Rows written by `accounts.history` alone."""

    def standing(self) -> "KeptQuerySet":
        """Rows that were not removed."""
        return self.filter(removed_at__isnull=True)


class Kept(models.Model):
    """A row whose every change is kept. `PRIVATE` names the fields that can be emptied later."""

    PRIVATE: ClassVar[tuple[str, ...]] = ()

    version = models.PositiveIntegerField(default=1)
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = KeptQuerySet.as_manager()

    class Meta:
        abstract = True

    def site_number(self) -> int | None:
        """The site this row speaks of, so that its history can be asked for as one."""
        return getattr(self, "site_id", None)
