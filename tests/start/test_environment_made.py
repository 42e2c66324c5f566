"""The environment is made, renewed, mended after a kill, shared; real venv, pip and index."""

import os
import signal
import subprocess
import sys

import pytest

pytestmark = pytest.mark.slow
# Permission bits do not bind root, who runs the tests in many containers.
READ_ONLY = (
    "old = environment.is_writable; "
    "environment.is_writable = lambda f: not str(f).startswith({!r}) and old(f)"
)


def kill_group(process):
    os.killpg(process.pid, signal.SIGKILL)
    process.communicate()


def test_first_start_makes_it_and_second_needs_no_network(checkout, index):
    checkout.change("pass")
    first = checkout.go()
    index.server.shutdown()
    index.server.server_close()
    second = checkout.go()

    # The same process goes on inside (exec), so whoever supervises it keeps its number.
    assert first.out.split() == ["inside", *str(checkout.venv).split(), str(first.pid), "1.0"]
    assert "First run" in first.told
    assert second.out.split() == ["inside", *str(checkout.venv).split(), str(second.pid), "1.0"]
    assert second.told == ""


def test_changed_list_renews_it_and_a_failed_renewal_changes_nothing(checkout, index):
    checkout.go()
    checkout.list("2.0")
    renewed = checkout.go()
    checkout.list("3.0")
    index.server.shutdown()
    index.server.server_close()
    failed = checkout.go()
    checkout.list("2.0")
    back = checkout.go()

    assert renewed.out.endswith(" 2.0\n")
    assert "has changed" in renewed.told
    assert failed.returncode == 1
    assert "nothing was changed" in failed.told
    assert "Traceback" not in failed.told
    assert back.out.endswith(" 2.0\n")
    assert back.told == ""
    assert [p.name for p in checkout.folder.glob(".venv*")] == [".venv"]


def test_kill_of_everything_half_way_is_mended_by_the_next_start(checkout, index):
    kill_group(checkout.wait_half_way())
    index.gate.set()
    after = checkout.go()

    assert "interrupted" in after.told
    assert after.out.endswith(" 1.0\n"), after.told


def test_orphaned_pip_of_a_killed_start_is_waited_for(checkout, index):
    killed = checkout.wait_half_way()
    killed.kill()
    killed.wait()
    after = checkout.begin()
    waits = after.stderr.readline()
    is_still_waiting = after.poll() is None
    index.gate.set()
    out, told = after.communicate(timeout=120)
    killed.communicate()

    assert "waiting for it" in waits
    assert is_still_waiting
    assert "interrupted" in told
    assert out.endswith(" 1.0\n")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_asked_to_stop_half_way_it_leaves_nothing(checkout, number):
    stopped = checkout.wait_half_way()
    stopped.send_signal(number)
    stopped.communicate(timeout=60)

    assert stopped.returncode == 130
    assert list(checkout.folder.glob(".venv*")) == []


def test_of_two_at_once_the_second_uses_what_the_first_made(checkout, index):
    first = checkout.wait_half_way()
    second = checkout.begin()
    waits = second.stderr.readline()
    index.gate.set()
    first_out, _ = first.communicate(timeout=120)
    second_out, second_told = second.communicate(timeout=120)

    assert "waiting for it" in waits
    assert first_out.endswith(" 1.0\n")
    assert second_out.endswith(" 1.0\n")
    assert "First run" not in second_told


def test_folder_of_somebody_else_is_refused_and_kept(checkout):
    checkout.venv.mkdir()
    (checkout.venv / "precious").write_text("mine")
    refused = checkout.go()

    assert refused.returncode == 1
    assert "was not made by this command" in refused.told
    assert (checkout.venv / "precious").read_text() == "mine"


def test_inside_an_environment_of_ones_own_nothing_is_made(checkout, tmp_path):
    own = tmp_path / "own"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(own)], check=True)
    library = next((own / "lib").glob("python3*")) / "site-packages"
    (library / "tinypart.py").write_text("VERSION = 'own'\n")
    (library / "django.py").write_text("")
    used = checkout.go(python=str(own / "bin" / "python"))
    (library / "django.py").unlink()
    lacking = checkout.go(python=str(own / "bin" / "python"))

    assert used.out.endswith(" own\n")
    assert lacking.returncode == 1
    assert "without our packages" in lacking.told
    assert not checkout.venv.exists()


def test_read_only_checkout_uses_the_cache_of_the_person(checkout, tmp_path):
    checkout.change(READ_ONLY.format(str(checkout.folder)))
    first = checkout.go()

    assert first.out.startswith(f"inside {tmp_path}/home/.cache/drainservice/")
    assert first.out.endswith(" 1.0\n")
    assert not checkout.venv.exists()


def test_nowhere_to_write_is_one_sentence(checkout, tmp_path):
    checkout.change(READ_ONLY.format(str(tmp_path)))
    refused = checkout.go()

    assert refused.returncode == 1
    assert "can be written to" in refused.told
    assert "Traceback" not in refused.told


def test_without_ensurepip_the_pip_outside_is_borrowed(checkout):
    checkout.change("environment.can_bring_pip = lambda: False")
    made = checkout.go()

    assert made.out.endswith(" 1.0\n")
    assert not list(checkout.venv.glob("lib/*/site-packages/pip"))


def test_without_any_pip_the_package_to_install_is_named(checkout):
    checkout.change(
        "environment.can_bring_pip = lambda: False; environment.system_pip = lambda: (0, 0)"
    )
    refused = checkout.go()

    assert f"apt install python3.{sys.version_info[1]}-venv" in refused.told
    assert list(checkout.folder.glob(".venv*")) == []
