"""The files that must agree with each other: settings and their example, lists and locks, names."""

import re
import subprocess

import pytest

TOP_LEVEL = {
    ".ci",
    ".coveragerc",
    ".gitignore",
    ".importlinter",
    ".mypy.ini",
    ".pytest.ini",
    ".ruff.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "deploy",
    "drainservice",
    "jobs",
    "manage.py",
    "requirements.txt",
    "tests",
}


def pins(text: str) -> dict[str, str]:
    """Name and version of each pinned line; names in the form of PEP 503."""
    found = re.findall(r"^([A-Za-z0-9][\w.-]*)(?:\[\w+\])?==([^\s;\\]+)", text, re.M)
    return {re.sub(r"[-_.]+", "-", name).lower(): version for name, version in found}


def direct(root) -> dict[str, str]:
    return pins((root / "requirements.txt").read_text())


def test_example_names_exactly_the_variables_that_are_read(root):
    settings = (root / "drainservice" / "settings.py").read_text()
    read = set(re.findall(r'\b(?:text|number|claim|one_of)\(\s*"([A-Z_]+)"', settings))
    example = (root / "deploy" / "env.example").read_text()
    shown = set(re.findall(r"^([A-Z_]+)=", example, re.M))

    assert shown == read


def test_each_line_of_the_example_is_explained(root):
    paragraphs = (root / "deploy" / "env.example").read_text().strip().split("\n\n")

    assert [p for p in paragraphs if not p.startswith("# ")] == []


@pytest.mark.parametrize("lock", ["deploy/lock.txt", "tests/lock.txt"])
def test_lock_holds_what_the_list_asks_for(root, lock):
    locked = pins((root / lock).read_text())

    assert {name: locked.get(name) for name in direct(root)} == direct(root)


def test_lock_of_the_tests_holds_the_list_of_the_tests(root):
    asked = pins((root / "tests" / "requirements.txt").read_text())
    locked = pins((root / "tests" / "lock.txt").read_text())

    assert {name: locked.get(name) for name in asked} == asked


def test_server_runs_on_the_very_versions_that_were_tested(root):
    served = pins((root / "deploy" / "lock.txt").read_text())
    tested = pins((root / "tests" / "lock.txt").read_text())

    assert {name: tested.get(name) for name in served} == served


@pytest.mark.parametrize("lock", ["deploy/lock.txt", "tests/lock.txt"])
def test_each_locked_package_has_a_hash_and_no_address(root, lock):
    text = (root / lock).read_text()
    entries = re.split(r"^(?=[A-Za-z0-9][\w.-]*==)", text, flags=re.M)[1:]

    assert [entry.split()[0] for entry in entries if "--hash=sha256:" not in entry] == []
    assert "://" not in text


def test_each_direct_package_says_why_it_is_there(root):
    lines = (root / "requirements.txt").read_text().splitlines()

    assert [line for line in lines if "==" in line and "# " not in line] == []
    assert len(direct(root)) <= 25


def test_top_level_holds_only_what_everyone_must_see(root):
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "--cached"],
        cwd=root,
        capture_output=True,
        text=True,
        check=True,
    )
    names = {line.split("/")[0].strip('"') for line in listed.stdout.splitlines()}

    assert names - TOP_LEVEL == set()
