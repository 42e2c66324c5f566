"""Sentences kept as a key and plain values, told in English in either unit system on demand."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from drainservice.engine.result_texts import MEANINGS, QUANTITIES, RESULT_TEXTS
from drainservice.engine.units import UnitSystem, show

Plain = str | int | float | bool

# Written as an engineer says it; values in braces. A name's ending decides how it is written:
# _on a date, _share a chance, _days and _months and _years a time, _m3 and the like a quantity.
TEXTS: Mapping[str, str] = {
    "due": "{look} by {due_on}.",
    "season_and_age": "The wet season starts {season_on} and the last passed test will then be "
    "{age_days} old.",
    "season_and_look_age": "The wet season starts {season_on} and the last look will then be "
    "{age_days} old.",
    "season_and_never_seen": "The wet season starts {season_on} and nobody here has seen this pump "
    "run since it came to us.",
    "season_and_never_looked": "The wet season starts {season_on} and nobody has looked at this "
    "since it came to us.",
    "interval": "After {interval_months} from {base_on} it would be dead more often than accepted "
    "here.",
    "cap": "Nothing asks for it sooner; no look waits longer than {cap_days} after {base_on}.",
    "cap_anchored": "The last look, on {base_on}, was done ahead of its season, so the next comes "
    "before the next season, after {cap_days}.",
    "type_cap": "Your catalogue lets the {part} wait at most {cap_days}.",
    "rule": "It is asked for by then: {source}.",
    "never_looked_at": "Nobody has done this look since the system came to us on {base_on}.",
    "moved_by_frost": "{was_on} lies in hard frost, so it moves to {due_on}.",
    "trend_governs": "The last of {readings} was taken on {last_reading_on}; the chance that the "
    "limit is passed reaches 1 in 10 on {t10_on} and 1 in 2 on {t50_on}; the next look comes "
    "halfway to the first. Limit: {source}.",
    "trend_beside": "By its {readings} the limit is passed by {t10_on} with a chance of 1 in 10. "
    "Limit: {source}.",
    "first_look_settles": "{unknown_facts} about it would be settled.",
    "autumn_look": "Look by {due_on}, when the leaves are down, before the frost of {frost_on}.",
    "spring_look": "Look after the frost that ends {frost_on}, by {due_on}: ice moves lids, lines "
    "and floats.",
    "pump_is_down": "It was found dead on {since_on} and counts as dead until it is proven.",
    "dead_after_year": "The chance of finding this pump dead after a year without a test is "
    "{dead_share}.",
    "dead_after_year_with": "With {defects} the chance of finding this pump dead after a year "
    "without a test is {dead_share}.",
    "target": "Accepted here ({consequence}): dead {target_share} of the time.",
    "range": "Range for systems like this: {low} to {high_months}.",
    "own_history": "{tests_made} of this pump counted, {failures_found} among them.",
    "household_tests_count": "The household's quarterly bucket tests count.",
    "household_weighs_less": "Answers of this household proved wrong {wrong_times}, so they weigh "
    "less.",
    "flood_chance": "The chance a year of a dead pump and then a harmful storm is {flood_share}.",
    "many_storms": "It storms harmfully about {storms} times a year here, so one more test helps "
    "little: an alarm, a second pump, more storage or replacing the pump by age would.",
    "outage_floor": "The chance a year that a harmful storm takes the power is {outage_share}; no "
    "test lowers it, only a battery or a generator does.",
    "replace_pump": "The pump is {age_years} old and likelier to fail than accepted; replacing it "
    "is wise.",
    "too_many_starts": "It started {counted} times where the rain explains {expected}: a leaking "
    "valve, a stuck float or groundwater.",
    "stands_on_our_judgement": "The rates are our judgement.",
    "stands_on_your_answer": "The rates rest on your answer that {of_hundred} of 100 pumps do not "
    "pump in spring.",
    "stands_on_your_tests": "Based on {tests_made} of your own, {failures_found} among them.",
    "rates_are_judgement": "Failure rates are engineering judgement until {tests_made} of your "
    "own with {failures_found} exist.",
    "facts_unknown": "{unknown_facts} about this system are not known; they count as neither fine "
    "nor wrong.",
    "advice_only": "This date is advice; local code, the maker's instructions and licensed "
    "practice stand above it.",
    "mend": "The {part} has been down since {since_on}; mend and prove it by {due_on}.",
    "mend_defect": "This cannot wait: {defect}. Mend it by {due_on}.",
    "access": "The lid has not been reachable since {since_on}; make it reachable by {due_on}. "
    "Until then the system cannot be judged.",
    "would_lengthen": "{what} would stretch the pump's own interval to {interval_months}; due then "
    "{due_then_on}.",
}

LOOKS: Mapping[str, str] = {
    "pump": "Test the pump",
    "percolation": "Measure the drain time",
    "sediment": "Measure the sediment",
    "valve": "Test the check valve",
    "line": "Flush the line",
    "lid": "Look at the lid",
    "alarm": "Test the alarm",
    "battery": "Test the battery under load",
    "autumn": "Look before the frost",
    "spring": "Look after the frost",
    "first_look": "Have a first look",
}

CONSEQUENCES: Mapping[str, str] = {
    "yard": "yard only",
    "near_structure": "near a structure or patio",
    "living_space": "living space below grade",
    "flooded_before": "it has flooded before",
}

# The defect as found, and what mends it.
DEFECTS: Mapping[str, tuple[str, str]] = {
    "no_check_valve": ("no check valve", "a check valve"),
    "valve_leaks": ("a leaking check valve", "a tight check valve"),
    "valve_on_side": ("the valve lying on its side", "setting the valve upright"),
    "valve_upside_down": ("the valve hanging upside down", "setting the valve upright"),
    "valve_against_flow": ("the valve's arrow against the flow", "turning the valve round"),
    "valve_buried": ("the valve buried", "moving the valve into the pit"),
    "no_weep_hole": ("no weep hole", "drilling the weep hole"),
    "pump_on_loose_stone": ("the pump on loose stone", "a flat solid base under the pump"),
    "insert_not_supported": ("the insert not supported", "bedding the insert level"),
    "tee_joint": ("a tee at the main", "a wye in place of the tee"),
    "near_trees": ("large trees near", "no large trees near"),
    "runs_without_rain": ("the pump running without rain", "keeping that water out"),
    "lid_not_child_safe": ("the lid is not child-safe", "a locked lid"),
    "household_test": ("no bucket test", "a quarterly bucket test"),
}


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence: `key` names its text, `values` are its (name, plain value) pairs.

    Dates are ISO text, quantities SI numbers; nothing in it depends on language or unit system.
    """

    key: str
    values: tuple[tuple[str, Plain], ...] = ()


