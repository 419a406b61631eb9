"""One thread for the linear algebra: on matrices of a blade's size several threads wait for each other.

Two threads ran these solves up to eighty times slower than one on a busy machine, so each process keeps to one and
several blades are spread over processes instead.
"""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager
from functools import lru_cache

from threadpoolctl import ThreadpoolController  # pyright: ignore[reportMissingTypeStubs]


@lru_cache(maxsize=1)
def _controller() -> ThreadpoolController:
    # Looking the loaded libraries up costs a millisecond; once is enough, for numpy and scipy are loaded by then.
    return ThreadpoolController()


@contextmanager
def one_thread() -> Generator[None]:
    """Keep the linear algebra inside to one thread; what was set before comes back afterwards."""
    with _controller().limit(limits=1):  # pyright: ignore[reportUnknownMemberType]
        yield
