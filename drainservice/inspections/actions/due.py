"""Due dates now: of one system after a change, of all in the night."""

from dataclasses import dataclass

from drainservice.accounts.asker import Asker
from drainservice.inspections.actions.counting import Tally, batches, count_batch
from drainservice.inspections.actions.flags import flag_overdue
from drainservice.inspections.actions.learning import learn_from_fleet
from drainservice.register.models import System


@dataclass(frozen=True, slots=True)
class Counted:
    """What a night's counting did."""

    systems: int
    counted: int
    changed: int
    past_pump_tests: int
    clogged_pits: int


def refresh_due(*, asker: Asker, system_id: int) -> int:
    """Count one system's dates now. Answers how many changed."""
    tally = Tally()
    ids = list(System.objects.standing().filter(pk=system_id).values_list("pk", flat=True))
    count_batch(ids, tally, asker=asker, force=True)
    return tally.changed


def find_due(*, asker: Asker, force: bool = False) -> Counted:
    """Count every system's dates, batch by batch, learn from the tests met, flag what is past.

    Where the firm's own tests have taught new failure rates, the dates are counted again by them.
    """
    tally = _count_all(asker, force=force)
    if learn_from_fleet(tally.tests, at=asker.at):
        again = _count_all(asker, force=False)
        tally.changed += again.changed
    pumps, pits = flag_overdue(asker=asker)
    return Counted(tally.systems, tally.counted, tally.changed, pumps, pits)


def _count_all(asker: Asker, *, force: bool) -> Tally:
    tally = Tally()
    for ids in batches():
        count_batch(ids, tally, asker=asker, force=force)
    return tally
