"""Every sentence of a mail has its Spanish, and the compiled file is that of the text."""

import ast
import gettext
import re
import subprocess

import pytest

MAIL = "drainservice/reminders/mail"


@pytest.fixture
def catalogue(root):
    folder = root / "drainservice" / "locale"
    return gettext.translation("django", localedir=folder, languages=["es"])


def sentences(root) -> set[str]:
    found = set()
    for path in (root / MAIL).glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "_":
                found.add(node.args[0].value)
    for path in (root / "drainservice" / "templates" / "email").iterdir():
        found |= set(re.findall(r'{% translate "([^"]+)" %}', path.read_text()))
    return found


def test_every_sentence_is_translated(root, catalogue):
    wanted = sentences(root)

    assert len(wanted) > 70
    assert [text for text in wanted if catalogue.gettext(text) == text] == []


def test_each_translation_keeps_the_gaps_to_be_filled(root, catalogue):
    for text in sentences(root):
        gaps = re.findall(r"%\(\w+\)s", text)
        assert sorted(re.findall(r"%\(\w+\)s", catalogue.gettext(text))) == sorted(gaps)


def test_the_compiled_file_is_up_to_date(root, tmp_path):
    folder = root / "drainservice" / "locale" / "es" / "LC_MESSAGES"
    made = tmp_path / "made.mo"
    try:
        words = ["msgfmt", "-o", str(made), str(folder / "django.po")]
        subprocess.run(words, check=True, capture_output=True)
    except FileNotFoundError:
        pytest.skip("msgfmt is not on this machine; it comes with gettext.")

    with made.open("rb") as ours, (folder / "django.mo").open("rb") as kept:
        assert gettext.GNUTranslations(ours)._catalog == gettext.GNUTranslations(kept)._catalog
