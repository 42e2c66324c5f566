"""Sheets as the office sees them, their report, and what each question may be answered."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Count, Q, QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, NotFound
from drainservice.exchange.columns import BY_NAME
from drainservice.exchange.models import Question, Sheet

# Which of the people, sites and systems a row means is no value of a column.
_OF_THE_ROW = frozenset({"struck_out", "hidden_row"})


@dataclass(frozen=True, slots=True)
class Choice:
    """A word that answers a question, and how a person reads it."""

    word: str
    label: str


def sheets_for(asker: Asker) -> QuerySet[Sheet]:
    """All sheets, newest first, without their content; for the office alone."""
    sheets = Sheet.objects.defer("content", "report").order_by("-read_at", "-pk")
    open_ = Count("questions", filter=Q(questions__answered_at__isnull=True))
    found: QuerySet[Sheet] = sheets.annotate(open_count=open_)
    return found if accounts.may(asker, "bring_in") else found.none()


def sheet_for(asker: Asker, sheet_id: int) -> Sheet:
    """One sheet.  Errors: NotFound."""
    try:
        return sheets_for(asker).get(pk=sheet_id)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def question_for(asker: Asker, question_id: int) -> Question:
    """One question of a sheet the asker may see.  Errors: NotFound."""
    questions = Question.objects.select_related("sheet", "row__system__site")
    try:
        return questions.filter(sheet__in=sheets_for(asker).values("pk")).get(pk=question_id)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def open_questions(sheet: Sheet) -> list[Question]:
    """What still waits for a person, in the order of the rows; columns first."""
    found = sheet.questions.filter(answered_at__isnull=True).select_related("row")
    return sorted(found, key=lambda q: (q.row is not None, q.row.row if q.row else 0, q.pk))


def report_of(sheet: Sheet) -> dict[str, Any]:
    """The whole report, rows included: the same from the page and from the command."""
    report = dict(sheet.report)
    if not sheet.is_dry:
        report["rows"] = [row.facts | {"fates": row.cells} for row in sheet.rows.order_by("pk")]
    return report


def choices_of(question: Question) -> list[Choice]:
    """The words that answer it, beside a value typed in."""
    leave = Choice("leave", "Leave it out")
    if question.row is None:
        return [Choice("leave", "Noted")]
    held = question.row.facts.get("held", {})
    if question.reason in _OF_THE_ROW:
        return [Choice("take", "Bring the row in"), leave]
    if question.fact.startswith("inspection.") and question.reason == "duplicate_conflict":
        return [Choice("leave", "The record stands")]
    if question.reason == "duplicate_conflict":
        choices = [Choice("leave", "The record stands")] if question.row.system_id else [leave]
        if question.fact in held:
            choices.append(Choice("take", "The sheet is right"))
        if question.fact.split(".")[0] in {"pit", "pump", "valve", "line", "system", "site"}:
            choices.append(Choice("second", "It is another system there"))
        return choices
    if question.fact == "system.place":
        return [Choice("second", "Another system there"), leave]
    if question.reason == "unknown_system" and "site.address" in held:
        return [Choice("take", "Enter it as a new system"), leave]
    return [leave]


def may_be_typed(question: Question) -> bool:
    """Whether a value or a lid code can be typed for an answer."""
    if question.row is None or question.reason in _OF_THE_ROW:
        return False
    if question.fact.startswith("inspection.") and question.reason == "duplicate_conflict":
        return False
    return question.fact in BY_NAME
