"""Programs of their own process on trial: the tutorial's gets through, bad ones get their verdict."""

import json
import os
import pathlib
import subprocess
import sys

import pytest

TOP = pathlib.Path(__file__).resolve().parents[2]
NIGHTBENCH = os.environ.get("NIGHTBENCH_BIN", str(TOP / "target" / "release" / "nightbench"))
NIGHT = TOP / "fixtures" / "trials" / "short_evening.toml"
PROGRAM = TOP / "docs" / "tutorial" / "whole_night.py"
# What a bad program begins with: a connection to the mount.
CONNECT = "import os, socket, sys, time\nhost, port = os.environ['NIGHTBENCH_ADDRESS'].rsplit(':', 1)\n" \
          "line = socket.create_connection((host, int(port)))\n"


def trial(*arguments, program, folder=None):
    command = [NIGHTBENCH, "trial", str(NIGHT), "--json", *arguments, "--", *program]
    # Generous: a busy machine may be slow, and nothing here is timed.
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, cwd=folder)
    return run.returncode, run.stdout, run.stderr


def verdict(*arguments, source):
    status, out, err = trial("--silence", "5", *arguments, program=[sys.executable, "-c", source])
    assert status == 1, err
    return json.loads(out)["ending"]


def test_the_tutorials_program_passes_and_the_same_trial_comes_out_the_same(tmp_path):
    program = [sys.executable, str(PROGRAM), "{address}"]
    status, first, err = trial("--out", "a", program=program, folder=tmp_path)
    assert status == 0, err + first
    account = json.loads(first)
    assert (account["ending"], account["targets_reached"]) == ("finished", 2)
    status, second, _ = trial("--out", "b", program=program, folder=tmp_path)
    assert (status, second) == (0, first)
    for name in ["night.json", "trial.json", "samples.csv", "junit.xml"]:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_the_tutorials_program_recovers_from_each_kind():
    command = [NIGHTBENCH, "trial", str(NIGHT), "--matrix", "--with", "each-kind", "--json", "--jobs", "2",
               "--", sys.executable, str(PROGRAM), "{address}"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=900)
    cells = [json.loads(line) for line in run.stdout.splitlines()]
    assert len(cells) == 37
    assert [cell for cell in cells if not cell["held"]] == [], run.stderr[-2000:]
    assert run.returncode == 0


@pytest.mark.parametrize("ending, source", [
    ("hung", CONNECT + "time.sleep(100)"),
    # A client that never reads is cut off by the server before it has flooded: it reads.
    ("flooded", CONNECT + "import threading\nthreading.Thread(target=lambda: [line.recv(65536) for _ in iter(int, 1)], daemon=True).start()\n"
                          "while True: line.sendall(b'status\\n' * 1000)"),
    ("crashed", CONNECT + "os.kill(os.getpid(), 11)"),
    ("failed", CONNECT + "sys.exit(7)"),
    ("never-connected", "pass"),
    ("left-children", CONNECT + "import subprocess; subprocess.Popen(['sleep', '100'])"),
])
def test_each_bad_end_has_its_word(ending, source):
    assert verdict(source=source) == ending


def test_a_program_that_will_not_end_is_killed():
    source = CONNECT + "import signal\nsignal.signal(signal.SIGTERM, signal.SIG_IGN)\n" \
                       "line.sendall(b'clock by=2h\\n')\ntime.sleep(100)"
    assert verdict(source=source) == "stubborn"


def test_a_program_over_a_pseudo_terminal():
    source = "import os\nline = os.open(os.environ['NIGHTBENCH_ADDRESS'], os.O_RDWR | os.O_NOCTTY)\n" \
             "os.write(line, b'@1 goto name=Regulus\\n')\nassert b'ok @1' in os.read(line, 4096)\n"
    status, out, err = trial("--pty", program=[sys.executable, "-c", source])
    account = json.loads(out)
    assert (status, account["ending"], account["lines"]) == (1, "finished", 1), err


def test_a_program_with_a_language_of_its_own():
    source = CONNECT + "line.sendall(b'please point to Regulus\\r\\nlet 120 pass\\r\\nwhere\\r\\n')\n" \
                       "heard = b''\nwhile b'degrees' not in heard: heard += line.recv(4096)\nprint(heard, file=sys.stderr)\n"
    dialect = TOP / "fixtures" / "dialects" / "plain_words.toml"
    status, out, err = trial("--dialect", str(dialect), program=[sys.executable, "-c", source])
    account = json.loads(out)
    assert (account["ending"], account["targets_reached"]) == ("finished", 1), err
    assert "errand 1 done" in err and "at 10.1" in err


def test_a_failing_trial_is_shrunk_to_what_makes_it_fail():
    source = CONNECT + "line.settimeout(2)\nline.sendall(b'@1 goto name=Regulus\\n')\nsys.exit(0 if b'ok' in line.recv(4096) else 1)"
    command = [NIGHTBENCH, "trial", str(NIGHT), "--matrix", "--json", "--with", "lost-reply", "--", sys.executable, "-c", source]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300)
    cells = [json.loads(line) for line in run.stdout.splitlines()]
    lost = next(cell for cell in cells if cell["faults"] == "lost-reply")
    assert any("program" in line for line in lost["failed"]), cells
