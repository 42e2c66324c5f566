"""Two houses side by side, the whole cast, and one of each thing that has an address of its own."""

import io
import uuid
from dataclasses import dataclass, field
from datetime import time
from typing import Any

from django.conf import settings
from django.test import Client
from PIL import Image

from drainservice.accounts import actions as accounts
from drainservice.accounts.codes import check_sign
from drainservice.accounts.links import HouseholdLink, unsubscribe_token, write_link
from drainservice.accounts.models import Account, Channel, Household, Person
from drainservice.engine.rounds.search.effort import Effort
from drainservice.exchange import actions as exchange
from drainservice.exchange.models import Question
from drainservice.inspections import actions as inspections
from drainservice.inspections.models import Down, Due
from drainservice.inspections.models.record import InspectionRecord, LookRecord, ReadingRecord
from drainservice.register import actions as register
from drainservice.register import queries as registered
from drainservice.register.actions import known
from drainservice.register.models import Part, Photo, System
from drainservice.reminders.models import Reminder
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from drainservice.visits.queries import Window
from jobs import reactions, running
from tests import makers

NOBODY, OURS, THEIRS = "nobody", "household", "neighbour"
WITH_VISIT, WITHOUT_VISIT = "technician with the visit", "technician without"
OFFICE, OWNER = "dispatcher", "owner"
ASKERS = [NOBODY, OURS, THEIRS, WITH_VISIT, WITHOUT_VISIT, OFFICE, OWNER]
HANDLES = {WITH_VISIT: "andrea", WITHOUT_VISIT: "bo", OFFICE: "dora", OWNER: "olive"}
NO_CODE = "22222" + check_sign("22222")
NO_NUMBER = 987654
NO_UUID = uuid.UUID("3f0c2a52-0000-4000-8000-000000000000")
SHEET = (
    "Address,Where,Pump HP\n"
    "9 Fern Ct,by the gate,1/3\n"
    "11 Fern Ct,by the gate,banana\n"
    "13 Fern Ct,by the gate,1/2?\n"
)


@dataclass
class House:
    """What can be asked for at one house; by default, things that are nowhere."""

    person: Person | None = None
    household: Household | None = None
    address: str = "9 Nowhere Ln"
    signed: str = "y1.1.1.0.-1~1hkJ2x~notoursnotoursnotoursnotoursnotoursnotours00"
    stop: str = f"{NO_NUMBER}-abcdefghijklmnopqrstuvwxyz"
    let_in: str = "an-invented-token"
    code: str = NO_CODE
    site: int = NO_NUMBER
    system: int = NO_NUMBER
    visit: int = NO_NUMBER
    answered: int = NO_NUMBER
    due: int = NO_NUMBER
    down: int = NO_NUMBER
    part: int = NO_NUMBER
    sheet: int = NO_NUMBER
    question: int = NO_NUMBER
    place: int = NO_NUMBER
    advice: int = NO_NUMBER
    closed: int = NO_NUMBER
    plan: int = NO_NUMBER
    group: str = "0" * 32
    handle: str = "zelda"
    reminder: uuid.UUID = NO_UUID
    inspection: uuid.UUID = NO_UUID
    photo: uuid.UUID = NO_UUID
    parts: dict[str, int] = field(default_factory=dict)

    @property
    def person_number(self) -> int:
        """The person's number."""
        return self.person.pk if self.person else NO_NUMBER

    def part_of(self, kind: str) -> int:
        """The number of one part in the ground."""
        return self.parts.get(kind, NO_NUMBER)


@dataclass
class World:
    """Both houses and nowhere, and a browser for everyone of the cast."""

    ours: House
    theirs: House
    nowhere: House
    clients: dict[str, Client]

    def link_of(self, asker: str) -> str:
        """The signed link an asker holds; whoever is no household holds none of ours."""
        return {OURS: self.ours, THEIRS: self.theirs}.get(asker, self.nowhere).signed


def make_world(*, words: str = "") -> World:
    """Build it all through actions, at MONDAY. `words` is put wherever somebody may write."""
    for handle in ("andrea", "bo", "cleo"):
        makers.make_account(handle, "technician")
    makers.make_account("dora", "dispatcher")
    makers.make_account("olive", "owner")
    ours = _make_house("Juno Greenlaw", "juno@example.com", "114 Maple Ridge Rd", "andrea", words)
    theirs = _make_house("Otis Dellwood", "otis@example.org", "116 Maple Ridge Rd", "cleo", words)
    running.run_all(reactions.REACTIONS, reactions.MESSAGES, clock=lambda: makers.MONDAY)
    for house in (ours, theirs):
        _move(house)
        _find_what_followed(house)
    _bring_in(ours, theirs)
    _close_days(ours, theirs, words)
    _ask_planner(ours, theirs)
    clients = {asker: Client(raise_request_exception=False) for asker in ASKERS}
    for asker, handle in HANDLES.items():
        clients[asker].force_login(Account.objects.get(handle=handle))
    return World(ours, theirs, House(), clients)


def _make_house(name: str, mail: str, address: str, handle: str, words: str) -> House:
    dora = makers.as_account(Account.objects.get(handle="dora"))
    person = makers.make_person(name, mail=mail, telephone="360-555-0137")
    site = makers.make_site(
        address, access_note=words or "Lift the latch.", dog_note=words or "Biscuit"
    )
    person, household, site = makers.make_home(person, site)
    system = makers.make_system(site, place=words[:60] or "by the driveway")
    register.add_backup(system, asker=dora, **known("told", kind="battery"))
    house = House(person, household, address, site=site.pk, system=system.pk, code=system.code)
    house.signed = write_link(
        HouseholdLink(person.pk, household.pk, purpose="yard", link_number=household.link_number)
    )
    channel = Channel.objects.get(person=person, kind="mail")
    house.stop = unsubscribe_token(channel_id=channel.pk)
    house.let_in = _token(handle)
    house.handle = handle
    house.part = Part.objects.filter(site=site).order_by("pk").last().pk
    house.visit = _book(site, system, handle, 0, words).pk
    house.place = site.jurisdiction_id
    house.answered = _book(site, system, handle, 3, words, agree=False).pk
    _inspect(house, system, words)
    _write_down(house, system, words)
    return house


