"""Rows that name their site by a number or a name alone, or that visit a site not in the list."""

from dataclasses import dataclass
from typing import Any

from drainservice.exchange.judging_draft import Draft
from drainservice.exchange.people_places import address_key, name_key


@dataclass(frozen=True, slots=True)
class KnownSite:
    """A site already in the register, as a sheet may name it."""

    address: str
    names: tuple[str, ...] = ()
    code: str = ""


def look_up_sites(data: list[Draft], known: tuple[KnownSite, ...]) -> None:
    """Fill in who and where for rows that only give a code or a name; ask where none is found."""
    by_code: dict[str, list[tuple[str, int, dict[str, Any]]]] = {}
    by_name: dict[str, list[tuple[str, int, dict[str, Any]]]] = {}
    listed: dict[str, set[str]] = {}
    for site in known:
        facts: dict[str, Any] = {"site.address": site.address, "household.names": list(site.names)}
        _index(by_code, by_name, facts, site.code, ("", 0))
    for draft in data:
        facts = draft.facts
        if "site.address" in facts and not _is_log_row(draft):
            _index(
                by_code,
                by_name,
                facts,
                str(facts.get("system.code", "")),
                (draft.sheet, draft.number),
            )
            listed.setdefault(draft.sheet, set()).add(address_key(facts["site.address"]))
    for draft in data:
        if "site.address" not in draft.facts and not _asks_address(draft):
            if draft.has_address_column and not _is_log_row(draft):
                continue
            _find_site(draft, by_code, by_name)
        elif "site.address" in draft.facts and _is_log_row(draft):
            _check_listed(draft, listed, known)


def _asks_address(draft: Draft) -> bool:
    return any(p.fact == "site.address" for p in (*draft.questions, *draft.refused))


def _is_log_row(draft: Draft) -> bool:
    """A row that tells of a visit and nothing of what is in the ground."""
    subjects = {name.split(".")[0] for name in draft.sources}
    return (
        "inspection" in subjects
        and not subjects & {"pit", "pump", "valve", "line"}
        and not (
            {"household.phones", "household.emails", "system.installed_on"} & set(draft.sources)
        )
    )


def _index(
    by_code: Any, by_name: Any, facts: dict[str, Any], code: str, at: tuple[str, int]
) -> None:
    entry = (*at, facts)
    if code:
        by_code.setdefault(code.lower().strip("# "), []).append(entry)
    for name in facts.get("household.names", []):
        key = name_key(name)
        for word in {key, *key.split()}:  # a log often gives the surname alone
            by_name.setdefault(word, []).append(entry)


def _find_site(draft: Draft, by_code: Any, by_name: Any) -> None:
    code = str(draft.facts.get("system.code", "")).lower().strip("# ")
    names = [name_key(name) for name in draft.facts.get("household.names", [])]
    found = by_code.get(code, []) if code else [e for name in names for e in by_name.get(name, [])]
    places = {address_key(entry[2]["site.address"]) for entry in found}
    value = draft.typed("system.code" if code else "household.names", code or " ".join(names))
    if len(places) == 1:
        sheet, number, facts = found[0]
        draft.facts.setdefault("household.names", list(facts.get("household.names", [])))
        draft.facts["site.address"] = facts["site.address"]
        draft.refers_to = (sheet, number)
        return
    if (not by_code and not by_name) or not (code or names):
        return
    fact = "system.code" if code else "household.names"
    column = draft.sources.get(fact, "")
    draft.hold_all()
    if places:
        draft.ask(
            fact, column, value, "unknown_system", "it may be one of several sites; which is it?"
        )
    else:
        draft.ask(
            fact, column, value, "unknown_system", "no site of that name or number is in the list"
        )


def _check_listed(draft: Draft, listed: dict[str, set[str]], known: tuple[KnownSite, ...]) -> None:
    """A visit to an address that is not in the workbook's own list of systems is asked about."""
    elsewhere = [places for sheet, places in listed.items() if sheet != draft.sheet]
    if not elsewhere or draft.sheet in listed:
        return
    key = address_key(draft.facts["site.address"])
    if any(key in places for places in elsewhere) or any(
        address_key(s.address) == key for s in known
    ):
        return
    value = draft.facts["site.address"]
    draft.hold_all()
    draft.ask("site.address", draft.sources.get("site.address", ""), value, "unknown_system",
        "this address is not in the list of systems of the same workbook")  # fmt: skip
