"""The office's addresses."""

from datetime import date

from django.urls import path, register_converter

from drainservice.web.dispatcher import (
    answers,
    bring_in,
    calls,
    changing,
    crew,
    crew_changing,
    done,
    down,
    due,
    due_sum,
    mailbox,
    morning,
    plan,
    reminder,
    reminders,
    repair,
    rounds,
    season,
    settings,
    site,
    site_things,
    staff,
    system,
    systems,
    visit,
    visit_new,
)
from drainservice.web.dispatcher.crew_forms import FIRST, LAST


class DayOfFirm:
    """A day that a firm may mean; one of another age is no address."""

    regex = r"[^/]+"

    def to_python(self, value: str) -> date:
        """Errors: ValueError, which is not found."""
        day = date.fromisoformat(value)
        if not FIRST <= day <= LAST:
            raise ValueError
        return day

    def to_url(self, value: date | str) -> str:
        """2027-05-12"""
        return str(value)


register_converter(DayOfFirm, "day")

urlpatterns = [
    path("", morning.morning, name="morning"),
    path("due", due.due, name="due"),
    path("due/<int:due_id>", due_sum.due_sum, name="due-sum"),
    path("systems", systems.systems, name="systems"),
    path("systems/<str:code>", system.system, name="system"),
    path("systems/<str:code>/status", system.set_status, name="system-status"),
    path("systems/<str:code>/advice", system.advise, name="advise"),
    path("systems/<str:code>/add/<slug:part>", changing.add_part, name="part-add"),
    path("systems/<str:code>/<slug:part>/<int:pk>", changing.change_part, name="part-change"),
    path("systems/<str:code>/pump/<int:pk>/replace", changing.replace_pump, name="pump-replace"),
    path("sites/new", site.new_site, name="site-new"),
    path("sites/<int:site_id>", site.site, name="site"),
    path("sites/<int:site_id>/access", site.access, name="site-access"),
    path("sites/<int:site_id>/people/new", site.new_person, name="person-new"),
    path("sites/<int:site_id>/parts/<int:pk>/end", site.end_part, name="part-end"),
    path("sites/<int:site_id>/add/<slug:what>", site_things.add_thing, name="thing-add"),
    path("sites/<int:site_id>/<slug:what>/<int:pk>", site_things.change_thing, name="thing"),
    path("sites/<int:site_id>/systems/new", site.new_system, name="system-new"),
    path("visits/new", visit_new.new_visit, name="visit-new"),
    path("visits/<int:visit_id>", visit.visit, name="visit"),
    path("season", season.season, name="season"),
    path("rounds", rounds.rounds_today, name="rounds"),
    path("rounds/<day:day>", rounds.rounds_of_day, name="rounds-day"),
    path("plans/<int:plan_id>", plan.plan, name="plan"),
    path("plans/<int:plan_id>/inputs.json", plan.plan_inputs, name="plan-inputs"),
    path("undo/<slug:group>", done.undo, name="undo"),
    path("answers", answers.answers, name="answers"),
    path("answers/<int:visit_id>/settle", answers.settle, name="settle"),
    path("calls", calls.calls, name="calls"),
    path("down", down.down, name="down"),
    path("down/<int:pk>/stop-gap", down.stop_gap, name="stop-gap"),
    path("rounds/<day:day>/repair", repair.repair, name="repair"),
    path("reminders", reminders.reminder_list, name="reminders"),
    path("reminders/hold", reminders.hold_all, name="hold-all"),
    path("reminders/<uuid:reminder_id>", reminder.reminder, name="reminder"),
    path("reminders/<uuid:reminder_id>/mail", reminder.as_mail, name="as-mail"),
    path("reminders/<uuid:reminder_id>/calendar", reminder.as_calendar, name="as-calendar"),
    path("reminders/<uuid:reminder_id>/keep", reminders.keep_or_go, name="keep-or-go"),
    path("mailbox", mailbox.mailbox, name="mailbox"),
    path("bring-in", bring_in.bring_in, name="bring-in"),
    path("bring-in/<int:sheet_id>", bring_in.sheet, name="sheet"),
    path("bring-in/<int:sheet_id>/to-mend.csv", bring_in.take_home, name="take-home"),
    path("bring-in/questions/<int:question_id>", bring_in.answer, name="sheet-answer"),
    path("crew", crew.crew, name="crew"),
    path("crew/add/<slug:what>", crew_changing.add_thing, name="crew-add"),
    path("crew/change/<slug:what>/<int:pk>", crew_changing.change_thing, name="crew-thing"),
    path("crew/<slug:handle>", crew.crew_member, name="crew-member"),
    path("crew/<slug:handle>/hours", crew_changing.hours, name="crew-hours"),
    path("crew/<slug:handle>/start", crew_changing.start, name="crew-start"),
    path("crew/<slug:handle>/add/<slug:what>", crew_changing.add_own, name="crew-own-add"),
    path("terms", crew_changing.terms, name="planning-terms"),
    path("settings", settings.settings, name="settings"),
    path("settings/new/<slug:what>", settings.new_setting, name="setting-new"),
    path("settings/people/<slug:handle>", staff.change_account, name="account"),
    path("settings/<slug:what>/<int:pk>", settings.change_setting, name="setting"),
    path("settings/people/<slug:handle>/link", staff.let_in_link, name="let-in-link"),
]
