"""The bucket test: steps for this pit with its own amount of water, and what was seen."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from drainservice.accounts.asker import NotFound
from drainservice.accounts.text import TextRefused, clean_text
from drainservice.doors.door import door
from drainservice.engine.hydraulics.starting_water import HOSE_M3S, water_to_start
from drainservice.inspections.actions import give_self_check
from drainservice.inspections.models import SelfCheckAnswer
from drainservice.inspections.queries.parts import area_of
from drainservice.register import queries as register
from drainservice.register.models import System
from drainservice.register.queries import Whole
from drainservice.web.homeowner.page import in_their_language, show
from drainservice.web.homeowner.parts import parts_at

# The ground takes some of it meanwhile, and a hose is rarely fully open; judgement, no source.
LONGER = 1.5
YES_NO = {"yes": True, "no": False}
RING = {SelfCheckAnswer.DID_NOT_START, SelfCheckAnswer.LEVEL_STOOD, SelfCheckAnswer.DID_NOT_STOP}


@dataclass(frozen=True, slots=True)
class Water:
    """What starts the pump: an amount, and for how many minutes the hose must run."""

    volume_m3: float
    minutes: int
    most_minutes: int


@door(to="homeowner", methods="GET POST")
@in_their_language
def bucket_test(request: Any, code: str) -> HttpResponse:
    """The steps, and the answer."""
    system = _system(request, code)
    today = register.today_at(system.site, request.asker.at)
    whole = register.whole(system, day=today)
    context: dict[str, Any] = {
        "system": system,
        "whole": whole,
        "water": water_of(whole),
        "limit_h": system.site.jurisdiction.drain_limit_h,
        "typed": request.POST,
    }
    if request.method != "POST":
        return show(request, "bucket_test", context)
    said = request.POST.get("answer", "")
    if said not in SelfCheckAnswer.values:
        trouble = _("Choose what you saw, then press the button again.")
        return show(request, "bucket_test", context | {"trouble": trouble}, status=422)
    try:
        give_self_check(
            system,
            asker=request.asker,
            answer=said,
            on=today,
            outlet_seen=YES_NO.get(request.POST.get("outlet_seen", "")),
            water_stood_too_long=YES_NO.get(request.POST.get("water_stood_too_long", "")),
            odd_noise=YES_NO.get(request.POST.get("odd_noise", "")),
            note=clean_text(request.POST.get("note", ""), most=1000, what=_("Your note")),
        )
    except TextRefused as refusal:
        return show(request, "bucket_test", context | {"trouble": str(refusal)}, status=422)
    return redirect("bucket-tested", signed=request.signed, code=system.code, said=said)


@door(to="homeowner")
@in_their_language
def bucket_tested(request: Any, code: str, said: str) -> HttpResponse:
    """Thanks, and what to do next."""
    if said not in SelfCheckAnswer.values:
        raise NotFound
    system = _system(request, code)
    context = {"system": system, "said": said, "must_ring": said in RING}
    return show(request, "bucket_tested", context)


def water_of(whole: Whole) -> Water | None:
    """What this pit takes from where the pump stops to where it starts; None if nobody knows."""
    pit, pump = whole.pit, whole.pump
    if pit is None or pump is None:
        return None
    if pit.water_to_start_m3 is not None:
        volume_m3 = pit.water_to_start_m3
        seconds = volume_m3 / HOSE_M3S
    else:
        if pump.on_level_m is None or pump.off_level_m is None:
            return None
        try:
            area = area_of(whole, pump.off_level_m, pump.on_level_m)
            poured = water_to_start(area.value, pump.off_level_m, pump.on_level_m)
        except ValueError:
            return None
        volume_m3, seconds = poured.volume_m3, poured.hose_time_s
    minutes = max(round(seconds / 60), 1)
    return Water(volume_m3, minutes, max(round(seconds * LONGER / 60), minutes + 2))


def _system(request: Any, code: str) -> System:
    system = register.system_by_code_for(request.asker, code)
    if not parts_at(request.asker, system.site).may_test:
        raise NotFound
    return system
