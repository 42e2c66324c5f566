"""What lies ahead: today's and tomorrow's rounds, offers and answers, moves, and plans."""

from collections.abc import Callable
from datetime import date, timedelta

from drainservice.accounts.models import Account
from drainservice.register import actions as register
from drainservice.visits import actions as visits
from drainservice.visits.models import Visit
from drainservice.web.demo.bookings import Office
from drainservice.web.demo.days import as_account
from drainservice.web.demo.places import Place

Places = list[Place]
LONG_WORK_MIN = 150


def today(office: Office, places: Places) -> None:
    """Agreed a fortnight ago for today."""
    _agreed_on(office, places, office.days.today)


def tomorrow(office: Office, places: Places) -> None:
    """Agreed a fortnight ago for tomorrow."""
    _agreed_on(office, places, office.days.ago(-1))


def next_week(office: Office, places: Places) -> None:
    """Agreed for a day of the coming weeks; many systems of one board are one visit."""
    windows = 1 if len(places) < 3 else 2
    wanted = office.days.ago(-places[0].rng.randint(3, 12))
    to = office.window(places[0].home, wanted, step=1, windows=windows)
    office.agreed(places, to, told_days=(to.day - office.days.today).days + 6)


def offered(office: Office, places: Places) -> None:
    """Offered some days ago and not answered yet."""
    rng = places[0].rng
    _offer(office, places, told_ago=rng.randint(1, 6), ahead=rng.randint(6, 24))


def first_look(office: Office, places: Places) -> None:
    """A first look at what others built."""
    _offer(office, places, told_ago=3, ahead=11, purpose="first look", looks=["first_look"])


def planned(office: Office, places: Places) -> None:
    """Meant for one of the next weeks; nobody has been told."""
    on = office.days.ago(-places[0].rng.randint(14, 45))
    office.plan(places, at=office.days.at(office.days.ago(2), 16), on=on)


def mend(office: Office, places: Places) -> None:
    """What is broken is to be mended this week."""
    office.plan(
        places,
        at=office.days.at(office.days.ago(1), 16),
        on=office.days.ago(-2),
        purpose="mend what was found",
        looks=["pump", "valve"],
        minutes=90,
        skills=["electric"],
    )


def look_into_main(office: Office, places: Places) -> None:
    """What comes back out of the main is to be seen with the camera."""
    office.plan(
        places,
        at=office.days.at(office.days.ago(2), 16),
        on=office.days.ago(-9),
        purpose="look into the main under the back yards",
        looks=["line", "valve"],
        minutes=75,
        skills=["camera"],
    )


def unpave(office: Office, places: Places) -> None:
    """Two pavers are to be lifted."""
    office.plan(
        places,
        at=office.days.at(office.days.ago(10), 16),
        on=office.days.ago(-9),
        purpose="bring the lid up to grade",
        looks=["lid", "pump"],
    )


def dig(office: Office, places: Places) -> None:
    """Digging up the buried valve, agreed within a utility locate ticket that is valid then."""
    days, home = office.days, places[0].home
    at = days.at(days.ago(5), 11)
    register.note_locate_ticket(
        home.site,
        asker=as_account(office.county.dispatcher, at),
        number="TV-LOC-3315",
        valid_from=days.ago(-4),
        valid_until=days.ago(-24),
    )
    to = office.window(home, days.ago(-8), step=1)
    visit = office.plan(
        places,
        at=at,
        on=to.day,
        purpose="dig up the check valve",
        looks=["valve", "pump"],
        minutes=120,
        is_digging=True,
    )
    visit = office.offer(visit, to, home.technician, at + timedelta(minutes=5))
    office.answer(visit, home, "yes", days.at(days.ago(4), 19))


def moved_twice(office: Office, places: Places) -> None:
    """Agreed, then moved for a technician who was ill, then moved for the household."""
    days, home = office.days, places[0].home
    first, second, third = (office.window(home, days.ago(-n), step=1) for n in (4, 7, 11))
    visit = office.agreed(places, first, told_days=18)
    visit = office.move(visit, second, days.at(days.ago(3), 9))
    visit = office.answer(visit, home, "another_day", days.at(days.ago(2), 19), note="Not a Monday")
    visit = office.move(visit, third, days.at(days.ago(1), 9))
    visits.settle_answers(
        visit, asker=as_account(office.county.dispatcher, days.at(days.ago(1), 10))
    )


def never_answers(office: Office, places: Places) -> None:
    """Two offers ran out without a word; the third is running out."""
    days, home = office.days, places[0].home
    for told_ago, came_ago in ((66, 44), (38, 17)):
        to = office.window(home, days.ago(came_ago), step=-1)
        at = days.at(days.ago(told_ago), 10)
        visit = office.plan(places, at=at, on=to.day)
        visit = office.offer(visit, to, home.technician, at)
        off_at = days.at(to.day - timedelta(days=1), 16)
        office.call_off(visit, off_at, by="the firm", because="Nobody answered.")
    _offer(office, places, told_ago=9, ahead=3)


