"""What a household answers, and what follows from it by itself or by a person."""

from datetime import timedelta

from django.db import transaction
from django.db.models import Q

from drainservice.accounts import actions as accounts
from drainservice.accounts import history
from drainservice.accounts import queries as accounts_queries
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Household, Person
from drainservice.accounts.text import clean_text
from drainservice.visits import queries
from drainservice.visits.actions.book import (
    GroundNotLocated,
    NoTimeFree,
    WindowInThePast,
    agree_visit,
)
from drainservice.visits.actions.rounds import lock_rounds, round_of_visit
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
    old time, two answers that differ, and a yes to what cannot be promised await a person. The
    same answer twice adds nothing, unless a person dealt with the first.
    """
    note = clean_text(note, most=1000, what="The note")
    # One answer at a time for a visit: the second of two must see the first. Its round first, as
    # booking does.
    lock_rounds([round_of_visit(visit)])
    visit = Visit.objects.select_for_update().select_related("site").get(pk=visit.pk)
    if visit.state not in {State.OFFERED, State.HELD, State.AGREED}:
        raise NothingToAnswer(
            f"This visit is {State(visit.state).label}, so there is nothing to answer. "
            "Please ring us if something is not right."
        )
    last = Answer.objects.filter(visit=visit, person=person).order_by("-at", "-pk").first()
    is_told = last is not None and (last.word, last.sequence, last.note) == (word, sequence, note)
    if last is not None and is_told and last.settled_at is None:
        return last
    answer = Answer.objects.create(
        visit=visit,
        sequence=sequence,
        person=person,
        by=by,
        word=AnswerWord(word),
        note=note,
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


@transaction.atomic
def pass_on_overdue(*, asker: Asker) -> int:
    """Offers whose time passed unanswered, and promises of which nobody says that they were kept,
    await a person: nobody is forgotten. Answers how many; repeating it adds nothing."""
    day_ago = asker.at - timedelta(days=1)
    overdue = Visit.objects.standing().filter(
        Q(state=State.OFFERED, window_ends_at__lte=asker.at)
        | Q(state__in=[State.AGREED, State.AT_PIT], window_ends_at__lte=day_ago),
        needs_person_since__isnull=True,
    )
    return len(history.keep_many(overdue, asker=asker, needs_person_since=asker.at))


def _draw(visit: Visit, answer: Answer, asker: Asker) -> None:
    words = {a.word for a in queries.latest_answers(visit)}
    is_present = answer.sequence == visit.sequence
    if answer.word == AnswerWord.NOT_MY_HOUSE:
        _stop_asking(answer, asker)
    if is_present and words == {AnswerWord.YES} and _is_promised(visit, asker):
        history.keep(visit, asker=asker, needs_person_since=None)
        return
    since = visit.needs_person_since or asker.at
    history.keep(visit, asker=asker, needs_person_since=since)


def _is_promised(visit: Visit, asker: Asker) -> bool:
    """Whether it is a promise now; a yes to what cannot be promised, a person settles."""
    if visit.state == State.AGREED:
        return True
    try:
        agree_visit(visit, asker=asker)
    except (GroundNotLocated, NoTimeFree, WindowInThePast):
        return False
    return True


def _stop_asking(answer: Answer, asker: Asker) -> None:
    """Of the household that answered, or by telephone of those in which the person is; the system
    stays, the office finds out whose."""
    if answer.person is None:
        return
    joined = accounts_queries.memberships_on(accounts_queries.today_of_firm(asker.at))
    of_person = joined.filter(person=answer.person).values("household")
    households = Household.objects.filter(pk__in=of_person, asking_stopped_at__isnull=True)
    if asker.household_id is not None:
        households = households.filter(pk=asker.household_id)
    for household in households.order_by("pk"):
        accounts.stop_asking(household, asker=asker, because="They say it is not their house.")
