"""Work that Ctrl-C ends with the best found so far, instead of with nothing."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Generator
from contextlib import contextmanager
from types import FrameType

from rich.console import Console
from rich.progress import Progress, SpinnerColumn, TextColumn


@contextmanager
def stoppable() -> Generator[Callable[[], bool]]:
    """Within it the first Ctrl-C only asks the work to stop; the second ends the program as ever.

    Yields:
        Whether somebody asked.
    """
    asked = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        # Only the main thread hears Ctrl-C; elsewhere nobody can ask.
        yield asked.is_set
        return
    before = signal.getsignal(signal.SIGINT)

    def heard(number: int, frame: FrameType | None) -> None:
        asked.set()
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, heard)
    try:
        yield asked.is_set
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def watched(what: str) -> Generator[tuple[Callable[[], bool], Callable[[str], None]]]:
    """Within it the first Ctrl-C asks the work to stop, and a line beside the answer says how far it is.

    Args:
        what: What is worked on.

    Yields:
        Whether somebody asked to stop, and what says how far it is.
    """
    line = (SpinnerColumn(), TextColumn("{task.description}"))
    with stoppable() as stopped, Progress(*line, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what)
        yield stopped, lambda said: bar.update(task, description=said)
