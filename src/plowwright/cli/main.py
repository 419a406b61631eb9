"""The command line. Exits 0 when done, 1 when refused with a reason, 2 on bad input."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from tempfile import TemporaryDirectory
from typing import Annotated

import typer

from plowwright.cli import (
    blades,
    counter,
    crew,
    cut,
    dock,
    fit,
    floor,
    importing,
    lives,
    nest,
    orders,
    plans,
    records,
    refit,
    rules,
    stock,
    swing,
)
from plowwright.cli.common import Demo, Records, Rules, app, desk_of
from plowwright.desk.desk import Desk
from plowwright.errors import EdgeError, EntryError, ModelError, NotFoundError, PlowwrightError, RefusedError

COMMANDS = (
    blades, counter, crew, cut, dock, fit, floor, importing, lives, nest, orders, plans, records, refit, rules, stock,
    swing,
)  # fmt: skip
"""Modules whose commands there are; importing them adds their commands to the application."""


@app.command()
def serve(
    host: Annotated[str, typer.Option("--host", help="Address to answer on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", help="Port to answer on.")] = 8421,
    rulebook: Rules = None,
    demo: Demo = False,
    records: Records = None,
) -> None:
    """Serve the shop's pages until stopped with Ctrl-C.

    The shop's records are in the folder records unless another is named; the demo's begin anew each time.
    """
    from plowwright.web.server import run

    with TemporaryDirectory(prefix="plowwright-demo-") as fresh:
        desk = desk_of(rulebook, demo=demo, records=records or (fresh if demo else "records"))
        if demo and records is None:
            print("The invented shop's records begin anew each time; keep them with --records FOLDER.")
        _serve(run, desk, host, port)


def _serve(run: Callable[..., None], desk: Desk, host: str, port: int) -> None:
    print(f"The wall is at http://{host}:{port}/ (Ctrl-C stops it).")
    run(desk, host=host, port=port)


def main() -> None:
    """Run a command; an error on purpose becomes its sentence and an exit code."""
    try:
        # Not standing alone, an exit asked for inside a command comes back as its code; commands return nothing else.
        code: int | None = app(standalone_mode=False)
    except PlowwrightError as fault:
        if "--json" in sys.argv:
            print(json.dumps({"error": fault.as_dict()}, indent=1))
        else:
            print(fault.sentence(), file=sys.stderr)
        known = (ModelError, EdgeError, RefusedError)
        refused = isinstance(fault, known) or not isinstance(fault, (EntryError, NotFoundError))
        sys.exit(1 if refused else 2)
    except Exception as fault:
        # Typer raises its own usage errors with a ready-made message; anything else is ours and must be seen whole.
        show = getattr(fault, "format_message", None)
        if show is None:
            raise
        if "--json" in sys.argv:
            print(json.dumps({"error": EntryError(show()).as_dict()}, indent=1))
        else:
            print(show(), file=sys.stderr)
        sys.exit(2)
    if code:
        sys.exit(code)
