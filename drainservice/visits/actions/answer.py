"""What a household answers, and what follows from it by itself or by a person."""

from django.db import transaction
from django.db.models import F

from drainservice.accounts import actions as accounts
from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Household, Person
from drainservice.accounts.text import clean_text
from drainservice.visits import queries
from drainservice.visits.actions.book import agree_visit
from drainservice.visits.models import Answer, AnswerWord, State, Visit
from jobs import queue


class NothingToAnswer(CannotBeDone):
    """The visit is over, called off, or never was offered."""


@transaction.atomic
def answer_visit(
    visit: Visit,
    *,
    asker: Asker,
    word: str,
    by: str,
    person: Person | None,
    sequence: int,
    note: str = "",
) -> Answer:
    """Write an answer down and draw what follows.

    Yes to the visit as it stands agrees it. Not my house stops asking. All else, an answer to an
    old time, and two answers that differ, await a person. The same answer twice adds nothing.
    """
    # One answer at a time for a visit: the second of two must see the first.
    visit = Visit.objects.select_for_update().select_related("site").get(pk=visit.pk)
    if visit.state not in {State.OFFERED, State.HELD, State.AGREED}:
        raise NothingToAnswer(
            f"This visit is {State(visit.state).label}, so there is nothing to answer. "
            "Please ring us if something is not right."
        )
    last = Answer.objects.filter(visit=visit, person=person).order_by("-at", "-pk").first()
    if last is not None and (last.word, last.sequence, last.note) == (word, sequence, note):
        return last
    answer = Answer.objects.create(
        visit=visit,
        sequence=sequence,
        person=person,
        by=by,
        word=AnswerWord(word),
        note=clean_text(note, most=1000, what="The note") if note else "",
        written_by_id=asker.account_id,
        at=asker.at,
    )
    _draw(visit, answer, asker)
    queue.put("answer.given", key=str(answer.pk), at=asker.at, answer_id=answer.pk)
    return answer


@transaction.atomic
def settle_answers(visit: Visit, *, asker: Asker) -> Visit:
    """A person has dealt with what was answered."""
    Answer.objects.filter(visit=visit, settled_at__isnull=True).update(settled_at=asker.at)
    return history.keep(visit, asker=asker, needs_person_since=None)


def _draw(visit: Visit, answer: Answer, asker: Asker) -> None:
    words = {a.word for a in queries.latest_answers(visit)}
    is_present = answer.sequence == visit.sequence
    if answer.word == AnswerWord.NOT_MY_HOUSE:
        _stop_asking(answer, asker)
    if is_present and words == {AnswerWord.YES}:
        if visit.state in {State.OFFERED, State.HELD}:
            agree_visit(visit, asker=asker)
        elif visit.needs_person_since is not None:
            history.keep(visit, asker=asker, needs_person_since=None)
        return
    since = visit.needs_person_since or asker.at
    history.keep(visit, asker=asker, needs_person_since=since)


def _stop_asking(answer: Answer, asker: Asker) -> None:
    """Of the households in which this person is; the system stays, the office finds out whose."""
    if answer.person is None:
        return
    households = Household.objects.standing().filter(
        memberships__person=answer.person,
        memberships__ends_on__isnull=True,
        memberships__removed_at__isnull=True,
        asking_stopped_at__isnull=True,
    )
    for household in households.order_by(F("pk")):
        accounts.stop_asking(household, asker=asker, because="They say it is not their house.")
