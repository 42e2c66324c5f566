"""Rows beside each other: repeats and contradictions, and the outcome of each."""

from typing import Any

from drainservice.exchange.judging_draft import Draft
from drainservice.exchange.judging_sites import KnownSite, look_up_sites
from drainservice.exchange.people_places import address_key, name_key
from drainservice.exchange.report import DUPLICATE, NOT_DATA, QUESTION, REFUSED, TAKEN

_NOT_COMPARED = frozenset({"notes", "system.code"})
_LISTS = frozenset({"household.phones", "household.emails"})
_SAME_SIZE = 0.012  # 36 in and 0.91 m are one measure, rounded


def settle_row(draft: Draft) -> None:
    """The outcome of the row, once all is known."""
    if draft.outcome:
        return
    if draft.line.hidden:
        value = str(draft.facts.get("site.address") or _first_text(draft))
        draft.hold_all()
        draft.ask("", "", value, "hidden_row", "the row is hidden; should it be read?")
    elif not draft.waits and "site.address" not in draft.facts:
        _refuse_homeless(draft)
    if draft.questions or (draft.waits and not draft.refused):
        draft.outcome = QUESTION
    elif draft.refused and not draft.facts:
        draft.outcome = REFUSED
    else:
        draft.outcome = TAKEN


def _first_text(draft: Draft) -> str:
    return next((draft.line.cells[at].text for at in draft.line.filled), "")


def _refuse_homeless(draft: Draft) -> None:
    """Without an address nothing can be put in the register."""
    asked = any(p.fact == "site.address" for p in (*draft.questions, *draft.refused))
    value = _first_text(draft)
    draft.hold_all()
    if not asked:
        said = draft.unknown.get("site.address")
        why = f"it says {said!r} for the address" if said else "it has no address"
        draft.refuse(
            "site.address",
            "",
            value,
            "no_address",
            f"{why}, so nobody can tell which site is meant",
        )


def compare_rows(drafts: list[Draft], known: tuple[KnownSite, ...]) -> None:
    """Look sites up across sheets, then find repeats and contradictions, row by row."""
    data = [d for d in drafts if d.outcome != NOT_DATA and not d.line.hidden and not d.waits]
    look_up_sites(data, known)
    buckets: dict[tuple[str, str, str], list[Draft]] = {}
    people: dict[tuple[str, str], Draft] = {}
    for draft in data:
        if draft.waits or "site.address" not in draft.facts:
            continue
        earlier = buckets.setdefault(_place(draft), [])
        _compare_with(draft, earlier)
        if draft.outcome != DUPLICATE and not draft.waits:
            _compare_people(draft, people)
            earlier.append(draft)


def _place(draft: Draft) -> tuple[str, str, str]:
    facts = draft.facts
    place = str(facts.get("system.place", "")).lower()
    return address_key(facts["site.address"]), str(facts.get("site.address_2", "")).lower(), place


def _everything(draft: Draft) -> dict[str, Any]:
    stated = {k: v for k, v in draft.facts.items() if k != "system.code"}
    return (
        stated
        | {k: v.value for k, v in draft.from_remarks.items()}
        | {f"kept:{k}": v for k, v in draft.kept.items()}
    )


def _compare_with(draft: Draft, earlier: list[Draft]) -> None:
    for other in earlier:
        if _is_repeat(draft, other):
            draft.duplicate_of = other.number
            draft.refers_to = (other.sheet, other.number) if other.sheet != draft.sheet else None
            if draft.continues and "inspection.on" not in draft.facts:
                why = f"it says the same as row {other.number}; is it a second system?"
                draft.ask("site.system_count", "", _first_text(draft), "duplicate_conflict", why)
                draft.waits = True
            elif _problems(draft) == _problems(other) or not _problems(draft):
                draft.outcome = DUPLICATE
                draft.why = f"row {other.number} says the same"
            return
    for other in earlier:
        if draft.continues is not None and not _same_visit(draft, other):
            continue
        clashes = _find_clashes(draft, other)
        if clashes:
            _ask_about_clashes(draft, other, clashes)
            return
    if (
        earlier
        and draft.continues is None
        and earlier[0].sheet == draft.sheet
        and "inspection.on" not in draft.facts
    ):
        draft.continues = earlier[0].number
    elif earlier and earlier[0].sheet != draft.sheet:
        draft.refers_to = (earlier[0].sheet, earlier[0].number)


def _problems(draft: Draft) -> list[tuple[str, str, str]]:
    return [(p.fact, p.reason, p.value) for p in (*draft.refused, *draft.questions)]


