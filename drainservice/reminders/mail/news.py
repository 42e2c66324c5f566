"""What is said between visits: the answer as written down, the report, the bucket test."""

from datetime import datetime

from django.utils.translation import gettext as _

from drainservice.accounts import wall
from drainservice.inspections.models import Down, Inspection, Look, Outcome, Recommendation
from drainservice.inspections.models.inspection import LookKind, WhyNot
from drainservice.register.models import NO_PLACE, System
from drainservice.reminders.mail import phrases
from drainservice.reminders.mail.letter import Button, Letter
from drainservice.reminders.mail.verdicts import verdict_words
from drainservice.reminders.queries.standing import Told
from drainservice.visits.models import Answer, AnswerWord


def confirmation(one: Told, at: datetime) -> Letter:
    """An answer as we wrote it down, so that one given by a stranger is seen."""
    answer = Answer.objects.get(pk=one.reminder.about["answer_id"])
    visit = one.visit
    assert visit is not None
    said = {
        AnswerWord.YES: _("Yes, come"),
        AnswerWord.ANOTHER_DAY: _("Another day"),
        AnswerWord.NOT_THIS_YEAR: _("Not this year"),
        AnswerWord.NOT_MY_HOUSE: _("This is not my house"),
    }[AnswerWord(answer.word)]
    then = {
        AnswerWord.YES: _("Thank you. We come as agreed."),
        AnswerWord.ANOTHER_DAY: _("We will write or ring with another time."),
        AnswerWord.NOT_THIS_YEAR: _("A person of our office will read this and settle it."),
        AnswerWord.NOT_MY_HOUSE: _("We will not ask you again, and find out whose house it is."),
    }[AnswerWord(answer.word)]
    asked = ((_("You were asked"), phrases.when(visit)),) if visit.day else ()
    return Letter(
        subject=_("Your drain: we have your answer"),
        opening=_('We wrote down your answer: "%(answer)s".') % {"answer": said},
        facts=asked,
        before_facts=(then, _("Was this not you? Please ring us.")),
        buttons=(Button(_("Your yard"), phrases.link(one, "yard")),),
    )


def report(one: Told, at: datetime) -> Letter:
    """What was looked at, what was found, and what is to be done."""
    inspection = Inspection.objects.select_related("system__site").get(
        pk=one.reminder.about["inspection_id"]
    )
    looks = Look.objects.standing().filter(inspection=inspection).order_by("pk")
    found = tuple((_look_name(look), _look_words(look)) for look in looks)
    day = phrases.long_day(inspection.on)
    place = inspection.system.place
    opening = _("We looked at your drain on %(day)s.") % {"day": day}
    if not place.endswith(NO_PLACE):
        opening = _("We looked at your drain %(place)s on %(day)s.") % {"place": place, "day": day}
    return Letter(
        subject=_("Your drain: what we found on %(day)s")
        % {"day": phrases.short_day(inspection.on)},
        opening=opening,
        facts=found,
        before_facts=tuple(_warnings(inspection)),
        buttons=(Button(_("Your yard"), phrases.link(one, "yard"), "filled"),),
    )


def bucket_test(one: Told, at: datetime) -> Letter:
    """The quarterly test by the household, with what it must not do."""
    system = System.objects.select_related("site").get(pk=one.reminder.about["system_id"])
    today = phrases.short_day(wall.today_in(system.site.zone, at))
    return Letter(
        subject=_("Your drain: a short test, %(day)s") % {"day": today},
        opening=_("Please test your pump with some water. It takes about five minutes."),
        before_facts=(
            _("Do not do it in a storm. Do not touch the pump or its cord."),
            _("Do not lift a heavy lid, and never reach or climb into the pit."),
        ),
        ask=_("The page shows each step, and how much water your pit needs."),
        buttons=(Button(_("Start the test"), phrases.link(one, "yard"), "filled"),),
    )


def new_link(one: Told, at: datetime) -> Letter:
    """The way back to the household's own page, asked for by someone who typed this address."""
    return Letter(
        subject=_("Your drain: a new link to your page"),
        opening=_("You asked for a new link to the page of your drain. Here it is."),
        before_facts=(_("Was this not you? Then you need do nothing."),),
        buttons=(Button(_("Your yard"), phrases.link(one, "yard"), "filled"),),
    )


def _look_name(look: Look) -> str:
    return {
        LookKind.PUMP: _("Pump"),
        LookKind.PERCOLATION: _("How fast it drains"),
        LookKind.SEDIMENT: _("Silt"),
        LookKind.VALVE: _("Check valve"),
        LookKind.LINE: _("Pipe to the outlet"),
        LookKind.LID: _("Lid"),
        LookKind.ALARM: _("Alarm"),
        LookKind.BATTERY: _("Battery and power"),
        LookKind.AUTUMN: _("Before the frost"),
        LookKind.SPRING: _("After the frost"),
        LookKind.FIRST_LOOK: _("First look"),
    }[LookKind(look.kind)]


def _look_words(look: Look) -> str:
    if look.outcome == Outcome.NOT_DONE:
        return _("Not done: %(why)s.") % {"why": _why_not(look.why_not)}
    if look.passed is False:
        return _("It failed the test.")
    words = verdict_words(look)
    if words:
        return words
    return _("Done.") if look.outcome == Outcome.DONE else _("Done in part.")


def _why_not(why: str) -> str:
    return {
        WhyNot.NOBODY_HOME: _("nobody was home"),
        WhyNot.GATE: _("the gate was locked"),
        WhyNot.DOG: _("a dog was loose"),
        WhyNot.LID_COVERED: _("the lid is covered"),
        WhyNot.NOT_SAFE: _("it was not safe"),
        WhyNot.REFUSED: _("we were asked not to"),
        WhyNot.WRONG_PLACE: _("we could not find it"),
        WhyNot.NO_PART: _("there is no such part"),
        WhyNot.CALLED_OFF: _("it was called off"),
    }[WhyNot(why)]


def _warnings(inspection: Inspection) -> list[str]:
    system = inspection.system
    said = []
    is_down = Down.objects.standing().filter(pump__system=system, proven_at__isnull=True).exists()
    if is_down:
        said.append(_("Your pump does not run now. In a storm the water can rise. Ring us."))
    advice = Recommendation.objects.standing().filter(system=system, told_on=inspection.on)
    for row in advice.order_by("pk"):
        said.append(_("We advise: %(what)s") % {"what": row.what})
    return said
