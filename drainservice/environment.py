"""Makes the environment the server or its tests run in; standard library, reads on 3.8."""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import IO, NamedTuple, NoReturn

from drainservice.places import NowhereToWrite, is_writable, outside

MARK = ".ours"
STAMP = ".stamp"
SMALLEST_PIP = (22, 3)  # the first that can install into another interpreter's environment


class CannotPrepare(RuntimeError):
    """The environment cannot be made; the message says why and what to do."""


class Recipe(NamedTuple):
    """One environment: its folder, the list it is made from, and what a person should expect."""

    folder: str
    lock: str
    flags: Sequence[str]
    expect: str


SERVER = Recipe(".venv", "deploy/lock.txt", (), "about 350 MB; a minute or less")
# Two packages of the tests exist as source only.
TESTS = Recipe(
    ".venv-tests",
    "tests/lock.txt",
    ("--no-binary", "julian,autograd-gamma"),
    "about 700 MB; one to three minutes",
)


def enter(root: Path, recipe: Recipe, argv: Sequence[str]) -> None:
    """Go on inside the environment of the recipe, made first where it is missing or out of date.

    Returns only when this process already runs inside it, or inside somebody else's environment
    (a developer's, a container's), which is used as it is. Errors: CannotPrepare, NowhereToWrite.
    """
    is_inside_one = sys.prefix != sys.base_prefix
    if is_inside_one and not (Path(sys.prefix) / MARK).exists():
        return _expect_packages()
    lock = root / recipe.lock
    folder = _find_home(root, recipe) / recipe.folder
    is_ready = read_stamp(folder) == stamp_of(lock)
    if is_ready and Path(sys.prefix).resolve() == folder.resolve():
        return None
    if is_inside_one and not is_ready:
        _go_on(_base_python(), argv)  # the Python outside makes it anew
    if not is_ready:
        make(folder, lock, recipe)
    _go_on(str(folder / "bin" / "python"), argv)


def make(folder: Path, lock: Path, recipe: Recipe) -> None:
    """Build the environment at its place, keeping the one before it until the new one is whole."""
    cache = folder.parent / ".cache"
    if not is_writable(cache):
        raise CannotPrepare(f"{cache} cannot be written to. Make it writable and run this again.")
    aside = folder.with_name(folder.name + ".old")
    with _only_one(cache / f"{folder.name}.lock") as held:
        if read_stamp(folder) == stamp_of(lock):
            return
        for place in (folder, aside):
            _refuse_foreign(place)
        if read_stamp(folder):
            _say(f"The list of packages has changed: renewing {folder} ({recipe.expect}).")
            _remove(aside)
            folder.rename(aside)
        elif folder.exists() and any(folder.iterdir()):
            _say(f"The last attempt was interrupted: clearing {folder}, building afresh.")
            _remove(folder)
        else:
            _say(f"First run: fetching the packages into {folder} ({recipe.expect}).")
        began_s = time.monotonic()
        try:
            with _signals_raise():
                _build(folder, lock, recipe, log=cache / f"{folder.name}.log", held=held)
        except BaseException:
            _remove(folder)
            if aside.exists():
                aside.rename(folder)
            raise
        _say(f"The packages are in place after {time.monotonic() - began_s:.0f} s.")
        _remove(aside)


def stamp_of(lock: Path) -> str:
    """What a fitting environment is stamped with: the list's hash and the interpreter."""
    try:
        digest = hashlib.sha256(lock.read_bytes())
    except OSError as reason:
        raise CannotPrepare(
            f"The list of packages {lock} cannot be read ({reason.strerror}). Get the whole "
            "project again and run this in its folder."
        ) from None
    digest.update(f"\0{os.path.realpath(_base_python())}\0{sys.version_info[:2]}".encode())
    return digest.hexdigest()


def read_stamp(folder: Path) -> str:
    """The stamp of a whole environment; empty where there is none or it was never finished."""
    try:
        return (folder / STAMP).read_text()
    except OSError:
        return ""


def _find_home(root: Path, recipe: Recipe) -> Path:
    """The folder that holds the environment: the checkout, or a cache where that is read-only."""
    places = [root, outside(root, "XDG_CACHE_HOME", ".cache")]
    for place in places:
        if read_stamp(place / recipe.folder) == stamp_of(root / recipe.lock):
            return place
    for place in places:
        if is_writable(place):
            return place
    raise NowhereToWrite(
        "Neither {} nor {} can be written to. Make one of them writable, or set XDG_CACHE_HOME "
        "to a folder that is.".format(*places)
    )


