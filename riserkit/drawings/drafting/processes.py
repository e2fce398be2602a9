"""Sharing work among processes: how many cores there are, and whether forking is safe."""

from __future__ import annotations

import os
import sys
import threading


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def may_fork() -> bool:
    """Forking copies locks as they stand: safe only where no other thread may hold one."""
    return sys.platform.startswith("linux") and threading.active_count() == 1
