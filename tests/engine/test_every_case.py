"""No published case is forgotten: each is the subject of a test, and says where it comes from."""

import ast
import re
from collections import defaultdict
from pathlib import Path

import pytest

from tests.engine.cases import all_cases, case

FOLDER = Path(__file__).parent
CASE_ID = re.compile(r"^test_([A-F]\d{2})(?=_)")
# Cases that several tests take apart, each a part of its own numbers.
IN_PARTS = {"A08": 2, "B08": 3}


def find_tests():
    """Case id -> the functions whose name holds it, with what they ask of the case."""
    found = defaultdict(list)
    for path in sorted(FOLDER.rglob("test_*.py")):
        for node in ast.parse(path.read_text()).body:
            match = CASE_ID.match(getattr(node, "name", ""))
            if match:
                found[match[1]].append((f"{path.name}::{node.name}", node))
    return found


def names_asked(node):
    """The names a test gives to assert_holds, None standing for one made from its parameters."""
    calls = (n for n in ast.walk(node) if isinstance(n, ast.Call))
    return [
        call.args[0].value if isinstance(call.args[0], ast.Constant) else None
        for call in calls
        if isinstance(call.func, ast.Attribute) and call.func.attr == "assert_holds"
    ]


TESTS = find_tests()


def test_there_are_63_cases_with_182_numbers():
    assert len(all_cases()) == 63
    assert sum(len(one.expected) for one in all_cases().values()) == 182


@pytest.mark.parametrize("case_id", all_cases())
def test_each_case_is_the_subject_of_a_test(case_id):
    assert len(TESTS[case_id]) == IN_PARTS.get(case_id, 1), [name for name, _ in TESTS[case_id]]


def test_no_test_names_a_case_that_is_not_there():
    assert set(TESTS) == set(all_cases())


@pytest.mark.parametrize("case_id", all_cases())
def test_each_number_of_a_case_is_asked_for(case_id):
    asked = [name for _, node in TESTS[case_id] for name in names_asked(node)]
    wanted = [one["name"] for one in case(case_id).expected]

    assert asked
    # Names made in a loop or from parameters cannot be read off the text.
    if None not in asked:
        assert set(wanted) == set(asked)
    else:
        assert set(asked) - {None} <= set(wanted)


@pytest.mark.parametrize("case_id", all_cases())
def test_each_case_prints_source_status_and_tolerance(case_id, capsys):
    one = case(case_id)
    first = one.expected[0]

    one.assert_holds(first["name"], first["value"], first["unit"])

    printed = capsys.readouterr().out
    print(printed, end="")
    assert one.source in printed
    assert one.source_status in printed
    assert one.source_status
    if not isinstance(first["value"], bool | str):
        relative = first.get("tol_rel", 0.0) * abs(first["value"])
        assert f"+- {max(first.get('tol_abs', 0.0), relative)} " in printed
