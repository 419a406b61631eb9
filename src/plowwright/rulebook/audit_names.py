"""Audit of names and dates: superseded entries, stock nobody uses, closed rulebooks that were changed."""

from __future__ import annotations

from collections.abc import Iterator

from plowwright.errors import PlowwrightError
from plowwright.findings import Finding
from plowwright.rulebook.audit_said import fault, rule
from plowwright.rulebook.reading import Rulebook, load
from plowwright.rulebook.references import names_used, successors
from plowwright.rulebook.versions import versions


def superseded_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Entries still used although another took their place, and chains of successors that go in a ring."""
    after = {(table, str(path[1])): name for path, name, table, _ in successors(rulebook.data)}
    rings: set[frozenset[str]] = set()
    for table, name in after:
        chain = [name]
        while (table, chain[-1]) in after and len(chain) == len(set(chain)):
            chain.append(after[table, chain[-1]])
        if len(chain) != len(set(chain)) and chain[-1] == name and frozenset(chain) not in rings:
            rings.add(frozenset(chain))
            yield fault(
                "superseded entries",
                f"{' is superseded by '.join(chain)}: that goes in a ring.",
                basis=rule("a chain of successors ends"),
                place=rulebook.place(table, name, "superseded_by"),
                value=f"{len(chain) - 1} entries in a ring",
                limit="an end",
            )
    for path, name, table, _ in names_used(rulebook.data):
        if (table, name) in after:
            file, *rest = path
            yield fault(
                "superseded entries",
                f"{_owner(rulebook, path)} still uses {name}, which is superseded by {after[table, name]}.",
                basis=rule("new blades use what has not been superseded"),
                place=rulebook.place(str(file), *rest),
                value=name,
                limit=after[table, name],
                verdict="near limit",
            )


def _owner(rulebook: Rulebook, path: tuple[str | int, ...]) -> str:
    if path[0] == "series":
        return rulebook.series[str(path[1])].name
    if path[0] == "mounts":
        return rulebook.mounts[str(path[1])].name
    return ".".join(str(key) for key in path[1:3]) if path[0] == "options" else str(path[1])


def unused_stock(rulebook: Rulebook) -> Iterator[Finding]:
    """Sections and plates that nothing names; nothing is wrong with them, the owner may want to know."""
    used = {(table, name) for _, name, table, _ in names_used(rulebook.data)}
    for table in ("sections", "plates"):
        for name in getattr(rulebook, table):
            if (table, name) not in used:
                yield fault(
                    "stock in use",
                    f"No series, mount or option uses {name}.",
                    basis=rule("stock is there to be used"),
                    place=rulebook.place(table, name),
                    value="not used",
                    margin="",
                    verdict="holds",
                )


def seal_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Closed rulebooks that were changed or cannot be read any more, and past ones without a seal."""
    for line in versions(rulebook.folder):
        current = line.folder == rulebook.folder
        if current and line.sealed is None:
            continue
        place = rulebook.place("version") if current else str(line.folder.relative_to(rulebook.folder))
        day = line.date.isoformat()
        basis = rule("past rules carry the fingerprint they were closed with", sealed=line.sealed or "none")
        limit = f"fingerprint {line.sealed}" if line.sealed else "a seal"
        try:
            now = rulebook.fingerprint if current else load(line.folder).fingerprint
        except PlowwrightError as error:
            sentence = f"The rules of {day} can no longer be read: {error.sentence()}"
            yield fault("seals", sentence, basis=basis, place=place, value="cannot be read", limit=limit)
            continue
        if line.sealed is None:
            sentence = (
                f"The rules of {day} are past but not sealed; a change to them would not show. "
                f'Write sealed = "{now}" into its version.toml.'
            )
            yield fault(
                "seals",
                sentence,
                basis=basis,
                place=place,
                value="no seal",
                limit=limit,
                verdict="near limit",
            )
        elif now != line.sealed:
            sentence = (
                f"The rules of {day} were changed after they were sealed: fingerprint {now}, "
                f"sealed {line.sealed}. Put them back, or give the change a date of its own."
            )
            yield fault("seals", sentence, basis=basis, place=place, value=f"fingerprint {now}", limit=limit)
