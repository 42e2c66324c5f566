"""What is said of itself: an answer as written down, the report, the bucket test."""

from datetime import timedelta
from typing import Any

from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.inspections.models import Inspection
from drainservice.inspections.models.inspection import Origin
from drainservice.register.models import System
from drainservice.reminders.actions.wanting import want
from drainservice.reminders.models import Reminder, Use
from drainservice.reminders.queries.bucket import systems_to_test
from drainservice.reminders.queries.recipients import recipient_of, recipients
from drainservice.visits.models import Answer, AnswerWord, State, VisitSystem

CONFIRMATIONS_A_DAY = 3
# A firm of a thousand systems still asks each once a quarter; judgement.
BUCKET_TESTS_A_DAY = 15
OF_USE_FOR = timedelta(days=14)


def confirm_answer(*, asker: Asker, answer_id: int, **_: Any) -> None:
    """A short mail to the address on file, so that an answer given by a stranger is seen.

    A yes that agrees the visit is confirmed by the invitation itself.
    """
    answer = Answer.objects.select_related("visit__site", "person").get(pk=answer_id)
    visit = answer.visit
    if answer.person is None or visit.day is None or _is_said_by_invitation(answer):
        return
    said = Reminder.objects.filter(
        visit=visit, use=Use.CONFIRMATION, job__made_at__gt=asker.at - timedelta(days=1)
    )
    recipient = recipient_of(answer.person, wall.today_in(visit.site.zone, asker.at))
    if recipient is None or said.count() >= CONFIRMATIONS_A_DAY:
        return
    want(
        recipient,
        use=Use.CONFIRMATION,
        asker=asker,
        visit=visit,
        sequence=answer.sequence,
        about={"answer_id": answer.pk},
        expires_at=answer.at + OF_USE_FOR,
    )


def send_report(*, asker: Asker, inspection_id: str) -> None:
    """What was found, to the people of the site. Sheets and notes of the office are no news, and
    nor is what was recorded weeks late."""
    inspection = Inspection.objects.select_related("system__site").get(pk=inspection_id)
    site = inspection.system.site
    today = wall.today_in(site.zone, asker.at)
    is_news = inspection.origin == Origin.SITE and inspection.on >= today - OF_USE_FOR
    if not is_news or inspection.closed_at is None:
        return
    tied = VisitSystem.objects.filter(inspection=inspection).select_related("visit__site").first()
    if tied is not None and tied.visit.state == State.NOT_REACHED:
        # That nobody reached the lid is told already.
        return
    for recipient in recipients(site, today):
        want(
            recipient,
            use=Use.REPORT,
            asker=asker,
            visit=tied.visit if tied is not None else None,
            about={"inspection_id": str(inspection.pk)},
            expires_at=asker.at + OF_USE_FOR,
        )


def ask_bucket_test(system: System, *, asker: Asker) -> None:
    """The quarterly test, asked once a day at most."""
    today = wall.today_in(system.site.zone, asker.at)
    for recipient in recipients(system.site, today):
        want(
            recipient,
            use=Use.BUCKET_TEST,
            asker=asker,
            about={"system_id": system.pk, "on": today.isoformat()},
            expires_at=asker.at + OF_USE_FOR,
        )


def plan_bucket_tests(*, asker: Asker) -> int:
    """Ask a few households a day for their quarterly test, so that not all answer at once.

    Answers how many systems were asked about.
    """
    systems = systems_to_test(at=asker.at, most=BUCKET_TESTS_A_DAY)
    for system in systems:
        ask_bucket_test(system, asker=asker)
    return len(systems)


def _is_said_by_invitation(answer: Answer) -> bool:
    if answer.word != AnswerWord.YES or answer.visit.was_moved:
        return False
    before = Answer.objects.filter(
        visit=answer.visit, sequence=answer.sequence, word=AnswerWord.YES, pk__lt=answer.pk
    )
    return not before.exists()
