"""A checkout in small: our environment module, one package of our own, an index we can hold."""

import base64
import hashlib
import http.server
import io
import os
import re
import shutil
import subprocess
import sys
import threading
import zipfile

import pytest

from drainservice import environment

GO = """
import os, sys
from pathlib import Path
sys.path.insert(0, str(Path(__file__).resolve().parent))
from drainservice import environment, places
{change}
try:
    environment.enter(Path(__file__).resolve().parent, environment.SERVER, sys.argv)
except (environment.CannotPrepare, places.NowhereToWrite) as reason:
    sys.exit(str(reason))
except KeyboardInterrupt:
    sys.exit(130)
import tinypart
print("inside", sys.prefix, os.getpid(), tinypart.VERSION)
"""

# Putting pip into each environment is most of the time; once is enough.
BORROWED_PIP = "environment.can_bring_pip = lambda: False"


def build_wheel(version: str) -> bytes:
    """One pure package, made by hand (the wheel format, PyPA binary distribution format 1.0)."""
    about = f"tinypart-{version}.dist-info"
    files = {
        "tinypart.py": f"VERSION = {version!r}\n",
        f"{about}/METADATA": f"Metadata-Version: 2.1\nName: tinypart\nVersion: {version}\n",
        f"{about}/WHEEL": "Wheel-Version: 1.0\nGenerator: tests\nRoot-Is-Purelib: true\n"
        "Tag: py3-none-any\n",
    }
    lines = [f"{name},{record_hash(text)},{len(text)}" for name, text in files.items()]
    files[f"{about}/RECORD"] = "\n".join([*lines, f"{about}/RECORD,,"]) + "\n"
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for name, text in files.items():
            archive.writestr(zipfile.ZipInfo(name), text)  # no clock: the hash stays
    return made.getvalue()


def record_hash(text: str) -> str:
    digest = hashlib.sha256(text.encode()).digest()
    return "sha256=" + base64.urlsafe_b64encode(digest).rstrip(b"=").decode()


class Index:
    """Gives out the wheels on loopback; while `gate` is shut, pip waits half-way."""

    def __init__(self) -> None:
        self.gate = threading.Event()
        self.gate.set()
        self.asked = threading.Event()
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), self.handler())
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def handler(self):
        index = self

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_GET(self):
                wheel = build_wheel(self.path.split("-")[1])
                index.asked.set()
                index.gate.wait(60)
                self.send_response(200)
                self.send_header("Content-Length", str(len(wheel)))
                self.end_headers()
                self.wfile.write(wheel)

            def log_message(self, *_):
                pass

            def handle(self):
                try:
                    super().handle()
                except OSError:  # the one who asked was killed
                    return

        return Handler

    def line(self, version: str) -> str:
        port = self.server.server_address[1]
        digest = hashlib.sha256(build_wheel(version)).hexdigest()
        url = f"http://127.0.0.1:{port}/tinypart-{version}-py3-none-any.whl"
        return f"tinypart @ {url} --hash=sha256:{digest}\n"


class Checkout:
    """A folder with our module and a list of one package."""

    def __init__(self, folder, index: Index, root) -> None:
        self.folder, self.index = folder, index
        (folder / "drainservice").mkdir(parents=True)
        (folder / "deploy").mkdir()
        for name in ("__init__.py", "environment.py", "places.py"):
            shutil.copy(root / "drainservice" / name, folder / "drainservice" / name)
        self.change("pass" if pip_outside() < environment.SMALLEST_PIP else BORROWED_PIP)
        self.list("1.0")
        self.venv = folder / ".venv"
        self.environment = {
            "NO_PROXY": "127.0.0.1",
            "PIP_RETRIES": "0",
            "HOME": str(folder.parent / "home"),
        }

    def change(self, line: str) -> None:
        """Let this line alter the module before it is used."""
        (self.folder / "go.py").write_text(GO.format(change=line))

    def list(self, version: str) -> None:
        (self.folder / "deploy" / "lock.txt").write_text(self.index.line(version))

    def begin(self, python: str = "") -> subprocess.Popen:
        hidden = {"VIRTUAL_ENV", "PYTHONPATH", "PYTHONHOME", "XDG_CACHE_HOME", "XDG_DATA_HOME"}
        kept = {k: v for k, v in os.environ.items() if k not in hidden}
        return subprocess.Popen(
            [python or base_python(), str(self.folder / "go.py")],
            cwd="/",
            env={**kept, **self.environment},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )

    def go(self, python: str = ""):
        """Run to the end: exit code, what it printed, what it told on the way."""
        process = self.begin(python)
        out, told = process.communicate(timeout=120)
        process.out, process.told = out, told
        return process

    def wait_half_way(self) -> subprocess.Popen:
        """A start that hangs in the middle of pip."""
        self.index.gate.clear()
        self.index.asked.clear()
        process = self.begin()
        assert self.index.asked.wait(60)
        return process


def pip_outside() -> tuple[int, ...]:
    """The version of the pip outside every environment."""
    asked = subprocess.run(
        [base_python(), "-I", "-c", "import pip; print(pip.__version__)"],
        capture_output=True,
        text=True,
    )
    return tuple(int(part) for part in re.findall(r"\d+", asked.stdout)[:2]) or (0, 0)


def base_python() -> str:
    """The Python outside every environment."""
    return os.path.realpath(getattr(sys, "_base_executable", None) or sys.executable)


@pytest.fixture
def index():
    index = Index()
    yield index
    index.gate.set()
    index.server.shutdown()
    index.server.server_close()


@pytest.fixture
def checkout(tmp_path, index, root):
    """Its path holds a space, brackets and a letter outside ASCII, as real ones do."""
    return Checkout(tmp_path / "yard [ü] drains", index, root)
