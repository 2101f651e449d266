"""The tutorial's program in Python, run against the served mount over a pseudo-terminal."""

import os
import pathlib
import subprocess
import sys
import time

import pytest

TOP = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = TOP / "docs" / "tutorial" / "first_light.py"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="pseudo-terminals are served on Linux alone")
def test_first_light(tmp_path):
    binary = os.environ.get("NIGHTBENCH_BIN", str(TOP / "target" / "release" / "nightbench"))
    path = tmp_path / "mount"
    serving = subprocess.Popen([binary, "serve", "--pty", str(path), "--speed", "40"], stdout=subprocess.PIPE, text=True)
    try:
        assert serving.stdout.readline().startswith("pty ")
        spoken = subprocess.run([sys.executable, str(PROGRAM), str(path)], capture_output=True, text=True, timeout=60)
        assert spoken.returncode == 0, spoken.stderr
        lines = spoken.stdout.splitlines()
        assert lines[0] == "connected to a german-equatorial"
        assert lines[1].startswith("refused: 30 unknown-target")
        # Regulus, catalogue place, to the twentieth of a degree that belief may be off by its entered site and time.
        assert lines[2].startswith("arrived; it believes to point at ra=152.0") and "dec=11.9" in lines[2]
        assert lines[3:] == ["it tracks: the hour axis turned westward", "stopped"]
    finally:
        begun = time.monotonic()
        serving.terminate()
        assert serving.wait(timeout=10) == 0
        assert time.monotonic() - begun < 1.5
        assert not path.is_symlink()
