"""A household takes another of the times it was shown: promised at once, if it is still free."""

from datetime import timedelta

from django.db import transaction

from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account, Person
from drainservice.visits.actions.access import open_for
from drainservice.visits.actions.answer import answer_visit
from drainservice.visits.actions.book import (
    NotInThisState,
    announce,
    book_promise,
    move_visit,
    need_state,
    need_ticket,
)
from drainservice.visits.actions.rounds import lock_rounds, round_of_visit
from drainservice.visits.models import AnswerWord, State, Visit
from drainservice.visits.queries.window import Window

# Nearer than this nobody moves a promise by a link: somebody may be on the way. Judgement.
TOO_NEAR = timedelta(hours=2)


def may_choose(visit: Visit, *, asker: Asker) -> bool:
    """Whether a household may still take another time by itself."""
    if visit.state == State.OFFERED:
        return not visit.is_digging
    is_near = visit.window_starts_at is not None and visit.window_starts_at < asker.at + TOO_NEAR
    is_agreed = visit.state == State.AGREED and visit.set_out_at is None
    return is_agreed and not is_near and not visit.is_digging


@transaction.atomic
def choose_time(
    visit: Visit, *, to: Window, technician: Account, asker: Asker, person: Person | None
) -> Visit:
    """Agree the visit at the time they chose, and write their yes to it down.

    Errors: NoTimeFree, NotInThisState, WindowInThePast, GroundNotLocated.
    """
    lock_rounds([round_of_visit(visit)])
    visit = Visit.objects.select_for_update().select_related("site").get(pk=visit.pk)
    need_state(visit, State.OFFERED, State.AGREED)
    if not may_choose(visit, asker=asker):
        raise NotInThisState("We are about to come, so please ring us for another day.")
    if visit.state == State.AGREED:
        move_visit(visit, to=to, technician=technician, asker=asker)
    else:
        need_ticket(visit, to.day)
        number = visit.sequence + 1
        book_promise(visit, State.AGREED, to, technician, asker, sequence=number)
        open_for(visit, asker=asker)
        announce("visit.agreed", visit, asker)
    answer_visit(
        visit,
        asker=asker,
        word=AnswerWord.YES,
        by="link",
        person=person,
        sequence=visit.sequence,
    )
    return Visit.objects.get(pk=visit.pk)
