"""What a computed result says, as texts with SI values in braces; told by `explain.tell`."""

from collections.abc import Mapping

# A value's name ends in what it is; the longer ending first.
QUANTITIES: tuple[tuple[str, str], ...] = (
    ("_m3s", "flow"),
    ("_m3", "volume"),
    ("_m2", "area"),
    ("_ms", "rate"),
    ("_rain_m", "rain"),
    ("_small_m", "small_length"),
    ("_head_m", "head"),
    ("_level_m", "level"),
    ("_percent", "percent"),
    ("_limit_s", "hours"),
    ("_s", "time"),
)

RESULT_TEXTS: Mapping[str, str] = {
    # The drawdown test and the pump's health.
    "pump_flow": "Over {water_m2} of water the level fell {fall_small_m} in {pump_s}; with "
    "{inflow_m3s} running in, {flow_m3s} left the pit, give or take {flow_sd_m3s}.",
    "pump_duty": "New, at this lift of {lift_head_m}, {duty_m3s} would leave it, give or take "
    "{duty_sd_m3s}; that is the mean between the on and the off level.",
    "pump_ratio": "It gives {ratio_percent} of that; the chance that it is below {limit_percent} "
    "is {below_share}.",
    "pump_weep": "The weep hole gives {weep_m3s} back to the pit; that is in both figures and no "
    "wear.",
    "pump_uncertain": "What makes it most uncertain is the {cause}.",
    "pump_good": "As strong as when new.",
    "pump_watch": "Weaker than when new; look again in spring.",
    "pump_repeat": "Too uncertain; measure again.",
    "pump_act": "Too weak for this lift; mend or replace.",
    "pump_alone_on_main": "That duty is of this pump alone on its main; if another pumped "
    "meanwhile, what is lacking may be no wear.",
    "valve_chatters": "At this flow the check valve does not open fully; its flap may chatter.",
    "duty_is_guess": "The duty lies beyond the last point of the pump's curve: a guess.",
    # The back-flow test.
    "back_flow": "The level rose {rise_small_m} after the stop: {returned_m3} came back, of "
    "{line_m3} that the line holds.",
    "back_tight": "The valve holds.",
    "back_weeps": "The valve lets part of the line back; clean its seat and test again.",
    "back_stuck_open": "The line comes back: the valve is stuck open or missing.",
    "back_more_than_line": "More came back than the line holds: water runs in, the stone levels "
    "out with the insert, or a joined main drains back. Test again with the riser already empty.",
    "back_cannot_tell": "Cannot tell by level: even the whole line would raise it only "
    "{full_rise_small_m}, read to {error_small_m}. Count the starts of the pump, or read inside "
    "the insert before the stone levels out.",
    "back_could_be": "The reading is too coarse to rule out: {means}.",
    # Stone or valve; the other pit.
    "rise_twice": "After the usual stop the level rose {usual_small_m}, with the riser empty "
    "{empty_small_m}.",
    "rise_no_rise": "Neither stone nor valve gives anything back that can be read.",
    "rise_stone": "It is the stone levelling out with the insert, not the valve.",
    "rise_valve": "It came through the valve; clean its seat and test again.",
    "rise_both": "Of it {through_small_m} came through the valve, the rest is the stone levelling "
    "out.",
    "rise_cannot_tell": "The two rises are too small to part; read closer, or draw down faster.",
    "other_pit": "With the other pump running, {back_m3s} more ran into this pit than at rest, "
    "give or take {back_sd_m3s}.",
    "other_valve_leaks": "The main runs back through this pit's check valve; clean or replace it.",
    "other_valve_holds": "This pit's check valve holds against the main.",
    "other_cannot_tell": "The readings are too coarse to tell; let the other pump run longer.",
    "on_main": "Alone on the main the pump of {name} gives {alone_m3s}; with the others running "
    "{duty_m3s}.",
    "on_main_shut_out": "With the others running the main stands higher than the pump of {name} "
    "lifts; it gives nothing until they stop.",
    "main_runs": "With all running, every pump on the main still gives water.",
    "main_shut_out": "With all running, the main shuts a pump out.",
    "on_main_rests": "The pump of {name} rests; the main stands {main_level_m} above its floor.",
    # Soakage.
    "soakage_rate": "From {from_level_m} to {to_level_m} in {fall_s} the ground took {rate_ms}.",
    "soakage_full": "So the full pit, {full_level_m} deep, empties in {drain_s}, give or take "
    "{drain_sd_s}.",
    "soakage_at_20c": "With water of 20 C it would be {drain_s}: cold water soaks more slowly.",
    "soakage_limit": "The limit here is {drain_limit_s}, counted {means}. Source: {source}.",
    "soakage_told": "It drained in {drain_s}, as told.",
    "soakage_taken_as_limit": "Nobody wrote down from what level to what level; it is taken to "
    "count as the limit does.",
    "soakage_unstated": "Its source does not state how it counts; this time counts from a full pit "
    "until empty.",
    "soakage_to_level": "Down to the {stands_level_m} that may stay it takes {down_s}.",
    "soakage_as_if_full": "That takes the rain to end with the pit full; after a smaller storm it "
    "is empty sooner.",
    "soakage_unseen": "Nobody saw the lowest {lowest_level_m} drain; silt there makes it slower, "
    "so this is a shortest time.",
    "soakage_good": "Well within the limit.",
    "soakage_watch": "Near the limit; look again this season.",
    "soakage_act": "Over the limit; the pit is clogging.",
    # Silt.
    "silt_depth": "There are {silt_small_m} of silt; the sump is cleaned out above "
    "{limit_small_m}: {means}. Source: {source}.",
    "silt_good": "Room left in the sump.",
    "silt_watch": "Nearly full; clean it out at the next visit.",
    "silt_act": "Over the limit; clean it out now.",
    # Trends.
    "trend_drain": "By its build and {readings} the drain time grows by {growth_percent} a year; "
    "its limit is {drain_limit_s}.",
    "trend_silt": "By what runs in and {readings} the silt grows by {growth_small_m} a year; its "
    "limit is {limit_small_m}.",
    "trend_t10": "By {passed_on} the limit is passed with a chance of 1 in 10.",
    "trend_t50": "By {passed_on} it is passed as likely as not.",
    "trend_t90": "By {passed_on} it is passed with a chance of 9 in 10.",
    "trend_not_foreseeable": "Further than that cannot be foreseen.",
    # Storms.
    "storm_dead_pump": "With the pump dead the pit holds {six_rain_m} of rain in 6 h and "
    "{day_rain_m} in 24 h, off {roof_m2} of roof.",
    "storm_live_pump": "A sound pump keeps up with {five_rain_m} in 5 min and {hour_rain_m} in an "
    "hour.",
    "storm_live_any": "A sound pump keeps up with any rain on record.",
    "storm_was": "It rained {fell_rain_m} in {duration_s}.",
    "storm_pit_alone": "The pit alone takes this rain; the pump is not needed.",
    "storm_pump_keeps_up": "The pit needs its pump in this rain, and a sound pump keeps up.",
    "storm_larger": "Pump sound, storm larger than pit and pump.",
    "demand": "In {record_years} of daily rain the pit would have needed its pump about {needs} "
    "times a year; about {harms} of these storms a year would do harm with the pump dead.",
    "demand_month": "Most of the harm falls in {month}.",
    "demand_none": "No storm of the record would do harm here with the pump dead.",
    "demand_short": "The record is shorter than ten years, so rare storms are missing from it.",
    # The battery.
    "battery": "The battery runs the pump for {run_s} and lifts {lifted_m3}: that is "
    "{lasts_rain_m} of rain on {roof_m2} of roof.",
    "battery_clock": "At the present inflow that lasts {clock_s}.",
    # Warnings.
    "warning": "{event} ({severity}), until {expires_at}.",
    "warning_acts": "It calls for action.",
    "warning_not_actual": "It is an exercise, a test or a draft.",
    "warning_not_a_warning": "It acknowledges or reports an error; it warns of nothing.",
    "warning_cancels": "It only ends the messages it refers to.",
    "warning_ended": "A later message has ended or replaced it.",
    "warning_empty": "It says nothing of what is coming.",
    "warning_expired": "It has expired.",
    "warning_over": "It says that the danger is past.",
    "warning_not_listed": "Its event is not in the firm's list.",
    "warning_polygon": "The site lies in its polygon.",
    "warning_circle": "The site lies in its circle.",
    "warning_code": "The site's county or zone is in its list.",
    "warning_none": "The site lies outside it.",
}

# Words that stand for a stored code word.
MEANINGS: Mapping[str, str] = {
    "tight": "the valve holds",
    "weeps": "the valve lets part of the line back",
    "stuck_open": "the valve is stuck open or missing",
    "more_than_line": "other water comes in",
    "full>empty": "from a full pit until empty",
    "full>half": "from a full pit until half empty",
    "end_of_rain>empty": "from the end of rain until empty",
    "peak>empty": "from the highest level until empty",
    "full>level": "from a full pit until the level that may stay",
    "end_of_rain>level": "from the end of rain until the level that may stay",
    "peak>level": "from the highest level until the level that may stay",
    "unstated>unstated": "in a way its source does not state",
    "share_of_sump": "that share of the sump",
    "clearance_to_invert": "the clearance below the lowest pipe",
    "pump_intake": "just below the pump's intake",
}
