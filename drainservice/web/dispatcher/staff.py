"""People of the firm: their role, switching off and on, a link that lets them in once."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import actions as accounts_actions
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone, NotFound
from drainservice.accounts.models import Account, Role
from drainservice.doors.door import door
from drainservice.visits.queries import visits_ahead_of
from drainservice.web.dispatcher.done import go_to, undoable


class RoleForm(forms.Form):
    """What somebody may do, and whether they may sign in."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    role = forms.ChoiceField(choices=Role.choices)
    is_active = forms.TypedChoiceField(
        label="signs in",
        choices=[("yes", "yes"), ("no", "no: switched off, and out at once")],
        coerce=lambda word: word == "yes",
    )


@door(to="owner", methods="GET POST")
def change_account(request: Any, handle: str) -> HttpResponse:
    """Another role, or switched off; whoever is switched off is out with their next click."""
    account = accounts.accounts_of_firm().filter(handle=handle).first()
    if account is None:
        raise NotFound
    known = {
        "version": account.version,
        "role": account.role,
        "is_active": "yes" if account.is_active else "no",
    }
    form = RoleForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        account.version = told.pop("version")
        asker = undoable(request.asker)
        try:
            _has_no_visits_left(account, request.asker, **told)
            accounts_actions.change_account(account, asker=asker, **told)
            return go_to(reverse("settings"), "saved", group=asker.group)
        except CannotBeDone as refusal:
            form.add_error(None, str(refusal))
    lead = "What they did stays theirs in the history."
    context = {"here": "settings", "form": form, "title": account.person.name, "lead": lead}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/form.html", context, status=status)


@door(to="owner", methods="POST")
def let_in_link(request: Any, handle: str) -> HttpResponse:
    """A link that works once, shown once: only this page ever holds it."""
    account = accounts.account_for(request.asker, handle)
    link = accounts_actions.let_in_link(account, at=request.asker.at)
    context = {"here": "settings", "account": account, "link": link}
    return render(request, "dispatcher/let_in_link.html", context)


def _has_no_visits_left(account: Account, asker: Asker, *, role: str, is_active: bool) -> None:
    if is_active and role == account.role:
        return
    ahead = visits_ahead_of(account, at=asker.at)
    if account.role == Role.TECHNICIAN and (count := ahead.count()):
        visits = "one visit" if count == 1 else f"{count} visits"
        raise CannotBeDone(
            f"{account.person.name} still goes to {visits}. Give them to somebody else first."
        )
