"""What each of the crew can do, where they usually go, where their day begins and in which van."""

from collections.abc import Iterable
from contextlib import AbstractContextManager
from datetime import date
from typing import Any

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.accounts.text import clean_line, clean_name
from drainservice.bounds import LINE
from drainservice.visits.actions.corners import checked_place, read_corners
from drainservice.visits.actions.touched import Touched, touching
from drainservice.visits.models import Area, CrewMember, HomeBase, Skill, Van

MOST_SKILL = 40


class CrewRefused(CannotBeDone):
    """Something of the crew that cannot be; the text says what to change."""


@transaction.atomic
def set_member(
    account: Account,
    *,
    asker: Asker,
    base: HomeBase | None,
    van: Van | None,
    version: int | None = None,
) -> Touched:
    """Where their rounds begin and which van is theirs; `version` is the one that was read.

    Errors: ChangedMeanwhile.
    """
    # A first entry that was undone left its row, out of sight.
    row = CrewMember.objects.filter(account=account).first()
    with _from_today(asker, [account]) as touched:
        if row is None:
            row = CrewMember(account=account, base=base, van=van)
            touched.row = history.enter(row, asker=asker)
        else:
            if version is not None and row.removed_at is None:
                row.version = version
            touched.row = history.keep(row, asker=asker, base=base, van=van, removed_at=None)
    return touched


@transaction.atomic
def give_skill(
    account: Account, *, asker: Asker, word: str, valid_until: date | None = None
) -> Skill:
    """They can do what a visit may need, until a last day. Errors: CrewRefused, TextRefused."""
    word = skill_word(word)
    if Skill.objects.standing().filter(account=account, word=word).exists():
        raise CrewRefused(
            f"“{word}” stands there already; change its last day instead of entering it again."
        )
    with _from_today(asker, [account]):
        row = Skill(account=account, word=word, valid_until=valid_until)
        return history.enter(row, asker=asker)


@transaction.atomic
def change_skill(row: Skill, *, asker: Asker, valid_until: date | None) -> Touched:
    """Another last day. Errors: ChangedMeanwhile."""
    with _from_today(asker, [row.account]) as touched:
        touched.row = history.keep(row, asker=asker, valid_until=valid_until)
    return touched


@transaction.atomic
def take_skill(row: Skill, *, asker: Asker) -> Touched:
    """They cannot, or may not, do it any more. Errors: ChangedMeanwhile."""
    with _from_today(asker, [row.account]) as touched:
        touched.row = history.remove(row, asker=asker)
    return touched


@transaction.atomic
def draw_area(account: Account, *, asker: Asker, name: str, corners: str) -> Area:
    """Where they usually go: corners one a line as "47.25, -122.44". Errors: PlaceRefused."""
    name = clean_name(name, most=LINE)
    with _from_today(asker, [account]):
        row = Area(account=account, name=name, corners=read_corners(corners))
        return history.enter(row, asker=asker)


@transaction.atomic
def change_area(row: Area, *, asker: Asker, name: str, corners: str) -> Area:
    """Another name, other corners. Errors: PlaceRefused, ChangedMeanwhile."""
    name = clean_name(name, most=LINE)
    with _from_today(asker, [row.account]):
        return history.keep(row, asker=asker, name=name, corners=read_corners(corners))


@transaction.atomic
def take_area(row: Area, *, asker: Asker) -> Area:
    """They do not usually go there any more. Errors: ChangedMeanwhile."""
    with _from_today(asker, [row.account]):
        return history.remove(row, asker=asker)


@transaction.atomic
def enter_base(*, asker: Asker, name: str, latitude: float, longitude: float,
               address: str = "") -> HomeBase:  # fmt: skip
    """A place where rounds begin and end. Errors: PlaceRefused, TextRefused."""
    checked_place(latitude, longitude, "This base")
    row = HomeBase(
        name=clean_name(name, most=LINE),
        address=clean_line(address, most=LINE, what="The address"),
        latitude=latitude,
        longitude=longitude,
    )
    with _from_today(asker):
        return history.enter(row, asker=asker)


@transaction.atomic
def change_base(row: HomeBase, *, asker: Asker, **new: Any) -> HomeBase:
    """Another name or place. Errors: PlaceRefused, TextRefused, ChangedMeanwhile."""
    told = {name: getattr(row, name) for name in ("name", "address", "latitude", "longitude")} | new
    checked_place(told["latitude"], told["longitude"], "This base")
    told["name"] = clean_name(told["name"], most=LINE)
    told["address"] = clean_line(told["address"], most=LINE, what="The address")
    with _from_today(asker):
        return history.keep(row, asker=asker, **told)


@transaction.atomic
def take_base_off(row: HomeBase, *, asker: Asker) -> HomeBase:
    """Nobody begins there any more. Errors: CrewRefused, ChangedMeanwhile."""
    _is_nobodys(row.crew.filter(removed_at__isnull=True), "begin there", "another base")
    with _from_today(asker):
        return history.remove(row, asker=asker)


@transaction.atomic
def enter_van(*, asker: Asker, name: str, carries: Iterable[str] = ()) -> Van:
    """A van, and what it carries that a visit may need. Errors: CrewRefused, TextRefused."""
    name = clean_name(name, most=LINE)
    _is_free(name)
    with _from_today(asker):
        return history.enter(Van(name=name, carries=_words(carries)), asker=asker)


@transaction.atomic
def change_van(row: Van, *, asker: Asker, name: str, carries: Iterable[str]) -> Touched:
    """Another name, other things in it. Errors: CrewRefused, TextRefused, ChangedMeanwhile."""
    name = clean_name(name, most=LINE)
    _is_free(name, row)
    with _from_today(asker) as touched:
        touched.row = history.keep(row, asker=asker, name=name, carries=_words(carries))
    return touched


@transaction.atomic
def take_van_off(row: Van, *, asker: Asker) -> Van:
    """The firm has it no more. Errors: CrewRefused, ChangedMeanwhile."""
    _is_nobodys(row.crew.filter(removed_at__isnull=True), "drive it", "another van or none")
    with _from_today(asker):
        return history.remove(row, asker=asker)


def skill_word(text: str) -> str:
    """What a visit needs, as one small word or two: electric, camera. Errors: CrewRefused."""
    word = clean_line(text, most=MOST_SKILL, what="The skill").lower()
    if not word:
        raise CrewRefused("Give the skill a word, such as electric or camera.")
    return word


def _words(carries: Iterable[str]) -> list[str]:
    return sorted({skill_word(word) for word in carries if word.strip()})


def _from_today(asker: Asker, crew: list[Account] | None = None) -> AbstractContextManager[Touched]:
    return touching(asker, first=accounts.today_of_firm(asker.at), technicians=crew)


def _is_nobodys(members: Any, does: str, other: str) -> None:
    names = [m.account.person.name for m in members.select_related("account__person")]
    if names:
        raise CrewRefused(f"{' and '.join(names)} {does}; give them {other} first.")


def _is_free(name: str, but: Van | None = None) -> None:
    same = Van.objects.standing().filter(name=name).exclude(pk=but.pk if but else None)
    if same.exists():
        raise CrewRefused(f"There is a van named “{name}” already; give this one another name.")
