"""One property: its rules, its surroundings, the parts people play there, who may go in."""

from django.conf import settings
from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from drainservice.accounts.models import Household, Kept, Person
from drainservice.bounds import (
    LINE,
    NOTE,
    day_of_year,
    in_range,
    no_longer_than,
    not_before,
    one_of,
)


class Jurisdiction(Kept):
    """Whose rules hold at a site: drain-time limit with definition and source, looks, frost."""

    name = models.CharField(max_length=LINE)
    drain_limit_h = models.FloatField(default=72)
    drain_from = models.CharField(
        max_length=20,
        default="end_of_rain",
        choices=[
            ("peak", "from the highest level"),
            ("end_of_rain", "from the end of the rain"),
            ("filled", "from a filled level"),
        ],
    )
    drain_to_level_m = models.FloatField(default=0.0)
    drain_source = models.CharField(max_length=LINE, blank=True)
    # Months between looks that a rule asks for, by kind of look: {"percolation": 12}.
    rule_months = models.JSONField(default=dict, blank=True)
    rule_source = models.CharField(max_length=LINE, blank=True)
    rule_form = models.CharField(max_length=LINE, blank=True)
    signer = models.CharField(max_length=LINE, blank=True)
    # Hard frost as month-day, both empty where it does not freeze.
    frost_from = models.CharField(max_length=5, blank=True)
    frost_until = models.CharField(max_length=5, blank=True)

    class Meta:
        constraints = [
            *no_longer_than(
                "jurisdiction",
                name=LINE,
                drain_source=LINE,
                rule_source=LINE,
                rule_form=LINE,
                signer=LINE,
                frost_from=5,
                frost_until=5,
            ),
            in_range("jurisdiction", "drain_limit_h", 1, 720),
            in_range("jurisdiction", "drain_to_level_m", 0, 5),
            one_of("jurisdiction", "drain_from", ["peak", "end_of_rain", "filled"]),
            day_of_year("jurisdiction", "frost_from", or_empty=True),
            day_of_year("jurisdiction", "frost_until", or_empty=True),
            CheckConstraint(
                condition=Q(frost_from="", frost_until="")
                | (~Q(frost_from="") & ~Q(frost_until="")),
                name="frost_has_both_ends_or_none",
            ),
        ]

    def __str__(self) -> str:
        return f"jurisdiction {self.pk}"


class WetSeason(Kept):
    """A stretch of the year in which pumps are needed; a jurisdiction may have several."""

    jurisdiction = models.ForeignKey(Jurisdiction, models.CASCADE, related_name="wet_seasons")
    starts = models.CharField(max_length=5, help_text="month-day, such as 10-15")
    ends = models.CharField(max_length=5, help_text="month-day, such as 04-15")

    class Meta:
        constraints = [
            *no_longer_than("wet_season", starts=5, ends=5),
            day_of_year("wet_season", "starts"),
            day_of_year("wet_season", "ends"),
        ]

    def __str__(self) -> str:
        return f"wet season {self.pk}"


class Site(Kept):
    """One property, with what a visitor must know to get in."""

    PRIVATE = ("access_note", "dog_note", "codes")

    address = models.CharField(max_length=LINE)
    city = models.CharField(max_length=80, blank=True)
    region = models.CharField(max_length=40, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    # For finding: lower case, single spaces, as `register.queries.plain` writes it.
    address_plain = models.CharField(max_length=LINE, db_index=True, editable=False)
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    zone = models.CharField(max_length=64)
    jurisdiction = models.ForeignKey(Jurisdiction, models.PROTECT, related_name="sites")
    access_note = models.TextField(blank=True)
    dog_note = models.CharField(max_length=LINE, blank=True)
    # Gate and key-box codes, encrypted by `accounts.codes.seal`.
    codes = models.TextField(blank=True)
    access_confirmed_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            *no_longer_than(
                "site",
                address=LINE,
                address_plain=LINE,
                city=80,
                region=40,
                postcode=20,
                zone=64,
                access_note=NOTE,
                dog_note=LINE,
                codes=2000,
                note=NOTE,
            ),
            in_range("site", "latitude", -90, 90),
            in_range("site", "longitude", -180, 180),
            CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__isnull=False, longitude__isnull=False),
                name="a_site_has_both_coordinates_or_none",
            ),
        ]

    def __str__(self) -> str:
        return f"site {self.pk}"

    def site_number(self) -> int | None:
        """Itself."""
        return self.pk


