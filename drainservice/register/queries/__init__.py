"""Reading the register."""

from drainservice.register.queries.asbuilt import as_built_of
from drainservice.register.queries.photos import TYPES, photo_path, photos_of
from drainservice.register.queries.scope import (
    equipment_types,
    find,
    jurisdictions,
    may_see_contacts,
    parts_at,
    parts_of_household,
    parts_played,
    people_asked,
    photo_for,
    plain,
    site_for,
    sites_for,
    system_by_code_for,
    system_for,
    systems_for,
    systems_in_use,
    tenure_since,
    today_at,
)
from drainservice.register.queries.whole import Whole, whole, wholes

__all__ = [
    "TYPES",
    "Whole",
    "as_built_of",
    "equipment_types",
    "find",
    "jurisdictions",
    "may_see_contacts",
    "parts_at",
    "parts_of_household",
    "parts_played",
    "people_asked",
    "photo_for",
    "photo_path",
    "photos_of",
    "plain",
    "site_for",
    "sites_for",
    "system_by_code_for",
    "system_for",
    "systems_for",
    "systems_in_use",
    "tenure_since",
    "today_at",
    "whole",
    "wholes",
]
