"""Being stopped while a process is in the middle of handing over its result: the parent ends, and does not wait for the rest."""

from __future__ import annotations

import subprocess
import sys

import pytest

SCRIPT = """
import time
from riserkit.drawings.processes import forked

def large(_):
    return b"x" * 100_000_000

def read_so_far():
    return int(open("/proc/self/io").read().split("rchar: ")[1].split()[0])

try:
    with forked(2, "drawn") as pool:
        pool.submit(large, 1)
        before = read_so_far()
        while read_so_far() < before + 1_000_000:
            time.sleep(0.0005)
        raise KeyboardInterrupt
except KeyboardInterrupt:
    print("stopped")
"""


@pytest.mark.skipif(sys.platform != "linux", reason="processes are forked on Linux alone")
def test_a_stop_does_not_wait_for_a_result_that_was_cut_off():
    done = subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout) == (0, "stopped\n"), done.stderr