class SentenceUnknown(ValueError):
    """A stored sentence's key has no text any more."""


def tell(sentence: Sentence, system: UnitSystem = UnitSystem.TRADE) -> str:
    """The sentence in English. Raises SentenceUnknown where the key has no text."""
    text = TEXTS.get(sentence.key) or RESULT_TEXTS.get(sentence.key)
    if text is None:
        raise SentenceUnknown(f"There is no text for '{sentence.key}'; count it anew.")
    spoken = {name: _say(name, value, system) for name, value in sentence.values}
    spoken |= _counts(dict(sentence.values))
    told = text.format_map(spoken)
    return told[0].upper() + told[1:]


def tell_all(sentences: tuple[Sentence, ...], system: UnitSystem = UnitSystem.TRADE) -> str:
    """Several sentences as one paragraph."""
    return " ".join(tell(sentence, system) for sentence in sentences)


def say_date(on: date) -> str:
    """25 May 2027."""
    return f"{on.day} {on:%B %Y}"


def say_chance(share: float) -> str:
    """A chance as people say it: about 1 in 5; below one in a thousand, so."""
    if share >= 0.4:
        return f"about {round(share * 100)} in 100"
    return f"about 1 in {round(1 / share)}" if share > 0.001 else "below 1 in 1,000"


def _count(number: object, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def _counts(values: dict[str, Plain]) -> dict[str, str]:
    """Numbers with their noun, in the singular where there is one."""
    said = {
        "tests_made": _count(values.get("tests", 0), "test"),
        "failures_found": _count(values.get("failures", 0), "failure"),
        "unknown_facts": _count(values.get("unknown", 0), "fact"),
        "wrong_times": "once" if values.get("wrong") == 1 else f"{values.get('wrong', 0)} times",
        "low": str(values.get("low_months", "")),
    }
    if "readings" in values:
        said["readings"] = _count(values["readings"], "reading")
    return said


def _say(name: str, value: Plain, system: UnitSystem) -> str:
    words = _say_word(name, str(value))
    if words is not None:
        return words
    if isinstance(value, str | bool):
        return str(value)
    if name == "target_share":
        return f"at most {show(value, 'percent', system)}"
    if name.endswith("_share"):
        return say_chance(value)
    quantity = next((q for ending, q in QUANTITIES if name.endswith(ending)), "")
    if quantity:
        return show(value, quantity, system)
    for unit in ("day", "month", "year"):
        if name.endswith(f"_{unit}s"):
            return _count(value, unit)
    return str(value)


def _say_word(name: str, value: str) -> str | None:
    """Words that stand for a stored code word, None where the value is not one."""
    if name.endswith("_on"):
        return say_date(date.fromisoformat(value))
    if name == "defects":
        return _join([DEFECTS[kind][0] for kind in value.split(",") if kind in DEFECTS])
    if name == "defect":
        return DEFECTS[value][0] if value in DEFECTS else value.replace("_", " ")
    if name == "what":
        return DEFECTS[value][1] if value in DEFECTS else value.replace("_", " ")
    if name.endswith("_at"):
        moment = datetime.fromisoformat(value)
        return f"{say_date(moment.date())}, {moment:%H:%M} UTC"
    # A limit's source is a text, or the code word of the rule that governs it.
    tables = {"look": LOOKS, "consequence": CONSEQUENCES, "means": MEANINGS, "source": MEANINGS}
    table = tables.get(name)
    return table.get(value, value) if table is not None else None


def _join(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