def _same_visit(draft: Draft, other: Draft) -> bool:
    day = draft.facts.get("inspection.on")
    return day is not None and day == other.facts.get("inspection.on")


def _is_repeat(draft: Draft, other: Draft) -> bool:
    """Nothing in the row is new."""
    ours, theirs = _everything(draft), _everything(other)
    return all(
        name in theirs and _agrees(name, value, theirs[name], strictly=True)
        for name, value in ours.items()
    )


def _find_clashes(draft: Draft, other: Draft) -> list[str]:
    visits_differ = draft.facts.get("inspection.on") != other.facts.get("inspection.on")
    clashes = []
    for name, value in draft.facts.items():
        if (
            name in _NOT_COMPARED
            or name in _LISTS
            or name not in other.facts
            or name.startswith("site.")
        ):
            continue
        if name.startswith("inspection.") and visits_differ:
            continue
        if not _agrees(name, value, other.facts[name], strictly=False):
            clashes.append(name)
    return clashes


def _agrees(name: str, ours: Any, theirs: Any, *, strictly: bool) -> bool:
    if name == "household.names":
        return names_agree(ours, theirs)
    if name in _LISTS:
        return set(ours) <= set(theirs)
    if name == "site.address":
        return address_key(ours) == address_key(theirs)
    if isinstance(ours, float) and isinstance(theirs, float):
        return abs(ours - theirs) <= _SAME_SIZE * max(abs(ours), abs(theirs))
    if name.endswith("_on") and not strictly:
        return str(ours).startswith(str(theirs)) or str(theirs).startswith(str(ours))
    if isinstance(ours, str) and isinstance(theirs, str):
        return ours.strip().lower() == theirs.strip().lower()
    return bool(ours == theirs)


def names_agree(ours: list[str], theirs: list[str]) -> bool:
    """The same people: each of the shorter list is someone of the longer, a surname alone too."""
    short, long = sorted(
        ([set(name_key(n).split()) for n in names] for names in (ours, theirs)), key=len
    )
    return all(any(_is_same_person(one, other) for other in long) for one in short)


def _is_same_person(one: set[str], other: set[str]) -> bool:
    if one <= other or other <= one:
        return True
    left, right = one - other, other - one
    return (
        bool(one & other) and len(left) == len(right) == 1 and _is_initial(left.pop(), right.pop())
    )


def _is_initial(one: str, other: str) -> bool:
    return 1 in (len(one), len(other)) and one[0] == other[0]


def _ask_about_clashes(draft: Draft, other: Draft, clashes: list[str]) -> None:
    where = f"row {other.number}" + (f' of "{other.sheet}"' if other.sheet != draft.sheet else "")
    for name in clashes:
        ours, theirs = draft.facts[name], other.typed(name, other.facts[name])
        why = f"{where}, for the same address, says {theirs!r}; a correction, or a second system?"
        draft.ask(
            name,
            draft.sources.get(name, ""),
            draft.typed(name, ours),
            "duplicate_conflict",
            why,
            ours,
        )
    draft.duplicate_of = other.number
    draft.hold_all()


def _compare_people(draft: Draft, people: dict[tuple[str, str], Draft]) -> None:
    """The same people with the same system at an address one figure away: a slip, or two houses?"""
    phones = draft.facts.get("household.phones")
    if not phones or draft.continues or "inspection.on" in draft.facts:
        return
    key = (name_key(" ".join(draft.facts.get("household.names", []))), phones[0])
    other = people.setdefault(key, draft)
    if other is draft:
        return
    if not is_slip(draft.facts["site.address"], other.facts["site.address"]):
        return
    ours = {k: v for k, v in _everything(draft).items() if not k.startswith("site.")}
    theirs = {k: v for k, v in _everything(other).items() if not k.startswith("site.")}
    if len(ours) >= 5 and ours == theirs:
        why = f"row {other.number} says all the same of another address; a slip, or two sites?"
        draft.ask(
            "site.address",
            draft.sources.get("site.address", ""),
            draft.facts["site.address"],
            "duplicate_conflict",
            why,
        )
        draft.duplicate_of = other.number
        draft.hold_all()


def is_slip(one: str, other: str) -> bool:
    """One street, and house numbers whose figures are the same in another order."""
    left, right = address_key(one).split(), address_key(other).split()
    return left[1:] == right[1:] and left[0] != right[0] and sorted(left[0]) == sorted(right[0])
