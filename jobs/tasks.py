"""Celery's ways in: each looks into the queue's table; no message carries work."""

from celery import shared_task

from jobs import reactions


@shared_task(ignore_result=True)
def run_due(**_: object) -> int:
    """Run every job that is due: invitations and reminders go out, due dates follow."""
    return reactions.run_due()


@shared_task(ignore_result=True, time_limit=1800, soft_time_limit=1700)
def run_long(**_: object) -> int:
    """Run long work that waits, such as a large sheet; apart, so that it delays no reminder."""
    return reactions.run_due(long=True)


@shared_task(ignore_result=True)
def send_invitations(**_: object) -> int:
    """Send the calendar invitations, moves and callings-off that wait."""
    return reactions.run_due(only=reactions.INVITING)


@shared_task(ignore_result=True)
def flag_overdue(**_: object) -> int:
    """Flag overdue pump tests and clogged pits now, as the night does by itself."""
    return reactions.flag_overdue()
