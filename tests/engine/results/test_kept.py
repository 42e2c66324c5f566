"""Every result says in words and either unit system what it used and why, and is counted again."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

import drainservice.engine.results as results
from drainservice.engine.explain import Sentence, tell
from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.due_dates import CountedByAnotherModel
from drainservice.engine.interval.plain import StoredFormUnreadable
from drainservice.engine.rainfall.warning import Judgement
from drainservice.engine.rainfall.warning_xml import WarningFileUnreadable
from drainservice.engine.result_texts import RESULT_TEXTS
from drainservice.engine.results import kept
from drainservice.engine.results.kept import (
    KINDS,
    ResultUnknown,
    keep_result,
    read_result,
    replay_result,
)
from drainservice.engine.soakage.drain_time import (
    END_OF_RAIN_TO_EMPTY,
    UNSTATED,
    CountsFrom,
    CountsTo,
    Definition,
    DefinitionsDiffer,
)
from drainservice.engine.soakage.rate import OneReadingIsNotEnough
from drainservice.engine.units import GPM_M3S, INCH_M, UnitSystem
from tests.engine.results.samples import SAMPLES

TRADE_WORDS = re.compile(r"\d (in|ft|ft²|gal|gpm|in/h)\b")
METRIC_WORDS = re.compile(r"\d (mm|m|m²|L|L/min|mm/h)\b")


def through_json(result):
    return json.loads(json.dumps(result.as_stored(), allow_nan=False))


def test_every_kind_has_a_sample():
    assert set(SAMPLES) == set(KINDS)


@pytest.mark.parametrize("what", KINDS)
def test_a_stored_result_counts_the_same_again(what):
    first = keep_result(what, SAMPLES[what])

    again = replay_result(through_json(first))

    assert again == first
    assert again.model_version == MODEL_VERSION


@pytest.mark.parametrize("what", [w for w in KINDS if w != "warning"])
def test_words_are_in_the_units_of_the_reader(what):
    result = keep_result(what, SAMPLES[what])

    # A chance of 1 in 1,000 is no inch.
    trade, metric = (re.sub(r"[19] in [\d,]+", "", result.tell(system)) for system in UnitSystem)

    assert not METRIC_WORDS.search(trade)
    assert not TRADE_WORDS.search(metric)
    if what not in (
        "demand",
        "drain_trend",
        "told_drain",
    ):  # times and storms a year are the same in both
        assert TRADE_WORDS.search(trade)
        assert METRIC_WORDS.search(metric)


@pytest.mark.parametrize("what", KINDS)
def test_what_was_stored_is_told_as_it_was_whatever_model_counts_now(what, monkeypatch):
    first = keep_result(what, SAMPLES[what])
    stored = through_json(first)

    monkeypatch.setattr(kept, "MODEL_VERSION", "2040.1-1")

    assert read_result(stored).tell() == first.tell()
    with pytest.raises(CountedByAnotherModel, match=f"counted by model {MODEL_VERSION}"):
        replay_result(stored)


def test_a_pump_test_names_everything_it_used():
    told = keep_result("pump_test", SAMPLES["pump_test"]).tell()

    # 8.285 ft2 x 8 in = 41.3 gal in 82 s = 30.2 gpm; the same in 240 s = 10.3 gpm ran in.
    assert told.startswith(
        "Over 8.3 ft² of water the level fell 8 in in 82 s; with 10.3 gpm running in, 40.6 gpm "
        "left the pit"
    )
    assert "As strong as when new." in told
    assert "the weep hole gives" in told.lower()
    assert "most uncertain is the area" in told


def test_a_weak_pump_is_named_as_such():
    sample = SAMPLES["pump_test"]
    slow = replace(sample.test, pump_time_s=replace(sample.test.pump_time_s, value=300.0))

    result = keep_result("pump_test", replace(sample, test=slow))

    assert result.verdict == "act"
    assert "Too weak for this lift; mend or replace." in result.tell()


def test_a_back_flow_too_coarse_to_tell_says_why():
    sample = SAMPLES["back_flow"]

    told = keep_result("back_flow", replace(sample, line_volume_m3=0.0048)).tell()

    # 4.8 L over 0.771 m2 is 6.2 mm, less than three times 6.4 mm.
    assert "Cannot tell by level: even the whole line would raise it only 0.25 in" in told


def test_a_reading_beside_a_line_says_what_else_it_could_be():
    sample = SAMPLES["back_flow"]

    told = keep_result("back_flow", replace(sample, rise_m=1.6 * INCH_M)).tell()

    # 1.6 of 3.36 in is 0.48 +- 0.07: one sd more and the valve is open.
    assert "too coarse to rule out: the valve is stuck open or missing." in told


def test_silt_follows_its_rule_and_its_intake():
    sample = SAMPLES["silt"]
    dry = replace(sample, intake_height_m=None)

    assert keep_result("silt", sample).verdict == "act"
    assert keep_result("silt", dry).verdict == "good"  # 3 of 6 in
    assert keep_result("silt", replace(dry, silt_m=5 * INCH_M)).verdict == "watch"
    assert keep_result("silt", replace(dry, silt_m=6 * INCH_M)).verdict == "watch"
    assert keep_result("silt", replace(dry, sump_depth_m=5 * INCH_M)).verdict == "act"


def test_a_limit_that_counts_otherwise_is_not_compared():
    sample = SAMPLES["soakage"]
    other = replace(sample.limit, definition=END_OF_RAIN_TO_EMPTY)

    with pytest.raises(DefinitionsDiffer, match="measure or restate"):
        keep_result("soakage", replace(sample, limit=other))


def test_a_storm_larger_than_pit_and_pump_is_a_verdict():
    sample = SAMPLES["storm"]

    assert keep_result("storm", replace(sample, rain_m=6 * INCH_M)).verdict == "larger"
    assert keep_result("storm", replace(sample, rain_m=0.1 * INCH_M)).verdict == "pit_alone"
    assert "storm larger than pit and pump" in (
        keep_result("storm", replace(sample, rain_m=6 * INCH_M)).tell()
    )


def test_a_trend_tells_its_growth_and_its_days():
    told = keep_result("drain_trend", SAMPLES["drain_trend"]).tell()

    assert told.startswith("By its build and 4 readings the drain time grows by")
    assert "its limit is 72 h." in told
    assert "passed with a chance of 1 in 10." in told


def test_a_trend_that_cannot_be_foreseen_says_so():
    sample = SAMPLES["silt_trend"]
    flat = replace(sample.prior, slope_mean=-0.001, slope_sd=0.0001)

    told = keep_result("silt_trend", replace(sample, readings=(), prior=flat)).tell()

    assert told.endswith("Further than that cannot be foreseen.")


def test_a_warning_elsewhere_is_passed_over():
    sample = replace(SAMPLES["warning"], site_codes=("012086",), latitude=25.0, longitude=-80.0)

    result = keep_result("warning", sample)

    assert result.verdict == "pass_over"
    assert result.tell().endswith("The site lies outside it.")


def test_a_battery_tells_its_hours_as_inches_of_rain():
    assert "that is 1.81 in of rain on 1,000 ft² of roof" in (
        keep_result("battery", SAMPLES["battery"]).tell()
    )


def test_a_limit_from_the_end_of_rain_is_met_on_an_assumption_that_is_said():
    sample = SAMPLES["soakage"]
    limit = replace(sample.limit, definition=END_OF_RAIN_TO_EMPTY)

    plain = keep_result("soakage", sample)
    like = keep_result("soakage", replace(sample, limit=limit, takes_rain_to_end_full=True))

    assert dict(like.outputs)["judged_s"] == dict(plain.outputs)["drain_s"]
    assert "counted from the end of rain until empty" in like.tell()
    assert "That takes the rain to end with the pit full" in like.tell()
    assert "taken" not in plain.tell()
    assert "takes the rain" not in plain.tell()


def test_a_limit_down_to_a_level_counts_only_so_far():
    sample = SAMPLES["soakage"]
    to_6_in = Definition(CountsFrom.END_OF_RAIN, CountsTo.LEVEL, to_level_m=6 * INCH_M)
    limit = replace(sample.limit, definition=to_6_in)

    found = keep_result("soakage", replace(sample, limit=limit, takes_rain_to_end_full=True))

    # Falling head over bottom and walls: t ~ ln[(h1 + A/x) / (h2 + A/x)] with A/x = 1 ft for a
    # 4 ft square pit. All of 3.5 ft: ln(4.5 / 1) = 1.504; down to 0.5 ft: ln(4.5 / 1.5) = 1.099.
    out = dict(found.outputs)
    assert out["judged_s"] / out["drain_s"] == pytest.approx(1.0986 / 1.5041, rel=1e-3)
    assert "Down to the 6 in that may stay" in found.tell()


def test_an_unstated_limit_and_a_told_time_say_what_is_assumed():
    sample = SAMPLES["soakage"]
    unstated = keep_result(
        "soakage", replace(sample, limit=replace(sample.limit, definition=UNSTATED))
    )

    assert "this time counts from a full pit until empty" in unstated.tell()
    assert keep_result("told_drain", SAMPLES["told_drain"]).tell() == (
        "It drained in 3.3 days, as told. The limit here is 72 h, counted from a full pit until "
        "empty. Source: New Jersey BMP manual ch. 9.3. Nobody wrote down from what level to what "
        "level; it is taken to count as the limit does. Over the limit; the pit is clogging."
    )


def test_a_limit_of_silt_is_named_in_words_in_a_reason():
    reason = Sentence(
        "trend_beside", (("readings", 2), ("t10_on", "2029-05-01"), ("source", "pump_intake"))
    )

    assert tell(reason).endswith("Limit: just below the pump's intake.")


def test_impossible_inputs_keep_their_own_words():
    sample = SAMPLES["soakage"]
    with pytest.raises(OneReadingIsNotEnough):
        keep_result("soakage", replace(sample, seconds=(0.0,), depths_m=(1.0,)))
    with pytest.raises(ImpossibleAmount):
        keep_result("back_flow", replace(SAMPLES["back_flow"], rise_m=-0.1))
    with pytest.raises(WarningFileUnreadable):
        keep_result("warning", replace(SAMPLES["warning"], text="<alert><info>"))


def test_an_unknown_result_or_form_is_refused_in_words():
    stored = through_json(keep_result("main", SAMPLES["main"]))
    muddled = json.loads(json.dumps(stored))
    muddled["inputs"]["pits"][0]["sections"][0]["friction"] = {"f": 0.02}

    with pytest.raises(ResultUnknown, match="No result is called 'weather'"):
        keep_result("weather", None)
    with pytest.raises(ResultUnknown, match="takes SiltInput"):
        keep_result("silt", SAMPLES["main"])
    with pytest.raises(StoredFormUnreadable, match="no single form has the fields"):
        read_result(muddled)
    with pytest.raises(StoredFormUnreadable, match="does not say what it is"):
        read_result({})


def test_a_field_that_came_later_takes_its_default():
    stored = through_json(keep_result("silt", SAMPLES["silt"]))
    del stored["inputs"]["rule"]

    assert replay_result(stored).verdict == "act"


def test_every_sentence_a_result_speaks_has_a_text():
    source = "".join(p.read_text() for p in Path(results.__file__).parent.glob("*.py"))
    spoken = set(re.findall(r'sentence\(\s*"(\w+)"', source))
    # Keys made of a stem and a verdict are all told below.
    assert len(spoken) > 20
    assert spoken <= set(RESULT_TEXTS)
    assert {f"warning_{one.name.lower()}" for one in Judgement} <= set(RESULT_TEXTS)


@pytest.mark.parametrize("key", RESULT_TEXTS)
@pytest.mark.parametrize("system", UnitSystem)
def test_every_text_can_be_told(key, system):
    names = re.findall(r"{(\w+)}", RESULT_TEXTS[key])
    words = {"means", "cause", "source", "event", "severity", "month", "name"}
    values = {n: "tight" if n in words else 1.5 for n in names}
    values |= {n: "2027-05-25T12:00:00+00:00" for n in names if n.endswith("_at")}
    values |= {n: "2027-05-25" for n in names if n.endswith("_on")}
    values |= {n: 11 for n in names if n.endswith("_years")}

    told = tell(Sentence(key, tuple(values.items())), system)

    assert "{" not in told
    assert told[0].isupper() or told[0].isdigit()
    assert told.endswith(".")


def test_what_is_odd_about_a_duty_is_said():
    sample = SAMPLES["pump_test"]
    # A riser of 2 in carries too little speed for its flap; a curve known only to 10 gpm; no hole.
    riser, lateral = sample.system.sections
    wide = replace(riser, inside_diameter_m=3.068 * INCH_M)
    known = replace(sample.system.pumps[0], largest_flow_m3s=10 * GPM_M3S)
    system = replace(sample.system, sections=(wide, lateral), pumps=(known,), weep_hole_m=0.0)

    told = keep_result("pump_test", replace(sample, system=system)).tell()

    assert "its flap may chatter" in told
    assert "beyond the last point of the pump's curve: a guess" in told
    assert "weep hole" not in told


def test_a_pump_that_the_main_shuts_out_is_named():
    sample = SAMPLES["main"]
    drive = sample.pits[0]
    weak = replace(
        drive,
        name="patio",
        pumps=(drive.pumps[0].at_speed(0.6),),
        invert_above_floor_m=drive.pumps[0].at_speed(0.6).shutoff_head_m + 0.1,
    )

    result = keep_result("main", replace(sample, pits=(drive, drive, weak)))

    assert result.verdict == "shut_out"
    assert "stands higher than the pump of patio lifts" in result.tell()


def test_a_season_without_harm_and_a_short_record_are_said():
    sample = SAMPLES["demand"]
    dry = tuple((day, 0.0) for day, _ in sample.rain[: 3 * 365])

    told = keep_result("demand", replace(sample, rain=dry)).tell()

    assert "No storm of the record would do harm here" in told
    assert "shorter than ten years" in told


def test_a_pit_without_pump_or_beaten_by_no_rain_is_told_so():
    sample = SAMPLES["capacity"]
    bare = replace(sample.catchment, pumps=())
    huge = replace(sample.catchment, pumps=(replace(sample.catchment.pumps[0], flow_m3s=9.0),))
    tiny = replace(huge, roof_area_m2=0.5)

    assert "sound pump" not in keep_result("capacity", replace(sample, catchment=bare)).tell()
    assert "keeps up with any rain on record" in (
        keep_result("capacity", replace(sample, catchment=tiny)).tell()
    )


def test_a_warning_without_a_block_still_says_why_it_is_passed_over():
    sample = SAMPLES["warning"]
    start, end = sample.text.index("<info>"), sample.text.index("</info>") + len("</info>")

    result = keep_result("warning", replace(sample, text=sample.text[:start] + sample.text[end:]))

    assert (result.verdict, result.tell()) == (
        "pass_over",
        "It says nothing of what is coming.",
    )


def test_soakage_seen_to_the_end_without_a_temperature_says_less():
    sample = SAMPLES["soakage"]
    to_the_end = replace(sample, depths_m=(0.9, 0.0), temperature_c=None)

    told = keep_result("soakage", to_the_end).tell()

    assert "Nobody saw" not in told
    assert "20 C" not in told
    assert "At the present inflow" not in (
        keep_result("battery", replace(SAMPLES["battery"], running_share=1.0)).tell()
    )


def test_other_pit_readings_too_coarse_are_said_to_be():
    sample = SAMPLES["other_pit"]
    coarse = replace(sample.while_other_runs_ms, sd=1e-3)

    told = keep_result("other_pit", replace(sample, while_other_runs_ms=coarse)).tell()

    assert told.endswith("let the other pump run longer.")
