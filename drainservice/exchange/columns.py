# ruff: noqa: E501
"""Every fact a sheet can hold: its name, how its column may be called, its kind and possible range.

The names are subject.field with the unit at the end.  Ranges are what is possible at all
(judgement, no source); a value outside is refused, not mended.
"""

import itertools
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing to know.  `words` are whole headings in small letters, without unit or number."""

    name: str
    kind: (
        str  # names, phones, emails, address, text, notes, code, quantity, date, yesno, choice ...
    )
    words: tuple[str, ...] = ()
    dimension: str = ""
    low: float = 0.0
    high: float = 0.0
    future_ok: bool = False


def _each(subjects: str, fields: str) -> tuple[str, ...]:
    """Every subject with every field, in both orders: "pit depth", "depth of pit"."""
    pairs = list(itertools.product(_list(subjects), _list(fields)))
    return tuple(f"{a} {b}" for a, b in pairs) + tuple(f"{b} {a}" for a, b in pairs)


def _list(words: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in words.split(",") if word.strip())


_PIT = "pit, well, dry well, drywell, sump, basin, hole, sump pit, tank, chamber, catch basin"
_PUMP = "pump, sump pump, standby pump"
_VALVE = "valve, check valve, cv, chk valve, checkvalve, non return valve, backflow valve, ck valve, check vlv"
_LINE = "line, discharge, discharge line, outlet line, pipe, discharge pipe, outlet pipe, disch"
_INSERT = "insert, liner, barrel, basket, casing, ring, pit insert"
_DATED = "installed, install, installation, date installed, install date, installation date, installed on, put in, fitted"
_STONE = "stone, rock, aggregate, gravel, fill, backfill, drain rock"
_LID = "lid, cover, access, hatch, manhole"
_BACKUP = "backup, battery, battery backup, back up, standby power, backup power, bbu"


def _quantity(name: str, dimension: str, low: float, high: float, *words: tuple[str, ...]) -> Fact:
    return Fact(name, "quantity", tuple(itertools.chain(*words)), dimension, low, high)


FACTS: tuple[Fact, ...] = (
    Fact("household.names", "names", _list(
        "name, names, customer, customers, customer name, client, client name, homeowner, home owner, owner, "
        "owners, owner name, household, who, full name, resident, residents, account, account name, "
        "property owner, contact, contact name, contact person, family, bill to, cust, cust name, party, whose, "
        "people, person, occupant, last first, name last first, householder")),
    Fact("household.last_name", "last_name", _list("last, last name, surname, family name, lname, lastname")),
    Fact("household.first_name", "first_name", _list(
        "first, first name, given name, fname, firstname, first names, christian name, forename")),
    Fact("household.other_names", "names", _list(
        "spouse, partner, second name, co owner, other name, second owner, spouse name, 2nd owner, wife, husband")),
    Fact("household.tenant", "text", _list("tenant, renter, tenant name, lives there, occupied by")),
    Fact("household.phones", "phones", _list(
        "phone, phones, telephone, telephones, tel, cell, mobile, home phone, work phone, cell phone, ph, "
        "phone number, phone numbers, phone no, contact number, number to call, call, numbers, mobile phone, "
        "tel no, telephone number, contact phone, best phone, alt phone, other phone, phone home, phone cell, "
        "phone work, home, work, evening phone, day phone, daytime phone, reach at, fone, landline, cell no, "
        "cell number, second phone, phone other, main phone, telephone no, phone tel, telefon")),
    Fact("household.emails", "emails", _list(
        "email, emails, e mail, e mails, mail, email address, e mail address, email addresses, mail address, "
        "electronic mail, contact email, other email, alt email, emailaddress, mails")),
    Fact("household.language", "text", _list("language, speaks, lang, preferred language, spoken language")),
    Fact("household.channel", "text", _list("contact by, preferred contact, contact method, how to reach, prefers")),
    Fact("site.address", "address", _list(
        "address, street, street address, site address, site addr, property, property address, where, site, addr, "
        "service address, house, install address, job address, job site, jobsite, location address, addr 1, "
        "address line, address line 1, house address, street addr, physical address, location, place, "
        "site location, street name and number, house and street, premises, residence, project address, "
        "work address, installation address, where is it, adresse")),
    Fact("site.address_2", "text", _list("address 2, unit, apt, suite, address line 2, addr 2, unit no")),
    Fact("site.house_number", "text", _list("house no, house number, street no, street number, st no, hse no")),
    Fact("site.city", "text", _list("city, town, municipality, city town, community, village")),
    Fact("site.region", "text", _list("state, province, st, region")),
    Fact("site.postcode", "text", _list("zip, zip code, zipcode, postcode, postal code, postal")),
    Fact("site.county", "text", _list("county, jurisdiction, parish, district")),
    _quantity("site.lat", "degrees", -90, 90, _list("lat, latitude, gps lat")),
    _quantity("site.lon", "degrees", -180, 180, _list("lon, long, lng, longitude, gps lon, gps long")),
    Fact("site.gate_code", "text", _list("gate code, gate, code gate, entry code, access code")),
    Fact("site.has_dog", "yesno", _list("dog, dogs, dog in yard, pets, pet, animals")),
    Fact("site.access_note", "text", _list(
        "access notes, access note, access instructions, directions, how to get in, gate notes, site access, "
        "key, how to find it, directions to pit")),
    Fact("system.code", "code", _list(
        "id, no, nr, number, system id, system no, system number, cust no, customer no, customer id, customer number, "
        "acct, acct no, account no, account number, ref, reference, tag, lid code, file no, sys, sys no, sys id, "
        "job no, job number, record, record no, seq, line no, row, item, well no, well id, pit no, pit id, code, "
        "site no, site id, client id, client no, serial number of system, unit id, key no, index, n")),
    Fact("system.place", "text", _list(
        "place in yard, yard location, pit location, location of pit, which pit, position, spot, loc, "
        "where in yard, system, system name, which, location in yard, location on site, system location, "
        "well location, pit position, where on lot, placement, which system, which well, dry well, pit name, yard spot")),
    Fact("system.installed_on", "date", (*_list(
        "installed, install date, date installed, installation date, done, built, date built, install, installed on, "
        "installation, built on, completed, date completed, completion date, year, year installed, year built, "
        "put in, when, when installed, in service, in service date, date in, completed on, when built, built in, "
        "date done, when done, date put in, finished, handover, handover date, job date, date of install, "
        "date of installation, instl date, inst date, inst, commissioned, install year, installation year"),
        *_each("system, " + _PIT, _DATED))),
    Fact("system.installed_by", "text", _list("installed by, built by, installer, contractor, crew, put in by, foreman")),
    Fact("system.status", "status", _list("status, state of system, system status, active, in use, in service yn, is active")),
    Fact("system.consequence", "text", _list("protects, what it protects, consequence, risk, near, what is near, priority")),
    Fact("site.system_count", "count", _list(
        "pits, systems, number of pits, no of pits, number of systems, no of systems, how many pits, wells, "
        "number of wells, dry wells, drywells, qty, how many, count, quantity, no of wells, pit count, system count")),
    _quantity("pit.depth_m", "length", 0.15, 9.0, _list("depth, deep, how deep, total depth, dig depth, dug to, depth below grade"),
        _each(_PIT, "depth, deep")),
    _quantity("pit.width_m", "length", 0.15, 9.0, _list("width, wide"), _each(_PIT, "width, wide, diameter, dia, diam")),
    _quantity("pit.length_m", "length", 0.15, 15.0, _each(_PIT, "length, long")),
    Fact("pit.what", "pit", _list("pit, well, drywell, basin, sump, pit info, pit details, well details, pit description")),
    Fact("pit.size", "pit_size", (*_list("dimensions, dims, footprint, plan size"), *_each(_PIT, "size, dimensions, dims, footprint"))),
    _quantity("pit.plan_area_m2", "area", 0.02, 100.0, _list("plan area"), _each(_PIT, "area, plan area")),
    _quantity("pit.insert_diameter_m", "length", 0.1, 2.5, _list("insert, insert size"), _each(_INSERT, "diameter, dia, diam, size")),
    _quantity("pit.insert_height_m", "length", 0.1, 9.0, _each(_INSERT, "height, depth")),
    _quantity("pit.stone_size_m", "length", 0.001, 0.3, _each(_STONE, "size, dia, diameter")),
    _quantity("pit.stone_depth_m", "length", 0.02, 9.0, _each(_STONE, "depth")),
    Fact("pit.stone", "choice", (*_list(_STONE), *_each(_STONE, "type, kind"))),
    Fact("pit.fabric", "choice", _list(
        "fabric, geotextile, filter fabric, cloth, filter cloth, fabric type, liner fabric, lining, wrap, geotextile type, filter")),
    _quantity("pit.void_ratio", "fraction", 0.05, 0.98, _list("void ratio, voids, porosity")),
    _quantity("pit.volume_m3", "volume", 0.01, 100.0, _list("volume, capacity"), _each(_PIT, "volume, capacity, gallons")),
    Fact("pump.what", "pump", _list(
        "pump, pumps, pump type, pump model, pump size, pump make model, pump details, pump info, pump description, "
        "sump pump, standby pump, which pump, pump spec, pump class, pump make, model, make model, motor")),
    _quantity("pump.power_w", "power", 30.0, 5_000.0, _list("power, horsepower, hp, motor size, watts, wattage, pump hp, motor power, motor hp"),
        _each(_PUMP, "power, horsepower, hp, rating, watts, motor, wattage, kw")),
    _quantity("pump.flow_m3s", "flow", 5e-5, 0.03, _list("flow, flow rate, rate, gpm, capacity flow, gph, rated flow"), _each(_PUMP, "flow, rate, gpm, flow rate, capacity, rated flow, output")),
    _quantity("pump.head_m", "length", 0.3, 40.0, _list("head, tdh, total head, total dynamic head, rated head"), _each(_PUMP, "head, tdh")),
    Fact("pump.duty", "pump", _list("duty, duty point, pump curve, rated at, gpm at head, flow at head, pump duty, curve")),
    Fact("pump.serial", "text", _list("serial, serial no, serial number, sn, pump serial, pump serial no, pump serial number, pump sn")),
    Fact("pump.installed_on", "date", (*_list("pump date, pump year, pump replaced, pump replaced on, new pump, pump changed, pump since"), *_each(_PUMP, _DATED))),
    Fact("pump.supplied_by", "choice", _list("pump supplied by, supplied by, pump supplier, pump from, who supplied pump, pump bought by, pump source, provided by, pump provided by, pump by")),
    Fact("pump.base", "choice", _list("base, pump base, pump sits on, pump stands on, pump on, stand, pump stand, set on, sits on, stands on, pump support, foundation, pump set on, pump foundation")),
    Fact("pump.float", "text", _list("float, float type, switch, float switch, switch type, pump switch")),
    _quantity("pump.on_level_m", "length", 0.0, 5.0, _list("on level, float on, pump on level, start level, switch on level")),
    _quantity("pump.off_level_m", "length", 0.0, 5.0, _list("off level, float off, pump off level, stop level, switch off level")),
    Fact("valve.what", "valve", (*_list(_VALVE), *_each(_VALVE, "type, details, present"))),
    Fact("valve.present", "yesno", _each(_VALVE, "yn, y n, fitted")),
    Fact("valve.attitude", "valve_attitude", _each(_VALVE, "position, orientation, attitude, laid, mounted, how laid, lies")),
    Fact("valve.place", "valve_place", _each(_VALVE, "place, location, where, in pit")),
    _quantity("valve.size_m", "length", 0.01, 0.2, _each(_VALVE, "size, diameter, dia")),
    Fact("weep_hole.present", "weep_hole", _list("weep hole, weephole, weep, weep holes, relief hole, vent hole, weep hole drilled, air hole, anti airlock hole, anti air lock hole")),
    _quantity("weep_hole.diameter_m", "length", 0.001, 0.05, _each("weep hole, weephole", "size, diameter, dia")),
    Fact("line.end", "line_end", (*_list(
        "outlet, ends, ends at, discharges to, discharge to, goes to, outfall, drains to, termination, empties to, "
        "discharge, discharge point, emitter, line ends, end of line, discharge end, where it ends, discharges, "
        "pops up, daylight, outlet type, outlet at, line end, terminates, terminates at, runs to, disch"),
        *_each(_LINE, "end, ends, ends at, goes to, to, type, outlet, location"))),
    Fact("line.joint", "line_joint", _list("joint, connection, wye tee, tee wye, joins by, tie in, wye or tee, tee or wye, join, fitting, joins main by, connection type, tied in by, connects by, junction")),
    _quantity("line.lift_m", "length", 0.0, 30.0, _list("lift, rise, static lift, vertical lift, vertical"), _each(_LINE, "lift, rise")),
    _quantity("line.diameter_m", "length", 0.01, 0.5, _list("pipe size, pipe"), _each(_LINE, "diameter, dia, size, diam")),
    _quantity("line.length_m", "length", 0.1, 500.0, _list("run, pipe run"), _each(_LINE, "length, long, run")),
    Fact("line.material", "text", _each(_LINE, "material")),
    Fact("access.kind", "text", (*_list("lid, cover"), *_each(_LID, "type, kind, material"))),
    Fact("access.covered_by", "text", _list("lid covered by, covered by, lid under, under what, lid location, where is lid, lid is under, lid where, buried under")),
    _quantity("access.size_m", "length", 0.1, 2.0, _each(_LID, "size, diameter, dia")),
    Fact("backup.kind", "backup", (*_list(_BACKUP), *_each(_BACKUP, "type, kind"))),
    Fact("backup.installed_on", "date", (*_list("battery date, battery age, battery replaced"), *_each(_BACKUP, _DATED))),
    Fact("alarm.present", "yesno", _list("alarm, high water alarm, alarms, water alarm, alarm yn, alarm fitted, high level alarm, alarm installed")),
    _quantity("roof.area_m2", "area", 1.0, 5_000.0, _list("roof area, roof, area drained, catchment, drained area, catchment area")),
    Fact("site.downspout_count", "count", _list("downspouts, downspout count, no of downspouts, number of downspouts, spouts, ds")),
    Fact("agreement.kind", "text", _list("agreement, plan, service plan, maintenance plan, contract, care plan, service contract, agreement type, covered, maintenance contract")),
    Fact("agreement.looks_per_year", "count", _list("looks a year, visits a year, visits per year, looks per year, times a year, frequency, visits yr")),
    Fact("agreement.starts_on", "date", _list("agreement starts, plan start, contract start, agreement start, contract from"), future_ok=True),
    Fact("agreement.ends_on", "date", _list("agreement ends, plan end, contract end, expires, agreement end, renewal, renewal date, contract to, contract expires"), future_ok=True),
    Fact("pump.warranty_ends_on", "date", _list("warranty, warranty ends, warranty to, warranty until, pump warranty, warranty expires, warranty end"), future_ok=True),
    Fact("inspection.on", "date", _list(
        "inspected, inspection date, date inspected, inspected on, visited, date of visit, visit, visit date, date visited, "
        "inspection, last inspection, last visit, checked, date checked, checked on, last checked, last inspected, serviced, "
        "service date, date serviced, last service, last serviced, date of inspection, visited on, seen, last seen, seen on, "
        "look, date looked, looked at, tested, test date, date tested, day, last look, on site, on, date of service, service, call date")),
    Fact("inspection.next_on", "date", _list("next, next visit, next inspection, next due, due, due date, next service, next look, follow up, followup date"), future_ok=True),
    Fact("inspection.by", "text", _list("by, tech, technician, inspected by, inspector, done by, who went, checked by, initials, visited by, serviced by, seen by")),
    _quantity("inspection.sediment_m", "length", 0.0, 3.0, _list(
        "silt, sediment, silt depth, sediment depth, mud, muck, silt level, sludge, sludge depth, depth of silt, depth of sediment, "
        "mud depth, muck depth, sand, silt in pit, sediment in pit, silt found, silt at bottom, sediment level, sed, debris, debris depth, silt build up, buildup")),
    _quantity("inspection.drain_time_s", "time", 60.0, 5_184_000.0, _list(
        "drain time, empty after, drained in, drains in, time to drain, time to empty, drain, empties in, emptied in, emptied after, "
        "drain down, draindown, draw down, drawdown, drawdown time, drain down time, water gone after, dry after, gone after, hours to drain, "
        "empty in, drained after, percolation time, perc time, perc, perc test, infiltration time, draining time, drained, time empty, "
        "hrs to drain, hours to empty, drain hrs, drain hours, emptying time, took to drain, went down in, drain test")),
    Fact("inspection.pump_ran", "ran", (*_list(
        "pump ran, pump ok, pump runs, pump works, pump tested, ran, ran ok, pump test, runs, pump running, pump working, pump good, "
        "pump status, pump condition, did pump run, pump start, pump started, pump function, pump operates, test run, pump check, works, "
        "pump run, pump starts, pump tested ok, pump operational, pump alive, float test, pump on test, pump state, pump result"),)),
    _quantity("inspection.water_level_m", "length", 0.0, 9.0, _list("water level, water depth, standing water, level on arrival, water, water in pit, depth of water")),
    _quantity("inspection.flow_m3s", "flow", 0.0, 0.03, _list("measured flow, flow measured, outlet flow, flow at outlet")),
    _quantity("inspection.pump_down_s", "time", 1.0, 86_400.0, _list("pump down time, pump down, pumpdown, pump down seconds, time to pump down")),
    _quantity("inspection.current_a", "current", 0.1, 60.0, _list("amps, current, amp draw, pump amps, amperage")),
    _quantity("inspection.voltage_v", "voltage", 50.0, 500.0, _list("volts, voltage")),
    Fact("notes", "notes", _list(
        "notes, note, remarks, remark, comments, comment, memo, misc, other, details, observations, findings, description, "
        "what we found, extra, info, information, special notes, site notes, tech notes, observation, work done, found, "
        "action taken, additional notes, general, other notes, instructions, things to know, condition, problems, issues, defects, what, what was done, what we did, result, results, outcome, history, work performed, work, summary, special instructions, gate dog notes, anything else")),
)  # fmt: skip

BY_NAME = {fact.name: fact for fact in FACTS}
# What a heading means depends on its neighbours: a date in a log is the inspection's.
DATE_WORDS = frozenset(
    {"date", "dates", "date of", "dt", "on date", "mo yr", "day date", "mm dd yyyy"}
)
SIZE_WORDS = frozenset({"size", "sizes"})
PLACE_WORDS = frozenset({"location", "place", "where", "site", "site location", "property"})
CHANGES_WITH_VISIT = "inspection."
