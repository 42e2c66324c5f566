"""Puts the style sheets and scripts where the web server takes them from, when they changed."""

import hashlib
from pathlib import Path

import django
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command


def collect_if_changed(root: Path) -> bool:
    """Collect them into `root` unless it holds these very files; answers whether it had to."""
    stamp, wanted = root.with_suffix(".stamp"), fingerprint()
    if (root / "staticfiles.json").exists() and stamp.exists() and stamp.read_text() == wanted:
        return False
    stamp.unlink(missing_ok=True)
    root.mkdir(parents=True, exist_ok=True)
    call_command("collectstatic", interactive=False, verbosity=0)
    stamp.write_text(wanted)
    return True


def fingerprint() -> str:
    """A hash over the names and contents of all files to be served."""
    digest = hashlib.sha256(django.__version__.encode())
    for finder in get_finders():
        for name, storage in sorted(finder.list([]), key=lambda found: str(found[0])):
            with storage.open(name) as file:
                digest.update(f"\0{name}\0".encode() + file.read())
    return digest.hexdigest()
