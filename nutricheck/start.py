"""Starts the command line, so that Ctrl-C ends it quietly at any moment.

Python's own KeyboardInterrupt may arise where it is swallowed or told as another error: while a
module is read, or in a callback. So the signal ends the process itself. The window of ``nutricheck
open`` minds it in its own way (``cli/open.py``), for it has a draft to keep.
"""

from __future__ import annotations

import os
import signal
import sys

__all__ = ["main"]

_STOPPED = 130  # 128 and the signal's number, as shells have it


def main() -> None:
    """Run the command line; Ctrl-C ends it with exit status 130.

    A command in the background is started with the signal ignored, and stays so.
    """
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
        signal.signal(signal.SIGINT, _end)
    from nutricheck.cli import main as command_line

    command_line()


def _end(number: int, frame: object) -> None:
    """End at once, without the files that are half written."""
    if writer := sys.modules.get("nutricheck.atomic"):
        writer.discard_parts()
    os.write(2, b"stopped\n")
    os._exit(_STOPPED)
