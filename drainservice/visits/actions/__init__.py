"""Writing visits: offer, hold, agree, move, call off, go, answer."""

from drainservice.visits.actions.absences import (
    change_absence,
    change_van_out,
    enter_absence,
    enter_van_out,
    remove_absence,
    remove_van_out,
)
from drainservice.visits.actions.adopting import CannotAdopt, PlanIsStale, adopt_plan
from drainservice.visits.actions.answer import (
    NothingToAnswer,
    answer_visit,
    pass_on_overdue,
    settle_answers,
)
from drainservice.visits.actions.barriers import change_barrier, draw_barrier, take_barrier_off
from drainservice.visits.actions.book import (
    GroundNotLocated,
    NoTimeFree,
    NotInThisState,
    WindowInThePast,
    agree_visit,
    call_off_visit,
    hold_visit,
    let_hold_go,
    move_visit,
    offer_visit,
    plan_visit,
)
from drainservice.visits.actions.choose import (
    choose_time,
    may_choose,
)
from drainservice.visits.actions.crew import (
    change_area,
    change_base,
    change_skill,
    change_van,
    draw_area,
    enter_base,
    enter_van,
    give_skill,
    set_member,
    take_area,
    take_base_off,
    take_skill,
    take_van_off,
)
from drainservice.visits.actions.day_off import DayOff, NothingToCallOff, call_off_day
from drainservice.visits.actions.drives import note_drive, refresh_drive_times, want_drive_times
from drainservice.visits.actions.fitting import DoesNotFitAnyMore, mind_undone, rebase_plan
from drainservice.visits.actions.go import arrive, make_visit, miss_visit, set_out, tie_inspection
from drainservice.visits.actions.hours import DayHours, set_working_hours, take_back_hours
from drainservice.visits.actions.in_rounds import (
    NamedTechnician,
    hand_on,
    lock_visit,
    put_in_round,
    take_out_of_round,
)
from drainservice.visits.actions.minutes import count_look_minutes
from drainservice.visits.actions.plans import WhatIf, ask_rounds, cancel_plan, refuse_plan
from drainservice.visits.actions.questions import NothingToPlan, NotInThisPlan
from drainservice.visits.actions.record import record_at_visit
from drainservice.visits.actions.repairs import (
    ProposalChanged,
    adopt_first_aid,
    ask_repair,
    propose_first_aid,
)
from drainservice.visits.actions.season import (
    SeasonWhatIf,
    ask_season,
    ask_seasons_near,
    want_seasons,
)
from drainservice.visits.actions.storm_list import NothingOnTheList, list_for_storm
from drainservice.visits.actions.suits import (
    NobodyToName,
    change_need,
    like_times,
    name_technician,
)
from drainservice.visits.actions.terms import (
    change_closed_days,
    close_days,
    set_planning_terms,
    take_closed_days_off,
)
from drainservice.visits.actions.touched import Touched, say_crew_put_back
from drainservice.visits.actions.working_out import Clocks, retake_silent, work_out

__all__ = [
    "CannotAdopt",
    "Clocks",
    "DayHours",
    "DayOff",
    "DoesNotFitAnyMore",
    "GroundNotLocated",
    "NamedTechnician",
    "NoTimeFree",
    "NobodyToName",
    "NotInThisPlan",
    "NotInThisState",
    "NothingOnTheList",
    "NothingToAnswer",
    "NothingToCallOff",
    "NothingToPlan",
    "PlanIsStale",
    "ProposalChanged",
    "SeasonWhatIf",
    "Touched",
    "WhatIf",
    "WindowInThePast",
    "adopt_first_aid",
    "adopt_plan",
    "agree_visit",
    "answer_visit",
    "arrive",
    "ask_repair",
    "ask_rounds",
    "ask_season",
    "ask_seasons_near",
    "call_off_day",
    "call_off_visit",
    "cancel_plan",
    "change_absence",
    "change_area",
    "change_barrier",
    "change_base",
    "change_closed_days",
    "change_need",
    "change_skill",
    "change_van",
    "change_van_out",
    "choose_time",
    "close_days",
    "count_look_minutes",
    "draw_area",
    "draw_barrier",
    "enter_absence",
    "enter_base",
    "enter_van",
    "enter_van_out",
    "give_skill",
    "hand_on",
    "hold_visit",
    "let_hold_go",
    "like_times",
    "list_for_storm",
    "lock_visit",
    "make_visit",
    "may_choose",
    "mind_undone",
    "miss_visit",
    "move_visit",
    "name_technician",
    "note_drive",
    "offer_visit",
    "pass_on_overdue",
    "plan_visit",
    "propose_first_aid",
    "put_in_round",
    "rebase_plan",
    "record_at_visit",
    "refresh_drive_times",
    "refuse_plan",
    "remove_absence",
    "remove_van_out",
    "retake_silent",
    "say_crew_put_back",
    "set_member",
    "set_out",
    "set_planning_terms",
    "set_working_hours",
    "settle_answers",
    "take_area",
    "take_back_hours",
    "take_barrier_off",
    "take_base_off",
    "take_closed_days_off",
    "take_out_of_round",
    "take_skill",
    "take_van_off",
    "tie_inspection",
    "want_drive_times",
    "want_seasons",
    "work_out",
]
