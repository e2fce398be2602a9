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


MADE = """
import os, signal, time
from riserkit.commands.frame import answers

class Slow:
    def __set_name__(self, owner, name):
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(0.1)

@answers
def command():
    class Made:
        part = Slow()
    return 0

command()
"""


def test_a_stop_while_a_class_is_made_is_a_stop_and_no_fault():
    """Python 3.11 makes a RuntimeError of whatever is raised there (object.__set_name__)."""
    done = subprocess.run([sys.executable, "-c", MADE], capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (143, "riserkit: stopped before the end\n")