def _build(folder: Path, lock: Path, recipe: Recipe, *, log: Path, held: int) -> None:
    folder.mkdir(exist_ok=True)
    (folder / MARK).write_text("Made by manage.py, which may remove it and make it again.\n")
    python = str(folder / "bin" / "python")
    venv, pip = [sys.executable, "-I", "-m", "venv"], [python, "-I", "-m", "pip"]
    if not can_bring_pip():
        venv, pip = [*venv, "--without-pip"], [sys.executable, "-I", "-m", "pip"]
        if system_pip() < SMALLEST_PIP:
            raise CannotPrepare(
                "This Python cannot make environments: Debian and Ubuntu keep that part in a "
                "package of its own. Run: apt install python{}.{}-venv".format(*sys.version_info)
            )
        pip += ["--python", python]
    with log.open("w+") as words:
        _run([*venv, str(folder)], words, held, "Python could not make an environment")
        install = ["install", "--quiet", "--no-input", "--disable-pip-version-check"]
        install += ["--require-hashes", "--no-deps", "--no-compile", "--only-binary=:all:"]
        step = [*pip, *install, *recipe.flags, "-r", str(lock)]
        _run(step, words, held, "The packages could not be fetched (is the network there?)")
    beside = folder / f"{STAMP}.{os.getpid()}"
    with beside.open("w") as file:
        file.write(stamp_of(lock))
        file.flush()
        os.fsync(file.fileno())
    beside.rename(folder / STAMP)


def can_bring_pip() -> bool:
    """Whether this Python can put pip into a new environment (Debian splits that part off)."""
    found = importlib.util.find_spec("ensurepip")
    return found is not None and found.origin is not None


def system_pip() -> tuple[int, ...]:
    """The version of the pip outside any environment; (0, 0) where there is none."""
    asked = subprocess.run(
        [sys.executable, "-I", "-m", "pip", "--version"], capture_output=True, text=True
    )
    found = re.match(r"pip (\d+)\.(\d+)", asked.stdout)
    return tuple(int(part) for part in found.groups()) if found else (0, 0)


def _run(command: Sequence[str], words: IO[str], held: int, failed: str) -> None:
    """Run one step to its end. It inherits the lock, so an orphan of a killed start keeps it."""
    settings = {k: v for k, v in os.environ.items() if k not in {"PIP_USER", "PIP_TARGET"}}
    step = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=words,
        stderr=words,
        pass_fds=(held,),
        env=settings,
    )
    try:
        code = step.wait()
    except BaseException:
        step.terminate()
        step.wait()
        raise
    if code:
        words.seek(0)
        last = "".join(f"    {line}" for line in words.readlines()[-4:])
        raise CannotPrepare(
            f"{failed}, and nothing was changed. Mend that and run it again. What was said "
            f"last ({words.name}):\n{last.rstrip()}"
        )


def _refuse_foreign(folder: Path) -> None:
    if folder.exists() and any(folder.iterdir()) and not (folder / MARK).exists():
        raise CannotPrepare(
            f"The folder {folder} was not made by this command, so it stays as it is. Move it "
            "away and run this again, or activate it first to use it as it is."
        )


def _remove(folder: Path) -> None:
    """Remove by way of another name, so that a kill half-way leaves nothing without its mark."""
    gone = folder.with_name(folder.name + ".gone")
    shutil.rmtree(gone, ignore_errors=True)
    if folder.exists():
        folder.rename(gone)
        shutil.rmtree(gone, ignore_errors=True)


@contextlib.contextmanager
def _only_one(path: Path) -> Iterator[int]:
    try:
        import fcntl
    except ImportError:
        raise CannotPrepare(
            "This command needs Linux or macOS. On Windows, run it inside WSL."
        ) from None
    with path.open("a") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            _say("Another run is preparing the packages: waiting for it.")
            fcntl.flock(file, fcntl.LOCK_EX)
        yield file.fileno()


@contextlib.contextmanager
def _signals_raise() -> Iterator[None]:
    """Let Ctrl-C and SIGTERM end the build in order, even where SIGINT arrives ignored."""
    before = {s: signal.signal(s, _interrupt) for s in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _interrupt(*_: object) -> NoReturn:
    raise KeyboardInterrupt


def _expect_packages() -> None:
    if importlib.util.find_spec("django") is None:
        raise CannotPrepare(
            f"This Python runs in an environment of yours, {sys.prefix}, without our packages. "
            "Leave it (deactivate) and run this again, or put them in: "
            "pip install --require-hashes -r deploy/lock.txt"
        )


def _base_python() -> str:
    return getattr(sys, "_base_executable", None) or sys.executable


def _go_on(python: str, argv: Sequence[str]) -> NoReturn:
    for name in ("PYTHONHOME", "__PYVENV_LAUNCHER__"):  # either would hide the environment
        os.environ.pop(name, None)
    sys.stdout.flush()
    os.execv(python, [python, *argv])


def _say(sentence: str) -> None:
    sys.stderr.write(sentence + "\n")
    sys.stderr.flush()
