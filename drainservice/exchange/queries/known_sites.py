"""The sites of the register as a sheet may name them."""

from collections import defaultdict

from drainservice.exchange.judging_sites import KnownSite
from drainservice.register.models import Part, Site, System


def known_sites() -> tuple[KnownSite, ...]:
    """Every site with the names of its people, once for each of its lid codes."""
    names: dict[int, list[str]] = defaultdict(list)
    parts = Part.objects.standing().filter(ends_on__isnull=True)
    for site_id, name in parts.values_list("site_id", "person__name").distinct():
        names[site_id].append(name)
    codes: dict[int, list[str]] = defaultdict(list)
    for site_id, code in System.objects.standing().values_list("site_id", "lid_code"):
        codes[site_id].append(f"{code[:3]}-{code[3:]}")
    sites = Site.objects.standing().values_list("pk", "address")
    return tuple(
        KnownSite(address, tuple(names[pk]), code)
        for pk, address in sites
        for code in codes[pk] or [""]
    )
