"""Bring in: a sheet is read dry first, row by row; then its good rows come in, the rest later."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.exchange import actions, queries
from drainservice.exchange.grid import SheetRefused
from drainservice.exchange.models import Sheet
from drainservice.exchange.queries.sheets import may_be_typed
from drainservice.web.dispatcher.done import done, go_to
from drainservice.web.dispatcher.sheet_words import tell

MOST_SHOWN = 100
AT_ONCE = 20  # questions on one page
MOST_BYTES = 10 * 1024 * 1024


class SheetForm(forms.Form):
    """The file."""

    sheet = forms.FileField(
        label="The file: CSV or XLSX",
        help_text="nothing is brought in before you have seen what was read; at most 10 MB",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )

    def clean_sheet(self) -> Any:
        """Not larger than we read."""
        if self.cleaned_data["sheet"].size > MOST_BYTES:
            raise forms.ValidationError(
                "This file is larger than 10 MB. Save the list alone, without pictures, and "
                "choose it again."
            )
        return self.cleaned_data["sheet"]


@door(to="dispatcher", methods="GET POST", body="sheet")
def bring_in(request: Any) -> HttpResponse:
    """Choose a file; it is read dry."""
    form = SheetForm(request.POST, request.FILES) if request.method == "POST" else SheetForm()
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data["sheet"]
        try:
            sheet = actions.bring_in(told.read(), name=told.name, asker=request.asker, dry=True)
            return redirect("sheet", sheet.pk)
        except (SheetRefused, CannotBeDone, TextRefused) as refusal:
            form.add_error("sheet", str(refusal))
    context = {"here": "bring-in", "form": form, "sheets": queries.sheets_for(request.asker)[:30]}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/bring_in.html", context | done(request), status=status)


@door(to="dispatcher", methods="GET POST")
def sheet(request: Any, sheet_id: int) -> HttpResponse:
    """What was read; a press brings the good rows in."""
    sheet = queries.sheet_for(request.asker, sheet_id)
    trouble = ""
    if request.method == "POST":
        try:
            actions.bring_in_read(sheet, asker=request.asker)
            return go_to(reverse("sheet", args=[sheet.pk]), "brought_in")
        except (SheetRefused, CannotBeDone) as refusal:
            trouble = str(refusal)
    status = 409 if trouble else 200
    context = _context(sheet) | {"trouble": trouble}
    return render(request, "dispatcher/sheet.html", context | done(request), status=status)


@door(to="dispatcher", methods="POST")
def answer(request: Any, question_id: int) -> HttpResponse:
    """One question answered by a choice, or by what was typed."""
    question = queries.question_for(request.asker, question_id)
    word = request.POST.get("typed", "").strip() or request.POST.get("choice", "")
    address = reverse("sheet", args=[question.sheet_id])
    try:
        actions.answer_question(question, answer=word, asker=request.asker)
    except (CannotBeDone, TextRefused, ValueError) as refusal:
        sheet = queries.sheet_for(request.asker, question.sheet_id)
        context = _context(sheet) | {"wrong": question.pk, "typed": word, "why": str(refusal)}
        return render(request, "dispatcher/sheet.html", context, status=422)
    return go_to(address, "answered", anchor="#questions")


@door(to="dispatcher")
def take_home(request: Any, sheet_id: int) -> HttpResponse:
    """The rows that were refused or asked about, each with its reasons, to mend and bring again."""
    sheet = queries.sheet_for(request.asker, sheet_id)
    text = queries.refused_csv(sheet)
    if not text:
        raise NotFound
    # The mark at the head lets spreadsheet programs read the letters right.
    answer = HttpResponse("\ufeff" + text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="to-mend-{sheet.pk}.csv"'
    return answer


def _context(sheet: Sheet) -> dict[str, Any]:
    report, firm = queries.report_of(sheet), accounts.firm()
    questions = [] if sheet.is_dry else queries.open_questions(sheet)
    return {
        "here": "bring-in",
        "sheet": sheet,
        "told": tell(report["rows"], firm.units if firm else "trade"),
        "most": MOST_SHOWN,
        "notes": report["sheets"],
        "columns": report["columns"],
        "questions": [(q, queries.choices_of(q), may_be_typed(q)) for q in questions[:AT_ONCE]],
        "open_count": len(questions),
    }
