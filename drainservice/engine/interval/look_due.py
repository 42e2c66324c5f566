"""Due dates of the looks that have no failure rate of their own."""

from datetime import date, timedelta

from drainservice.engine.asbuilt.check import asks_of, defects_of
from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.finding import DefectKind
from drainservice.engine.explain import Sentence
from drainservice.engine.interval.date_reason import date_sentences, due_sentence
from drainservice.engine.interval.dating import Ask, Dated, date_look
from drainservice.engine.interval.due import Candidate, DueDate, DueKind, GovernedBy, StandsOn
from drainservice.engine.interval.facts import LookKind, Origin, SystemFacts, Trend
from drainservice.engine.interval.pump_belief import last_done

ADVICE = (Sentence("advice_only"),)


def looks_due(facts: SystemFacts, can_be_judged: bool) -> list[DueDate]:
    """One due date per kind of look that applies to this system, pump, autumn and spring aside."""
    kinds = [kind for kind, applies in _kinds(facts).items() if applies]
    dues = [_look_due(facts, kind, can_be_judged) for kind in kinds]
    if facts.origin is Origin.ADOPTED and last_done(facts, LookKind.FIRST_LOOK) is None:
        dues.append(_first_look_due(facts, can_be_judged))
    return dues


def _kinds(facts: SystemFacts) -> dict[LookKind, bool]:
    built = facts.as_built[-1].facts
    has_pump = facts.pump is not None
    return {
        LookKind.PERCOLATION: True,
        LookKind.SEDIMENT: True,
        LookKind.VALVE: has_pump and not built.valve_is_present.holds(False),
        LookKind.LINE: has_pump,
        LookKind.LID: True,
        LookKind.ALARM: has_pump and built.has_alarm.holds(True),
        LookKind.BATTERY: has_pump and built.has_backup.holds(True),
    }


def _cap_days(facts: SystemFacts, kind: LookKind) -> int:
    cadence = facts.settings.cadence
    days = {
        LookKind.PERCOLATION: cadence.percolation_days,
        LookKind.SEDIMENT: cadence.sediment_days,
        LookKind.VALVE: cadence.valve_days,
        LookKind.LINE: cadence.line_days,
        LookKind.LID: cadence.lid_days,
        LookKind.ALARM: cadence.alarm_days,
        LookKind.BATTERY: cadence.battery_days,
    }
    if kind is LookKind.LINE and _line_clogs_sooner(facts.as_built[-1].facts):
        return min(cadence.line_days, cadence.line_days_with_trees)
    return days[kind]


def _line_clogs_sooner(built: AsBuilt) -> bool:
    kinds = {f.kind for f in defects_of(built)}
    return bool(kinds & {DefectKind.NEAR_TREES, DefectKind.TEE_JOINT})


def ask_of(facts: SystemFacts, kind: LookKind, cap_days: int) -> Ask:
    """What one kind without a rate is dated from.

    Seasons count by gap: done within `gap_days_other` before a season it counts for it. A line is
    flushed on its own cycle, whatever the season.
    """
    done_on = last_done(facts, kind)
    base_on = facts.origin_on if done_on is None else done_on
    gap = facts.settings.gap_days_other

    def season_needs(start: date, end: date) -> bool:
        return kind is not LookKind.LINE and (start - base_on).days > gap

    trends = tuple(trend_candidate(t) for t in facts.trends if t.kind is kind)
    return Ask(kind, base_on, done_on is not None, trends, cap_days, season_needs)


def trend_candidate(trend: Trend) -> Candidate:
    """Half of the time from the last reading to t10, counted from that reading.

    The P-F rule: at least two looks fall between a sign and the failure. From today it would
    recede every night. NAVAIR 00-25-403 (2005) for the rule; the use of t10 is judgement.
    """
    ahead = max(0, (trend.t10_on - trend.last_reading_on).days)
    on = trend.last_reading_on + timedelta(days=ahead // 2)
    return Candidate(GovernedBy.TREND, on, trend.limit_source)


def _look_due(facts: SystemFacts, kind: LookKind, can_be_judged: bool) -> DueDate:
    ask = ask_of(facts, kind, _cap_days(facts, kind))
    dated = date_look(ask, facts)
    trend = next((t for t in facts.trends if t.kind is kind), None)
    governed_by_trend = trend is not None and dated.governed_by is GovernedBy.TREND
    return DueDate(
        kind=DueKind(kind),
        due_on=dated.due_on,
        opens_on=dated.opens_on,
        governed_by=dated.governed_by,
        candidates=dated.candidates,
        reason=(
            due_sentence(kind, dated),
            *_season_sentence(ask, dated),
            *date_sentences(dated, ask.base_on),
            *([] if trend is None else _trend_sentences(trend, governed_by_trend)),
        ),
        stands_on=_stands_on(dated, governed_by_trend),
        range_from_on=trend.t10_on if trend is not None else dated.due_on,
        range_to_on=trend.t90_on if trend is not None else dated.due_on,
        would_lengthen=(),
        honesty=ADVICE,
        posterior=None,
        can_be_judged=can_be_judged,
    )


def _stands_on(dated: Dated, governed_by_trend: bool) -> StandsOn:
    if governed_by_trend:
        return StandsOn.READINGS
    is_rule = dated.governed_by is GovernedBy.RULE
    return StandsOn.RULE if is_rule else StandsOn.OUR_JUDGEMENT


def _season_sentence(ask: Ask, dated: Dated) -> list[Sentence]:
    if dated.season_on is None:
        return []
    season = ("season_on", dated.season_on.isoformat())
    if not ask.was_done:
        return [Sentence("season_and_never_looked", (season,))]
    age = ("age_days", (dated.season_on - ask.base_on).days)
    return [Sentence("season_and_look_age", (season, age))]


def _trend_sentences(trend: Trend, governs: bool) -> list[Sentence]:
    values = (
        ("last_reading_on", trend.last_reading_on.isoformat()),
        ("t10_on", trend.t10_on.isoformat()),
        ("t50_on", trend.t50_on.isoformat()),
        ("readings", trend.readings),
        ("source", trend.limit_source),
    )
    return [Sentence("trend_governs" if governs else "trend_beside", values)]


def _first_look_due(facts: SystemFacts, can_be_judged: bool) -> DueDate:
    ask = ask_of(facts, LookKind.FIRST_LOOK, 365)
    dated = date_look(ask, facts)
    unknown = len(asks_of(facts.as_built[-1].facts))
    return DueDate(
        kind=DueKind.FIRST_LOOK,
        due_on=dated.due_on,
        opens_on=dated.opens_on,
        governed_by=dated.governed_by,
        candidates=dated.candidates,
        reason=(
            due_sentence(LookKind.FIRST_LOOK, dated),
            *date_sentences(dated, ask.base_on),
            Sentence("first_look_settles", (("unknown", unknown),)),
        ),
        stands_on=StandsOn.OUR_JUDGEMENT,
        range_from_on=dated.due_on,
        range_to_on=dated.due_on,
        would_lengthen=(),
        honesty=ADVICE,
        posterior=None,
        can_be_judged=can_be_judged,
    )
