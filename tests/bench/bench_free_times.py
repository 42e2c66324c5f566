"""How long a caller waits for three good times: rows, statements, tables, scan and words.

20 technicians, 20 working days, 10 visits a round, in SQLite. Run by hand:
python -m tests.bench.bench_free_times
"""

import os
import tempfile
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from random import Random
from statistics import median, quantiles
from time import perf_counter, process_time

TECHNICIANS, DAYS, VISITS = 20, 20, 10
ANSWERS = 200
GOAL_P95_MS = 50.0
MONDAY = datetime(2027, 5, 10, 15, 0, tzinfo=UTC)


def main():
    """Build the rounds, ask, and print."""
    with tempfile.TemporaryDirectory() as var:
        os.environ["DRAIN_VAR"] = var
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "drainservice.settings")
        import django

        django.setup()
        from django.core.management import call_command

        Path(var).mkdir(exist_ok=True)
        call_command("migrate", verbosity=0)
        bench()


def bench():
    """Cold, warm, and warm with a round changed before each answer."""
    from drainservice.visits.models import Round
    from drainservice.visits.queries.offers import Wanted, good_times
    from drainservice.visits.queries.shelf import Shelf
    from tests import makers

    random = Random(1)
    sites = make_rounds(random)
    shelf = Shelf()

    def answer(number, at):
        began, worked = perf_counter(), process_time()
        told = good_times(
            Wanted(site=sites[number % len(sites)], minutes=45), at=at, days=28, shelf=shelf
        )
        assert told.times, told.why_fewer
        return 1000 * (perf_counter() - began), 1000 * (process_time() - worked)

    print(f"{TECHNICIANS} technicians, {DAYS} days, {VISITS} visits a round")
    print(f"cold, every round read: {answer(0, MONDAY)[1]:.0f} ms of CPU")
    warm = [answer(n, MONDAY + timedelta(milliseconds=n)) for n in range(ANSWERS)]
    say("warm, nothing changed", warm)
    rows = list(Round.objects.order_by("pk"))
    changed = []
    for number in range(ANSWERS):
        row = random.choice(rows)
        Round.objects.filter(pk=row.pk).update(version=row.version + number + 1)
        changed.append(answer(number, MONDAY + timedelta(seconds=1, milliseconds=number)))
    say("warm, one round changed before each answer", changed)
    count_statements(lambda: answer(3, MONDAY + timedelta(seconds=2)))
    assert makers.ZONE


def make_rounds(random):
    """Rounds written straight into the tables; answers the sites that will be asked about."""
    from drainservice.accounts import wall
    from drainservice.register.models import Site
    from drainservice.visits.models import HomeBase, Round, Visit
    from tests import makers

    crew = [makers.make_account(f"t{number}") for number in range(TECHNICIANS)]
    HomeBase.objects.create(name="the yard", latitude=47.2, longitude=-122.4)
    first = makers.make_site("1 First St")
    count = TECHNICIANS * DAYS * VISITS + 50
    Site.objects.bulk_create(
        [
            Site(
                address=f"{number} Reed Ln",
                address_plain=f"{number} reed ln",
                zone=makers.ZONE,
                jurisdiction=first.jurisdiction,
                **somewhere(random, number),
            )
            for number in range(count)
        ],
        batch_size=500,
    )
    sites = list(Site.objects.order_by("pk")[1:])
    monday = wall.today_in(makers.ZONE, MONDAY)
    days = [monday + timedelta(days=n) for n in range(28)]
    working = [day for day in days if day.weekday() < 5][:DAYS]
    visits, rounds = [], []
    for who in crew:
        for day in working:
            rounds.append(Round(technician=who, day=day, version=2))
            for nth in range(VISITS):
                start = wall.instant(day, time(8), makers.ZONE) + timedelta(minutes=52 * nth + 10)
                # Seven of ten are promised for two hours, the others are the firm's own plans.
                is_told = nth % 10 < 7
                hour = min(8 + (52 * nth + 10) // 60, 15)
                window = (time(hour - 1 if hour > 8 else 8), time(hour + 2))
                visits.append(
                    Visit(
                        site=sites[len(visits)],
                        purpose="yearly look",
                        state="agreed" if is_told else "planned",
                        technician=who,
                        day=day,
                        minutes=25,
                        slot_starts_at=start,
                        slot_ends_at=start + timedelta(minutes=25),
                        **promise(day, *window) if is_told else {},
                    )
                )
    Round.objects.bulk_create(rounds, batch_size=500)
    Visit.objects.bulk_create(visits, batch_size=200)
    return sites[len(visits) :]


def somewhere(random, number):
    """Ten sites around one of forty villages, then ten around the next."""
    village = number // VISITS % 40
    return {
        "latitude": 47.1 + 0.03 * (village % 8) + random.uniform(-0.015, 0.015),
        "longitude": -122.5 + 0.04 * (village // 8) + random.uniform(-0.02, 0.02),
    }


def promise(day, from_, to):
    """The columns of a promised window."""
    from drainservice.accounts import wall
    from tests import makers

    return {
        "window_from": from_,
        "window_to": to,
        "window_starts_at": wall.instant(day, from_, makers.ZONE),
        "window_ends_at": wall.instant(day, to, makers.ZONE),
    }


def count_statements(act):
    """How many statements one warm answer takes."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as seen:
        act()
    print(f"statements of a warm answer: {len(seen)}")


def say(what, spent_ms):
    """Middle and 95th of a hundred, by the wall and by the processor."""
    for clock, spent in zip(("wall", "CPU"), zip(*spent_ms, strict=True), strict=True):
        p95 = quantiles(spent, n=100)[94]
        print(
            f"{what}, {clock}: least {min(spent):.1f} ms, p50 {median(spent):.1f} ms, "
            f"p95 {p95:.1f} ms (goal < {GOAL_P95_MS:.0f} ms)"
        )


if __name__ == "__main__":
    main()