def split(office: Office, places: Places) -> None:
    """Two people of one household answer differently; a person settles it."""
    home, days = places[0].home, office.days
    visit = _offer(office, places, told_ago=4, ahead=9)
    visit = office.answer(visit, home, "another_day", days.at(days.ago(2), 12), note="I work then.")
    assert home.other is not None
    office.answer_of(visit, home, home.other, "yes", days.at(days.ago(1), 20))


def not_my_house(office: Office, places: Places) -> None:
    """Whoever reads this mail does not live there."""
    _offer_and_answer(office, places, "not_my_house", "We moved away last year.")


def not_this_year(office: Office, places: Places) -> None:
    """They do not want it this year."""
    _offer_and_answer(office, places, "not_this_year", "")


def another_day(office: Office, places: Places) -> None:
    """Another day would be better."""
    _offer_and_answer(office, places, "another_day", "Any Thursday after ten.")


def called_off(office: Office, places: Places) -> None:
    """The household called it off two days ago."""
    days = office.days
    to = office.window(places[0].home, days.ago(-8), step=1)
    visit = office.agreed(places, to, told_days=20)
    because = "Painters are in the yard."
    office.call_off(visit, days.at(days.ago(2), 14), by="the household", because=because)


def held(office: Office, places: Places) -> None:
    """The dispatcher has a caller on the line: a time is kept free for ten minutes."""
    days, home = office.days, places[0].home
    to = office.window(home, days.ago(-6), step=1)
    visit = office.plan(places, at=days.now, on=to.day)
    asker = as_account(office.county.dispatcher, days.now)
    visits.hold_visit(visit, to=to, technician=home.technician, asker=asker)


AHEAD: dict[str, Callable[[Office, Places], object]] = {
    "today": today,
    "dog_today": today,
    "tomorrow": tomorrow,
    "next_week": next_week,
    "offered": offered,
    "first_look": first_look,
    "planned": planned,
    "mend": mend,
    "look_into_main": look_into_main,
    "unpave": unpave,
    "dig": dig,
    "moved_twice": moved_twice,
    "never_answers": never_answers,
    "split": split,
    "not_my_house": not_my_house,
    "not_this_year": not_this_year,
    "another_day": another_day,
    "called_off": called_off,
    "held": held,
}


# What cannot wait for its week of the season, and is meant for a nearer one.
AFTER_SEASON = {"mend", "unpave", "look_into_main"}


def fill_rounds(office: Office, homes: list[Places]) -> None:
    """Each technician's longest unseen homes: today, tomorrow, agreed, offered, planned."""
    for technician in office.county.technicians:
        waiting = sorted(
            (h for h in homes if h[0].home.technician == technician),
            key=lambda h: h[0].last_on or date.max,
        )
        _fill_day(office, technician, waiting, office.days.today, today)
        _fill_day(office, technician, waiting, office.days.ago(-1), tomorrow)
        size = len(waiting)
        for share, act in ((0.12, next_week), (0.14, offered), (0.1, planned)):
            for _ in range(round(size * share)):
                act(office, waiting.pop(0))


def _fill_day(
    office: Office,
    technician: Account,
    waiting: list[Places],
    day: date,
    act: Callable[[Office, Places], None],
) -> None:
    """Three to five visits, fewer where the homes do not suffice."""
    wanted = 3 + (technician.pk + day.toordinal()) % 3
    for _ in range(wanted - office.diary.booked(technician, day)):
        if waiting:
            act(office, waiting.pop(0))


def _agreed_on(office: Office, places: Places, day: date) -> None:
    to = office.diary.squeeze(places[0].home.technician, day)
    minutes = 45 if len(places) == 1 else 65
    is_first = office.diary.booked(places[0].home.technician, day) == 1
    if day == office.days.today and is_first and places[0].home.technician.handle == "basil":
        # Whoever is held up there is late for the promise that follows.
        minutes = LONG_WORK_MIN
    office.agreed(places, to, told_days=places[0].rng.randint(8, 16), minutes=minutes)


def _offer(
    office: Office,
    places: Places,
    *,
    told_ago: int,
    ahead: int,
    purpose: str = "yearly look",
    looks: list[str] | None = None,
) -> Visit:
    to = office.window(places[0].home, office.days.ago(-ahead), step=1)
    at = office.days.at(office.days.ago(told_ago), 10)
    visit = office.plan(places, at=at, on=to.day, purpose=purpose, looks=looks)
    return office.offer(visit, to, places[0].home.technician, at)


def _offer_and_answer(office: Office, places: Places, word: str, note: str) -> None:
    visit = _offer(office, places, told_ago=5, ahead=10)
    office.answer(visit, places[0].home, word, office.days.at(office.days.ago(3), 18), note=note)
