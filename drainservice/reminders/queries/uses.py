"""What each use of a message is: an ask, a reminder one may stop, part of a calendar."""

from drainservice.reminders.models import Use

# Counted against the year's six.
ASKS = frozenset({Use.OFFER, Use.ANSWER_WANTED, Use.BUCKET_TEST})
# Stopped by "no more reminders"; a notice of change or of the day itself never is.
CAN_BE_STOPPED = ASKS | {Use.GET_READY}
# Put into the calendar: the first invitation and each change.
INVITES = frozenset({Use.AGREED, Use.MOVED})
# They tell of a visit that must still stand as it stood.
OF_A_STANDING_VISIT = frozenset(
    {Use.OFFER, Use.AGREED, Use.MOVED, Use.ANSWER_WANTED, Use.GET_READY, Use.SETTING_OUT}
)
# The day's own news is of no use in the morning after, nor a link that is waited for.
AT_ANY_HOUR = frozenset({Use.SETTING_OUT, Use.NEW_LINK})
