"""What each message says about a visit, in short plain sentences."""

from collections.abc import Callable
from datetime import datetime

from django.utils.translation import gettext as _

from drainservice.reminders.mail import phrases
from drainservice.reminders.mail.letter import Button, Letter
from drainservice.reminders.mail.news import bucket_test, confirmation, new_link, report
from drainservice.reminders.models import Use
from drainservice.reminders.queries.standing import Told
from drainservice.reminders.queries.uses import CAN_BE_STOPPED
from drainservice.visits.models import Visit


def letter_for(one: Told, *, at: datetime) -> Letter:
    """The letter of a message, in the language that is active."""
    letter = WRITERS[one.reminder.use](one, at)
    return _framed(letter, one)


def _framed(letter: Letter, one: Told) -> Letter:
    firm, use = one.firm, one.reminder.use
    closing = list(letter.closing)
    if firm.telephone:
        closing.append(_("Any question? Ring us: %(number)s.") % {"number": firm.telephone})
    closing.append(", ".join(part for part in (firm.name, firm.address) if part))
    stop = phrases.stop_link(one.reminder.channel_id) if use in CAN_BE_STOPPED else ""
    return Letter(
        subject=letter.subject,
        greeting=_("Hello %(name)s,") % {"name": one.reminder.person.name},
        opening=letter.opening,
        facts=letter.facts,
        before_facts=letter.before_facts,
        steps=letter.steps,
        ask=letter.ask,
        buttons=tuple(button for button in letter.buttons if button.url),
        under=letter.under if letter.under is not None and letter.under.url else None,
        closing=tuple(closing),
        stop_url=stop,
    )


def _visit_of(one: Told) -> Visit:
    assert one.visit is not None  # each of these uses is put with its visit
    return one.visit


def _facts(visit: Visit) -> tuple[tuple[str, str], ...]:
    who = visit.technician.person.name.split()[0] if visit.technician else ""
    facts = [
        (_("When"), f"{phrases.when(visit)} ({phrases.zone_name(visit)})"),
        (_("Where"), visit.site.address),
        (_("What for"), visit.purpose),
    ]
    if who:
        facts.append((_("Who comes"), who))
    return tuple(facts)


def _three_answers(one: Told) -> tuple[Button, ...]:
    return (
        Button(_("Yes, come"), phrases.link(one, "answer", say="yes"), "filled"),
        Button(_("Another day"), phrases.link(one, "answer", say="another_day"), "outlined"),
        Button(_("Not this year"), phrases.link(one, "answer", say="not_this_year")),
    )


def _not_my_house(one: Told) -> Button:
    return Button(_("This is not my house"), phrases.link(one, "answer", say="not_my_house"))


def _subject(visit: Visit) -> str:
    return _("Your drain: %(when)s") % {"when": phrases.short_when(visit)}


def _steps() -> tuple[str, ...]:
    return (
        _("Clear the lid, so that we can lift it."),
        _("Leave the gate open, or tell us how to get in."),
        _("Keep the dog in."),
    )


