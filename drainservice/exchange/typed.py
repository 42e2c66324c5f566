"""A value a person types for an answer, read as a cell of that column would be."""

from datetime import date
from typing import Any

from drainservice.accounts.asker import CannotBeDone
from drainservice.exchange.cells import Cell, CellDoubtful, CellRefused
from drainservice.exchange.columns import BY_NAME
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.judging_kinds import read_cell
from drainservice.exchange.people import read_emails, read_names, read_phones
from drainservice.exchange.people_places import read_address


class TypedValueRefused(CannotBeDone):
    """What was typed is no value of that kind."""


def read_typed(name: str, text: str, *, today: date) -> dict[str, Any]:
    """The facts typed for one fact.  Errors: TypedValueRefused, with what to do."""
    fact = BY_NAME[name]
    try:
        if fact.kind == "address":
            return read_address(text)
        if fact.kind == "names":
            return {name: read_names(text)[0]}
        if fact.kind == "phones":
            return {name: read_phones(text)[0]}
        if fact.kind == "emails":
            return {name: read_emails(text)[0]}
        return read_cell(Cell(text), Placed("", fact), fact, today)
    except (CellRefused, CellDoubtful) as fault:
        raise TypedValueRefused(
            f"That cannot be taken, because {fault.why}. Type the value with its unit, such as "
            "4 ft, 1/2 hp or 2027-05-12."
        ) from fault
