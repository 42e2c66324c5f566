"""A person's answer to what a sheet left open: it is applied, or the question is closed."""

from dataclasses import replace
from datetime import date
from typing import Any

from django.db import transaction

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.codes import read_lid_code
from drainservice.accounts.text import clean_line
from drainservice.exchange.actions.bring import MayNotBringIn, setting_zone
from drainservice.exchange.actions.settings import setting_for
from drainservice.exchange.actions.write import write_plan
from drainservice.exchange.judged import all_facts
from drainservice.exchange.keys import fingerprint
from drainservice.exchange.models import Question, SheetRow
from drainservice.exchange.on_record import SystemEntry, load_record
from drainservice.exchange.placing import place_row
from drainservice.exchange.placing_words import NotPlaced, Placing, Told
from drainservice.exchange.plan import Plan
from drainservice.exchange.queries.sheets import choices_of, may_be_typed
from drainservice.exchange.report import FromRemark, Row
from drainservice.exchange.typed import read_typed
from drainservice.exchange.visits_told import visit_facts
from drainservice.exchange.wanted import HOUSEHOLD
from drainservice.register.models import System

# What tells which system a single fact belongs to.
_IDENTITY = frozenset(
    {"site.address", "site.address_2", "site.city", "system.place", "inspection.on"}
)


class AnswerNotTaken(CannotBeDone):
    """The answer does not settle the question; the sentence says why."""


@transaction.atomic
def answer_question(question: Question, *, answer: str, asker: Asker) -> Question:
    """Answer with one of `choices_of`, or with a value or a lid code.  Once answered it stays.

    Errors: AnswerNotTaken, MayNotBringIn; nothing is changed then.
    """
    if not accounts.may(asker, "bring_in"):
        raise MayNotBringIn
    question = Question.objects.select_for_update().get(pk=question.pk)
    if question.answered_at is not None:
        return question
    word = clean_line(answer, most=500, what="The answer")
    known = {choice.word for choice in choices_of(question)}
    if word not in known and (
        word in {"", "take", "second", "leave"} or not may_be_typed(question)
    ):
        raise AnswerNotTaken("Choose one of the answers, or type the value that is meant.")
    if word != "leave" and question.row is not None:
        _apply(question, question.row, word, asker)
    question.answer = word
    question.answered_at = asker.at
    question.answered_by_id = asker.account_id
    question.save()
    if word == "second" and question.row is not None:
        _close_clashes(question)
    return question


def _close_clashes(question: Question) -> None:
    """A second system brought all of its row in: what contradicted the first is settled with it."""
    clashes = Question.objects.filter(
        row=question.row, reason="duplicate_conflict", answered_at__isnull=True
    )
    clashes.exclude(fact__startswith="household.").update(
        answer="second", answered_at=question.answered_at, answered_by_id=question.answered_by_id
    )


def _apply(question: Question, stored: SheetRow, word: str, asker: Asker) -> None:
    today = wall.today_in(setting_zone(), asker.at)
    row = row_from_json(stored.facts)
    facts, told = _meant(question, stored, row, word, today)
    if told.system_id is not None and stored.system is not None:
        # The address may have been mended since.
        facts = facts | {"site.address": stored.system.site.address, "site.address_2": ""}
    row = replace(row, facts=facts, from_remarks={})
    record = load_record([row], [], today=today)
    setting = setting_for(today, asker=asker, dry=False)
    plan = Plan()
    try:
        placing = place_row(row, facts, record, plan, setting, told)
    except NotPlaced as fault:
        raise AnswerNotTaken(f"This cannot be brought in yet, since {fault.why}") from fault
    _refuse_doubt(placing)
    key = f"question{question.pk}"
    write_plan(plan, asker=asker.acting(group=key), because=key)
    if placing.system is not None and (stored.system_id is None or told.is_second):
        _remember(stored, placing.system)


def _refuse_doubt(placing: Placing) -> None:
    for _, _, why in (*placing.asked, *placing.refused):
        raise AnswerNotTaken(f"This cannot be brought in yet, since {why}")


def _remember(stored: SheetRow, entry: SystemEntry) -> None:
    """The row stands for its facts from now on; the same facts of another row are told apart."""
    taken = SheetRow.objects.filter(fingerprint=stored.fingerprint, system__isnull=False)
    if taken.exclude(pk=stored.pk).exists():
        stored.fingerprint = fingerprint({"mark": stored.fingerprint, "row": stored.pk})
    stored.system = entry.system
    stored.save()


def _meant(
    question: Question, stored: SheetRow, row: Row, word: str, today: date
) -> tuple[dict[str, Any], Told]:
    """The facts to bring in, and what the answer decides about them."""
    every = {**row.held, **all_facts(row)}
    if word == "second":
        return every, Told(is_second=True, overrule=frozenset({"site.address"}))
    overrule = frozenset({question.fact})
    if word == "take":
        facts = every if stored.system_id is None else _single(question, every)
        return facts, Told(overrule, system_id=stored.system_id)
    system = _system_typed(word)
    if system is not None and question.reason in {"unknown_system", "unclear"}:
        placed = every | {"site.address": system.site.address}
        placed.pop("system.place", None)
        return placed, Told(overrule, system_id=system.pk)
    value = read_typed(question.fact, word, today=today)
    if stored.system_id is None:
        return every | value, Told(overrule)
    single = {k: v for k, v in every.items() if k in _IDENTITY}
    if question.fact == "inspection.on":
        # All that was read of the visit waited for its day.
        single |= visit_facts(every)
    return single | value, Told(overrule | set(value), system_id=stored.system_id)


def _single(question: Question, every: dict[str, Any]) -> dict[str, Any]:
    """One fact with what says where it belongs; people come with how they are reached."""
    wanted = HOUSEHOLD if question.fact == "household.names" else {question.fact}
    return {k: v for k, v in every.items() if k in _IDENTITY or k in wanted}


def _system_typed(word: str) -> System | None:
    code = read_lid_code(word)
    found = System.objects.standing().filter(lid_code=code) if code else System.objects.none()
    return found.select_related("site").first()


def row_from_json(told: dict[str, Any]) -> Row:
    """The row as it was judged."""
    return Row(
        sheet=told["sheet"],
        number=told["number"],
        outcome=told["outcome"],
        facts=told["facts"],
        held=told["held"],
        from_remarks={k: FromRemark(**v) for k, v in told["from_remarks"].items()},
        continues=told["continues"],
    )
