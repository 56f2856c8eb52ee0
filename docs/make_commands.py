"""Write docs/commands.md from the command line itself: every command, argument, option and its help.

Run it through `scripts/docs`. `tests/house/test_docs.py` compares the page with the program.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import click

DOCS = Path(__file__).resolve().parent

HEAD = """\
# Commands

*This page is made from the program by `scripts/docs`; do not edit it.*

`--json` prints one JSON document on standard output and nothing else there; progress and warnings go to
standard error. Numbers in JSON are base SI (K, m, Pa, kg, s) and fractions (0.65, not 65) unless the name of
the field ends in a unit. Exit status: 0 done; 1 done, and the answer is "no" or "unknown"; 2 the input or the
call is wrong; 3 the machinery failed.
"""


def command_tree() -> click.Group:
    """The program as click sees it."""
    from typer.main import get_command

    from pairwright.cli.main import app

    return get_command(app)  # type: ignore[return-value]


def commands(group: click.Group | None = None, prefix: str = "pairwright") -> dict[str, click.Command]:
    """Every visible command by its full name, groups resolved."""
    group = group or command_tree()
    found: dict[str, click.Command] = {}
    for name, command in sorted(group.commands.items()):
        if command.hidden:
            continue
        full = f"{prefix} {name}"
        found[full] = command
        if getattr(command, "commands", None):
            found.update(commands(command, full))  # type: ignore[arg-type]
    return found


def _plain(text: str | None) -> str:
    return re.sub(r"\s+", " ", re.sub(r"\[/?[a-z ]+\]", "", text or "")).strip()


def _usage(full: str, command: click.Command) -> str:
    parts = [full]
    for parameter in command.params:
        if parameter.param_type_name == "argument":
            name = (parameter.metavar or parameter.name or "").upper().strip("[]")
            parts.append(name if parameter.required else f"[{name}]")
    if any(p.param_type_name == "option" for p in command.params):
        parts.append("[options]")
    return " ".join(parts)


def _parameter(parameter: click.Parameter) -> str:
    help_text = _plain(getattr(parameter, "help", None))
    if parameter.param_type_name == "argument":
        name = (parameter.metavar or parameter.name or "").upper().strip("[]")
        return f"- `{name}`: {help_text}".rstrip(": ")
    name = ", ".join([*parameter.opts, *parameter.secondary_opts])
    return f"- `{name}`: {help_text}".rstrip(": ")


def render() -> str:
    """The whole page."""
    parts = [HEAD]
    for full, command in commands().items():
        parts.append(f"## `{full}`\n\n{_plain(command.help)}\n")
        parts.append(f"```text\n{_usage(full, command)}\n```\n")
        lines = [_parameter(p) for p in command.params if not getattr(p, "hidden", False)]
        if lines:
            parts.append("\n".join(lines) + "\n")
    return "\n".join(parts)


def main() -> int:
    """Write the page, or say why it can't be written."""
    try:
        page = render()
    except ImportError as error:
        print(
            f"docs/commands.md is left as it is: the command line can't be imported ({error})",
            file=sys.stderr,
        )
        return 1
    (DOCS / "commands.md").write_text(page, encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
