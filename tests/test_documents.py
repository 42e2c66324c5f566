"""README and developers' guide say what is there."""

import re

from django.core.management import get_commands


def test_the_readme_begins_with_the_job_in_one_paragraph(root):
    lines = (root / "README.md").read_text().splitlines()

    assert lines[0].startswith("# ")
    assert len(lines[2]) > 400
    assert lines[3] == ""


def test_run_and_test_are_one_command_each(root):
    text = (root / "README.md").read_text()

    for heading, command in [
        ("Run it", "python3 manage.py start"),
        ("Test it", "python3 manage.py test"),
    ]:
        block = re.search(rf"## {heading}\n\n```\n(.*?)\n```", text, re.S)
        assert block is not None
        assert block[1] == command


def test_every_command_of_the_readme_exists(root):
    text = (root / "README.md").read_text()
    line = next(li for li in text.splitlines() if li.startswith("Commands:"))
    named = [words.split()[0] for words in re.findall(r"`([^`]+)`", line)]
    ours = {n for n, app in get_commands().items() if app.startswith(("drainservice", "jobs"))}

    assert {n for n in named if not n.startswith("-")} - {"test"} <= ours
    assert ours <= set(named)


def test_every_folder_on_the_developers_map_exists_and_none_is_left_out(root):
    text = (root / "DEVELOPERS.md").read_text()
    on_map = re.search(r"## 2\. The folders\n(.*?)\n## 3", text, re.S)
    assert on_map is not None
    apps = {p.name for p in (root / "drainservice").iterdir() if (p / "__init__.py").exists()}
    subjects = {
        p.name for p in (root / "drainservice" / "engine").iterdir() if (p / "__init__.py").exists()
    }

    assert {name for name in apps if f"`drainservice/{name}/`" not in on_map[1]} == set()
    assert {name for name in subjects if name not in on_map[1]} == set()


def test_every_link_of_the_readme_leads_somewhere(root):
    text = (root / "README.md").read_text()
    targets = re.findall(r"\]\((?!http)([^)#]+)\)", text)

    assert targets
    assert [t for t in targets if not (root / t).exists()] == []
