"""What remarks say of now; not of the past, of wishes, or of the neighbour's (phrases invented)."""

from datetime import date

import pytest

from drainservice.exchange.remarks import read_remarks

TODAY = date(2025, 11, 3)
SAID = {
    "check valve laying flat": {"valve.attitude": "on_its_side"},
    "valve is on its side": {"valve.attitude": "on_its_side"},
    "CV sideways": {"valve.attitude": "on_its_side"},
    "valve upright": {"valve.attitude": "upright"},
    "check valve is backwards": {"valve.arrow": "against_flow"},
    "check valve buried": {"valve.place": "buried"},
    "NO check valve": {"valve.present": False},
    "NO check valve. Pump replaced 2020": {"valve.present": False, "pump.installed_on": "2020"},
    "pump replaced 6/2021, tee'd into main": {"line.joint": "tee", "pump.installed_on": "2021-06"},
    "check valve laying flat, pump replaced 2020": {
        "valve.attitude": "on_its_side",
        "pump.installed_on": "2020",
    },
    "no weep hole": {"weep_hole.present": False},
    "weep hole never drilled": {"weep_hole.present": False},
    "weep hole 3/16 drilled at handover": {"weep_hole.present": True},
    "customer supplied pump": {"pump.supplied_by": "customer"},
    "cust bought own pump": {"pump.supplied_by": "customer"},
    "pump supplied by homeowner": {"pump.supplied_by": "customer"},
    "pump sits on loose rock": {"pump.base": "loose_stone"},
    "pump set on concrete block": {"pump.base": "solid"},
    "tees into neighbors main": {"line.joint": "tee"},
    "joined with a wye": {"line.joint": "wye"},
    "pops up at curb": {"line.end": "pop_up"},
    "discharge daylights at ditch": {"line.end": "daylight"},
    "shared main with number 12": {"line.end": "shared_main"},
    "landscape fabric round the pit": {"pit.fabric": "landscape"},
    "non-woven geotextile": {"pit.fabric": "non_woven"},
    "backfilled with pea gravel": {"pit.stone": "small"},
    "battery backup in garage": {"backup.kind": "battery"},
    "no battery backup": {"backup.kind": "none"},
    "high water alarm in garage": {"alarm.present": True},
    "no alarm": {"alarm.present": False},
    "lid is under the pavers by the grill": {"access.covered_by": "pavers"},
    "dog in yard - call first": {"site.has_dog": True},
    "tenant opens the gate": {"site.tenanted": True},
    "new pump May 2021": {"pump.installed_on": "2021-05"},
}
NOT_SAID = [
    "valve was on its side, fixed upright 2022",
    "valve on its side - fixed 2021",
    "valve was on its side. Fixed 2021.",
    "Valve not on its side",
    "old check valve laying flat was replaced",
    "is the valve flat?",
    "check valve on flat stone",
    "neighbor's check valve is on its side",
    "no check valve issues",
    "check valve missing, installed one 2021",
    "needs a check valve",
    "needs weep hole",
    "wants battery backup",
    "was on loose rock, now on paver",
    "pump was sitting on gravel. Fixed.",
    "replaced tee with wye",
    "maybe pea gravel",
    "gate code 4417",
    "=1+1 visits",
]
UNSURE = {
    "valve was laying flat": "valve.attitude",
    "sold house 2020": "household.names",
    "system abandoned": "system.status",
    "2 pits": "site.system_count",
    "do not call": "household.channel",
    "pea gravel at first. Non-woven fabric. Weed barrier fabric": "pit.fabric",
}


@pytest.mark.parametrize("text", SAID)
def test_facts_of_the_present_are_read(text):
    said, _ = read_remarks(text, today=TODAY)

    assert {each.fact: each.value for each in said} == SAID[text]
    assert all(each.words in text.lower() for each in said)


@pytest.mark.parametrize("text", NOT_SAID)
def test_past_wishes_doubts_and_neighbours_are_not(text):
    said, unsure = read_remarks(text, today=TODAY)

    assert (said, unsure) == ([], [])


@pytest.mark.parametrize("text", UNSURE)
def test_words_that_need_a_person_are_handed_on(text):
    said, unsure = read_remarks(text, today=TODAY)

    assert UNSURE[text] in {each.fact for each in unsure}
    assert UNSURE[text] not in {each.fact for each in said}


def test_measures_inside_remarks_are_read():
    said, _ = read_remarks('pit is 4\'6" deep; 1/3 hp pump; weep hole 3/16" drilled', today=TODAY)
    facts = {each.fact: each.value for each in said}

    assert facts["pit.depth_m"] == pytest.approx(1.3716)  # 54 in
    assert facts["pump.power_w"] == pytest.approx(248.566624)
    assert facts["weep_hole.diameter_m"] == pytest.approx(0.0047625)  # 3/16 x 0.0254
