"""docs/commands.md and the commands themselves say the same: every command, every option, and no other."""

from __future__ import annotations

import re

from typer.main import get_command

from plowwright.cli.main import app
from tests.house.reading import ROOT

HEADING = re.compile(r"^## `plowwright ([\w-]+)[^`]*`", re.MULTILINE)
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z0-9-]*")


def sections() -> dict[str, str]:
    """What docs/commands.md says about each command, by its name."""
    parts = HEADING.split((ROOT / "docs" / "commands.md").read_text(encoding="utf-8"))
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def commands() -> dict[str, set[str]]:
    """Every command of the program with the long names of its options, asked from the program itself."""
    known = getattr(get_command(app), "commands", {})
    assert known, "the program has no commands"
    return {
        name: {
            option
            for parameter in command.params
            for option in (*parameter.opts, *parameter.secondary_opts)
            if option.startswith("--")
        }
        for name, command in known.items()
        if not command.hidden
    }


def test_every_command_has_its_section_and_no_section_is_about_a_command_that_is_not_there() -> None:
    assert sections().keys() == commands().keys()


def test_each_section_names_every_option_of_its_command_and_no_other() -> None:
    written = {name: set(OPTION.findall(text)) - {"--help"} for name, text in sections().items()}
    real = {name: options - {"--help"} for name, options in commands().items()}
    differences = {
        name: {
            "missing in the text": real[name] - written.get(name, set()),
            "only in the text": written.get(name, set()) - real[name],
        }
        for name in real
        if real[name] != written.get(name, set())
    }
    assert not differences, differences


def test_every_command_and_option_explains_itself_in_its_help() -> None:
    mute: list[str] = []
    for name, command in getattr(get_command(app), "commands", {}).items():
        if not command.help:
            mute.append(name)
        mute += [f"{name} {p.opts[0]}" for p in command.params if not getattr(p, "help", None)]
    assert not mute, f"no help: {mute}"
