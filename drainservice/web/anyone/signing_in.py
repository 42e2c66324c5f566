"""Signing in and out, and one-time links."""

from typing import Any

from django import forms
from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.csrf import csrf_exempt

from drainservice.accounts import actions, queries
from drainservice.accounts.models import Account
from drainservice.doors.door import door, error
from drainservice.web.anyone import demo

WRONG = "Name and password do not fit. Check both and try again."
BACKEND = "django.contrib.auth.backends.ModelBackend"


class SignInForm(forms.Form):
    """Name and password."""

    name = forms.CharField(
        label="Sign-in name",
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autofocus": True}),
    )
    password = forms.CharField(
        max_length=256,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


@door(to="anyone", methods="GET POST")
def sign_in(request: Any) -> HttpResponse:
    """The same words and work for a wrong, an unknown and a switched-off name."""
    form = SignInForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return render(request, "anyone/sign_in.html", {"form": form})
    name = form.cleaned_data["name"]
    try:
        actions.slow_down("sign-in:name", name, at=request.asker.at, most=5, every_s=60)
        actions.slow_down(
            "sign-in:from", network(request), at=request.asker.at, most=30, every_s=10
        )
    except actions.TooManyTries as wait:
        form.add_error(None, str(wait))
        answer = render(request, "anyone/sign_in.html", {"form": form}, status=429)
        answer["Retry-After"] = str(wait.wait_s)
        return answer
    account = authenticate(request, username=name, password=form.cleaned_data["password"])
    if account is None:
        form.add_error(None, WRONG)
        return render(request, "anyone/sign_in.html", {"form": form}, status=403)
    login(request, account)
    return redirect("morning")


@door(to="anyone", methods="POST")
def sign_out(request: Any) -> HttpResponse:
    """End the session."""
    logout(request)
    return redirect("sign-in")


# The path is the authority, and its page, which tells nobody where it was, posts without an origin.
@csrf_exempt
@door(to="anyone", methods="GET POST")
def let_in(request: Any, token: str) -> HttpResponse:
    """A one-time link: looking shows who will be let in, the button does it."""
    link = actions.look_at_link(token, at=request.asker.at)
    if link is None:
        return error(request, 404)
    if link.purpose == "demo":
        return _let_in_to_demo(request, token)
    if request.method != "POST":
        return render(request, "anyone/let_in.html", {"account": link.account})
    used = actions.use_link(token, at=request.asker.at)
    if used is None or used.account is None:
        return error(request, 404)
    return _enter(request, used.account)


def _let_in_to_demo(request: Any, token: str) -> HttpResponse:
    """A button for each audience. The terminal that printed the link is the proof."""
    accounts = queries.demo_accounts()
    if request.method != "POST":
        home = demo.household_address(at=request.asker.at)
        return render(request, "anyone/demo.html", {"accounts": accounts, "home": home})
    wanted = accounts.filter(handle=request.POST.get("handle", "")).first()
    if wanted is None or actions.use_link(token, at=request.asker.at) is None:
        return error(request, 404)
    return _enter(request, wanted)


def _enter(request: Any, account: Account) -> HttpResponse:
    login(request, account, backend=BACKEND)
    return redirect(reverse("today" if account.role == "technician" else "morning"))


def network(request: HttpRequest) -> str:
    """Where a request came from, shortened to its network."""
    address = request.META.get("REMOTE_ADDR", "")
    if ":" in address:
        return ":".join(address.split(":")[:4])
    return ".".join(address.split(".")[:3])