class SurroundingKind(models.TextChoices):
    """What stands or lies near."""

    TREE = "tree", "tree"
    STRUCTURE = "structure", "structure"
    PRIVATE_LINE = "private_line", "private line"
    OUTSIDE_WATER = "outside_water", "water from outside"


class Surrounding(Kept):
    """A tree, a structure, a private line or water from outside, and how far it is."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="surroundings")
    kind = models.CharField(max_length=20, choices=SurroundingKind)
    what = models.CharField(max_length=LINE, blank=True)
    distance_m = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("surrounding", what=LINE),
            one_of("surrounding", "kind", SurroundingKind.values),
            in_range("surrounding", "distance_m", 0, 500),
        ]

    def __str__(self) -> str:
        return f"surrounding {self.pk}"


class Permit(Kept):
    """A permit under which something was built or is kept."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="permits")
    number = models.CharField(max_length=80)
    giver = models.CharField(max_length=LINE, blank=True)
    given_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = no_longer_than("permit", number=80, giver=LINE)

    def __str__(self) -> str:
        return f"permit {self.pk}"


class LocateTicket(Kept):
    """Utilities were located: no digging before or after these days."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="locate_tickets")
    number = models.CharField(max_length=80)
    valid_from = models.DateField()
    valid_until = models.DateField()

    class Meta:
        constraints = [
            *no_longer_than("locate_ticket", number=80),
            not_before("locate_ticket", "valid_until", "valid_from"),
        ]

    def __str__(self) -> str:
        return f"locate ticket {self.pk}"


class PartKind(models.TextChoices):
    """The part a person plays at a site."""

    DECIDES = "decides", "decides"
    LIVES = "lives", "lives there"
    ACCESS = "access", "gives access"
    PAYS = "pays", "pays"
    TOLD = "told", "is only told"


class Part(Kept):
    """A person plays a part at a site from one day to another; it scopes what they see."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="parts")
    site = models.ForeignKey(Site, models.PROTECT, related_name="parts")
    part = models.CharField(max_length=10, choices=PartKind)
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    is_assumed = models.BooleanField(default=False)

    class Meta:
        constraints = [
            one_of("part", "part", PartKind.values),
            not_before("part", "ends_on", "starts_on"),
            UniqueConstraint(
                fields=["person", "site", "part"],
                condition=Q(ends_on__isnull=True, removed_at__isnull=True),
                name="one_open_part_of_a_kind_per_person_and_site",
            ),
        ]

    def __str__(self) -> str:
        return f"part {self.pk}"


class Access(Kept):
    """A technician may see a site for a while, because of a visit. Written by visits alone."""

    account = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="accesses")
    site = models.ForeignKey(Site, models.PROTECT, related_name="accesses")
    from_at = models.DateTimeField()
    until_at = models.DateTimeField()
    # Contacts and codes are shown in this narrower stretch only.
    contacts_from_at = models.DateTimeField()
    contacts_until_at = models.DateTimeField()
    because = models.CharField(max_length=80)

    class Meta:
        constraints = [
            *no_longer_than("access", because=80),
            not_before("access", "until_at", "from_at"),
            UniqueConstraint(
                fields=["account", "site", "because"],
                condition=Q(removed_at__isnull=True),
                name="one_access_per_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"access {self.pk}"


class Agreement(Kept):
    """What the household and the firm agreed; many systems may share one."""

    payer = models.ForeignKey(Household, models.PROTECT, related_name="agreements")
    looks_a_year = models.PositiveSmallIntegerField(default=1)
    covers_parts = models.BooleanField(default=False)
    covers_storm_calls = models.BooleanField(default=False)
    fix_limit = models.CharField(max_length=LINE, blank=True)
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("agreement", fix_limit=LINE),
            in_range("agreement", "looks_a_year", 0, 52),
            not_before("agreement", "ends_on", "starts_on"),
        ]

    def __str__(self) -> str:
        return f"agreement {self.pk}"