def _token(handle: str) -> str:
    link = accounts.let_in_link(Account.objects.get(handle=handle), at=makers.MONDAY)
    return link.removeprefix(f"{settings.PUBLIC_URL}/in/")


def _book(site: Any, system: System, handle: str, days: int, words: str, *, agree: bool = True):
    dora = makers.as_account(Account.objects.get(handle="dora"), makers.later(days=-3))
    visit = visits.plan_visit(
        site,
        asker=dora,
        purpose=words[:200] or "Yearly look",
        systems={system: ["lid", "pump"]},
        meant_for=None,
    )
    window = Window(makers.later(days=days).date(), time(8), time(10))
    who = Account.objects.get(handle=handle)
    visits.offer_visit(visit, to=window, technician=who, asker=dora)
    return visits.agree_visit(visit, asker=dora) if agree else visit


def _inspect(house: House, system: System, words: str) -> None:
    """An earlier look: the pump was found dead, so there is a down and a result."""
    looks = (
        LookRecord("pump", passed=False, pump_position=1, note=words or "It hums and stands."),
        LookRecord("sediment", readings=(ReadingRecord("sediment_m", 0.05),)),
    )
    record = InspectionRecord(
        id=uuid.uuid4(),
        on=makers.later(days=-30).date(),
        looks=looks,
        note=words,
        work_lines=words or "New float",
    )
    told = inspections.record_inspection(
        system, asker=makers.clock(makers.later(days=-30)), record=record
    )
    house.inspection = told.pk
    octets = io.BytesIO()
    Image.new("RGB", (40, 30), (90, 120, 60)).save(octets, "JPEG")
    photo = register.keep_photo(
        system,
        asker=makers.as_account(Account.objects.get(handle="dora")),
        octets=octets.getvalue(),
        photo_id=uuid.uuid4(),
        of_what=words[:200] or "the lid",
        taken_at=makers.later(days=-30),
    )
    inspections.add_photo(told, photo, asker=makers.clock())
    house.photo = photo.pk


def _write_down(house: House, system: System, words: str) -> None:
    dora = makers.as_account(Account.objects.get(handle="dora"))
    row = inspections.recommend(
        system, asker=dora, what=words[:200] or "A battery", why=words or "Storms cut the power."
    )
    house.advice = row.pk
    juno = makers.as_household(house.person, house.household)
    visits.answer_visit(
        Visit.objects.get(pk=house.answered),
        asker=juno,
        word="another_day",
        by="link",
        person=house.person,
        sequence=0,
        note=words or "Fridays, please",
    )


def _move(house: House) -> None:
    """An act of half a minute's grace, which the office may undo."""
    house.group = uuid.uuid4().hex
    dora = makers.as_account(Account.objects.get(handle="dora"))
    visits.move_visit(
        Visit.objects.get(pk=house.visit),
        to=Window(makers.MONDAY.date(), time(8), time(11)),
        asker=dora.acting(group=house.group),
    )


def _find_what_followed(house: House) -> None:
    house.due = Due.objects.current().filter(system_id=house.system).order_by("pk").first().pk
    house.down = Down.objects.get(pump__system_id=house.system).pk
    house.reminder = Reminder.objects.get(visit_id=house.visit, use="agreed").pk
    whole = registered.whole(System.objects.get(pk=house.system), day=makers.MONDAY.date())
    rows = {
        "system": whole.system,
        "pit": whole.pit,
        "lid": whole.access_point,
        "pump": whole.pump,
        "valve": next(iter(whole.valves.values())),
        "line": whole.line,
        "section": whole.sections[0],
        "backup": whole.backups[0],
        "downspout": whole.downspouts[0],
    }
    house.parts = {name: row.pk for name, row in rows.items()}
    assert Photo.objects.filter(pk=house.photo).exists()


def _bring_in(ours: House, theirs: House) -> None:
    """Sheets are of the office alone and of no house: both stand for the same."""
    dora = makers.as_account(Account.objects.get(handle="dora"))
    sheet = exchange.bring_in(SHEET.encode(), name="homes.csv", asker=dora, dry=False)
    question = Question.objects.filter(sheet=sheet).order_by("pk").first()
    for house in (ours, theirs):
        house.sheet, house.question = sheet.pk, question.pk


def _close_days(ours: House, theirs: House, words: str) -> None:
    """Days on which nobody drives are the firm's, too."""
    dora = makers.as_account(Account.objects.get(handle="dora"))
    far = makers.later(days=1000).date()
    row = visits.close_days(
        asker=dora, first_on=far, last_on=far, name=words[:200] or "Stock taking"
    ).row
    ours.closed = theirs.closed = row.pk


def _ask_planner(ours: House, theirs: House) -> None:
    """Rounds are the firm's: a plan of today's, found and not yet adopted."""
    dora = makers.as_account(Account.objects.get(handle="dora"))
    little = Effort(solver=20, looks=50, rebuilds=20)
    plan = visits.ask_rounds([makers.MONDAY.date()], asker=dora, effort=little)
    clocks = visits.Clocks(lambda: makers.MONDAY, lambda: 0.0)
    visits.work_out(plan.pk, asker=makers.clock(), clocks=clocks)
    ours.plan = theirs.plan = plan.pk
