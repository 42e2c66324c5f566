# ruff: noqa: E501
"""Compares a reading with what a careful person would take, row by row."""

from drainservice.exchange.report import DUPLICATE, NOT_DATA, QUESTION


def agrees(expected, found):
    if (
        isinstance(expected, list)
        and len(expected) == 2
        and all(isinstance(x, int | float) for x in expected)
    ):
        return (
            isinstance(found, int | float)
            and not isinstance(found, bool)
            and abs(found - expected[0]) <= expected[1]
        )
    return type(expected) is type(found) and expected == found


def complaints(expected, row):
    """Everything in which the row differs from the expected one, in words; empty when right."""
    if expected["c"] == "not_data":
        return [] if row.outcome == NOT_DATA and not row.facts else [f"taken for data: {row.facts}"]
    told = [*row.refused, *row.questions]
    found = [
        f"{k}: wanted {v}, got {row.facts.get(k)}"
        for k, v in expected["f"].items()
        if not agrees(v, row.facts.get(k))
    ]
    found += [f"{k} was not expected: {v}" for k, v in row.facts.items() if k not in expected["f"]]
    for key, value in expected.get("n", {}).items():
        if key not in row.from_remarks or not agrees(value, row.from_remarks[key].value):
            found.append(f"remark {key}: wanted {value}")
    found += [f"{k} was read though it must not be" for k, v in expected.get("not", {}).items()
              if row.facts.get(k) == v or (k in row.from_remarks and row.from_remarks[k].value == v)]  # fmt: skip
    for each in expected.get("bad", []) + expected.get("ask", []):
        same = [p for p in told if (p.fact, p.reason, p.value) == (each["f"], each["w"], each["v"])]
        if (
            not same
            or f"Row {row.number}" not in same[0].sentence
            or each["v"] not in same[0].sentence
        ):
            found.append(f"not told: {each}")
    wanted = {(e["f"], e["w"]) for e in expected.get("bad", []) + expected.get("ask", [])}
    found += [f"told without need: {p.sentence}" for p in told if (p.fact, p.reason) not in wanted]
    if expected["c"] == "duplicate" and (
        row.outcome != DUPLICATE or row.duplicate_of != expected["dup_of"]
    ):
        found.append(f"not seen as a repeat: {row.outcome} {row.duplicate_of}")
    if (expected["c"] in ("ask", "struck")) != (row.outcome == QUESTION):
        found.append(f"outcome {row.outcome} for {expected['c']}")
    if row.continues != expected.get("continues"):
        found.append(f"continues {row.continues}")
    return found
