"""Who is asking, whom we tell, and what was changed."""

from drainservice.accounts.models.account import Account, Role
from drainservice.accounts.models.firm import Firm, Units
from drainservice.accounts.models.kept import Kept, KeptQuerySet
from drainservice.accounts.models.people import (
    Away,
    Channel,
    ChannelKind,
    Household,
    Membership,
    Person,
)
from drainservice.accounts.models.trail import Change, OneTimeLink, Seen, Throttle

__all__ = [
    "Account",
    "Away",
    "Change",
    "Channel",
    "ChannelKind",
    "Firm",
    "Household",
    "Kept",
    "KeptQuerySet",
    "Membership",
    "OneTimeLink",
    "Person",
    "Role",
    "Seen",
    "Throttle",
    "Units",
]
