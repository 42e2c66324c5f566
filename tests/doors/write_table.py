"""Write the table of answers anew: python -m tests.doors.write_table, then read what changed."""

import os
import sys

import pytest


def main() -> int:
    """Walk, and write answers/table.csv."""
    os.environ["WRITE_TABLE_OF_ANSWERS"] = "1"
    return pytest.main(["-q", "tests/doors/test_walk.py::test_answers_as_the_table_says"])


if __name__ == "__main__":
    sys.exit(main())
