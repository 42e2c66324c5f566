"""Who is let in from the terminal: the first person of a new firm, or an account of one."""

from datetime import datetime

from django.conf import settings
from django.db import transaction

from drainservice.accounts import actions as accounts
from drainservice.accounts import asker as askers
from drainservice.accounts import queries
from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.models import Account, Role

EVERYONE = "everyone"


class NobodyOfThatName(CannotBeDone):
    """No account has that handle or role."""


def let_in(who: str, *, at: datetime) -> str:
    """Sentences with an address that lets somebody in; on an empty database, its first person.

    Errors: NobodyOfThatName.
    """
    firm = queries.firm()
    if firm is None:
        return _sentence(set_up(at=at), at)
    if who in {"", EVERYONE}:
        return _for_everyone(at, is_demo=firm.is_demo)
    return _sentence(_find(who), at)


@transaction.atomic
def set_up(*, at: datetime) -> Account:
    """A firm without a name yet and its owner without a password; both are changed on the pages."""
    asker = askers.command(at, door="let_in")
    accounts.set_up_firm(asker=asker, name="Your firm")
    person = accounts.enter_person(asker=asker, name="The owner")
    return accounts.enter_account(
        asker=asker, person=person, name="owner", role=Role.OWNER, handle="owner"
    )


def _for_everyone(at: datetime, *, is_demo: bool) -> str:
    if is_demo:
        return f"Look at it as anyone of the invented firm: {accounts.demo_link(at=at)}"
    standing = list(queries.technicians_and_office())
    has_password = any(account.has_usable_password() for account in standing)
    owner = next((account for account in standing if account.role == Role.OWNER), None)
    if owner is not None and not has_password:
        return _sentence(owner, at)
    return (
        f"Sign in at {settings.PUBLIC_URL}/sign-in. Whoever lost their password gets an address "
        "that works once by: python3 manage.py let_in and their name in addresses, such as "
        f"{standing[0].handle if standing else 'owner'}."
    )


def _find(who: str) -> Account:
    standing = queries.technicians_and_office().order_by("pk")
    found = standing.filter(handle=who).first() or standing.filter(role=who).first()
    if found is None:
        names = ", ".join(sorted(account.handle for account in standing))
        raise NobodyOfThatName(
            f"Nobody here is called {who[:60]!r}. Choose one of {names}, or a role: owner, "
            "dispatcher, technician."
        )
    return found


def _sentence(account: Account, at: datetime) -> str:
    link = accounts.let_in_link(account, at=at)
    return f"{account.person.name} comes in once within half an hour by: {link}"
