"""What a visit is bound by, as the office learns it: the days a household likes, who was promised,
how long it takes and what it needs."""

from collections.abc import Sequence

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.visits.actions.book import NotInThisState, need_state
from drainservice.visits.actions.crew import skill_word
from drainservice.visits.actions.rounds import raise_versions, round_of_visit
from drainservice.visits.models import State, Visit

HALVES = ["morning", "afternoon"]
LIKED = {*HALVES, *(str(weekday) for weekday in range(7))}
SHORTEST_MIN, LONGEST_MIN = 5, 720
# While somebody was told of a time, or has it kept.
PROMISED = [State.OFFERED, State.HELD, State.AGREED]


class NobodyToName(CannotBeDone):
    """No technician has been promised, so none can be promised by name."""


@transaction.atomic
def like_times(visit: Visit, likes: Sequence[str], *, asker: Asker) -> Visit:
    """What they like: "morning", "afternoon", weekdays as "0" (Monday) to "6". A promise stays.

    Errors: NotInThisState, ChangedMeanwhile.
    """
    need_state(visit, State.PLANNED, *PROMISED)
    unknown = [like for like in likes if like not in LIKED]
    if unknown:
        raise CannotBeDone(f"Nobody likes {unknown[0]!r}; choose mornings, afternoons or weekdays.")
    raise_versions([round_of_visit(visit)])
    return history.keep(visit, asker=asker, likes=list(dict.fromkeys(likes)))


@transaction.atomic
def name_technician(visit: Visit, is_named: bool, *, asker: Asker) -> Visit:
    """The household was promised who comes, not only when; or anybody may come again.

    A planner then leaves it to that technician, and whoever changes that tells the household.
    Errors: NobodyToName, NotInThisState, ChangedMeanwhile.
    """
    need_state(visit, State.PLANNED, *PROMISED)
    if is_named and (visit.state not in PROMISED or visit.technician_id is None):
        raise NobodyToName("Nobody was promised a time yet; offer one first, then say who comes.")
    raise_versions([round_of_visit(visit)])
    return history.keep(visit, asker=asker, is_named=is_named)


@transaction.atomic
def change_need(visit: Visit, *, minutes: int, skills: Sequence[str], asker: Asker) -> Visit:
    """Other minutes on site, other skills; only while it stands in no round, so that nothing is
    too short for it there and nobody is sent who may not do it.

    Errors: NotInThisState, CrewRefused, ChangedMeanwhile.
    """
    need_state(visit, State.PLANNED)
    if visit.slot_starts_at is not None:
        raise NotInThisState("This visit stands in a round; take it out of there first.")
    if not SHORTEST_MIN <= minutes <= LONGEST_MIN:
        raise CannotBeDone(f"A visit takes {SHORTEST_MIN} to {LONGEST_MIN} minutes; mend that.")
    words = sorted({skill_word(word) for word in skills})
    return history.keep(visit, asker=asker, minutes=minutes, skills_wanted=words)