def _offer(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    return Letter(
        subject=_subject(visit),
        opening=_("It is time to look at the drain in your yard. May we come on %(when)s?")
        % {"when": phrases.when(visit)},
        facts=_facts(visit),
        ask=_("Please choose one. We keep this time free for you until you tell us."),
        buttons=_three_answers(one),
        under=_not_my_house(one),
    )


def _agreed(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    return Letter(
        subject=_subject(visit),
        opening=_("We come on %(when)s.") % {"when": phrases.when(visit)},
        facts=_facts(visit),
        before_facts=(_("The visit is in this mail as a calendar file, too."),),
        ask=_("Please do this before we come:"),
        steps=_steps(),
        buttons=(
            Button(_("Another day"), phrases.link(one, "answer", say="another_day"), "outlined"),
        ),
        under=_not_my_house(one),
    )


def _moved(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    was, when = phrases.was_when(visit), {"when": phrases.when(visit)}
    if not was and visit.technician is not None:
        return _somebody_else(one, visit)
    said = [_("The visit has a new time: %(when)s.") % when]
    if was:
        said.append(_("It was: %(when)s.") % {"when": was})
    return Letter(
        subject=_subject(visit),
        opening=said[0],
        before_facts=(*said[1:], _("Your calendar gets the new time with this mail.")),
        facts=_facts(visit),
        ask=_("Does the new time suit you?"),
        buttons=_three_answers(one),
        under=_not_my_house(one),
    )


def _somebody_else(one: Told, visit: Visit) -> Letter:
    """Its time was never moved: another technician comes than was promised by name."""
    assert visit.technician is not None
    told = {"who": visit.technician.person.name.split()[0], "when": phrases.when(visit)}
    return Letter(
        subject=_subject(visit),
        opening=_("Somebody else comes: %(who)s, on %(when)s.") % told,
        before_facts=(_("The time stays as it was."),),
        facts=_facts(visit),
        ask=_("Does that suit you?"),
        buttons=_three_answers(one),
        under=_not_my_house(one),
    )


def _called_off(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    # A visit called off keeps its promise, so that people see what went.
    return Letter(
        subject=_("Cancelled: your drain, %(when)s") % {"when": phrases.short_when(visit)},
        opening=_("Cancelled: we do not come on %(when)s.") % {"when": phrases.when(visit)},
        facts=(_facts(visit)[1],),
        before_facts=(_("If your drain still needs a look, we will get in touch for a new day."),),
        buttons=(Button(_("Your yard"), phrases.link(one, "yard")),),
    )


def _answer_wanted(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    return Letter(
        subject=_subject(visit),
        opening=_("We have no answer from you yet. May we come on %(when)s?")
        % {"when": phrases.when(visit)},
        facts=_facts(visit),
        ask=_("Please choose one. If the time does not suit you, others can have it."),
        buttons=_three_answers(one),
        under=_not_my_house(one),
    )


def _get_ready(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    return Letter(
        subject=_subject(visit),
        opening=_("We come soon: %(when)s.") % {"when": phrases.when(visit)},
        facts=_facts(visit),
        before_facts=(_("Are the gate and the dog as last time? If not, please tell us."),),
        steps=_steps(),
        ask=_("Please get ready:"),
        buttons=_three_answers(one),
        under=_not_my_house(one),
    )


def _setting_out(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    assert visit.slot_starts_at is not None
    about = phrases.clock_time(max(at, visit.slot_starts_at), visit.site.zone)
    return Letter(
        subject=_subject(visit),
        opening=_("We have set out. We are at your gate at about %(time)s.") % {"time": about},
        facts=_facts(visit)[:2],
        ask=_("Please do this now:"),
        steps=_steps(),
    )


def _not_reached(one: Told, at: datetime) -> Letter:
    visit = _visit_of(one)
    return Letter(
        subject=_("Your drain: we could not reach the lid"),
        opening=_("We came to you and could not reach the lid of your drain."),
        facts=(
            (_("Promised"), phrases.when(visit)),
            _facts(visit)[1],
        ),
        before_facts=(_("So we could not test it. We do not know if it works in the next storm."),),
        steps=_steps(),
        ask=_("We want to come again. Please do this, and choose another day:"),
        buttons=(Button(_("Your yard"), phrases.link(one, "yard"), "filled"),),
    )


WRITERS: dict[str, Callable[[Told, datetime], Letter]] = {
    Use.OFFER: _offer,
    Use.AGREED: _agreed,
    Use.MOVED: _moved,
    Use.CALLED_OFF: _called_off,
    Use.ANSWER_WANTED: _answer_wanted,
    Use.GET_READY: _get_ready,
    Use.SETTING_OUT: _setting_out,
    Use.NOT_REACHED: _not_reached,
    Use.REPORT: report,
    Use.CONFIRMATION: confirmation,
    Use.BUCKET_TEST: bucket_test,
    Use.NEW_LINK: new_link,
}
