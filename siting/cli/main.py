"""The command line's door: finds the command, prints faults as plain lines, and sets the exit status."""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from importlib import import_module

import click

from siting.errors import SitingError
from siting.version import VERSION

# Command: (module, what it does). The module is imported when the command runs, so help answers at once.
COMMANDS = {
    "plan": ("siting.cli.plan", "Make the staking packet of a site."),
    "lift": ("siting.cli.lift", "Print the lift-day tables of a plan and write the lift sheet."),
    "dig": ("siting.cli.dig", "Print what holds the guys and what is dug; write the dig sheet and the locate notice."),
    "land": ("siting.cli.land", "Print rules, zones, overhead lines and the air screening; write the land sheet."),
    "search": ("siting.cli.search", "Score a whole property or county as sites, and write the best spots."),
    "check": ("siting.cli.check", "Compare the points as staked with the plan."),
    "verify": ("siting.cli.verify", "Say whether a packet is whole, and what has changed."),
    "masts": ("siting.cli.masts", "List the shipped masts, or print one as a file to start from."),
}
FAULTS_SHOWN = 5


class LazyCommands(click.Group):
    """A group that imports a command only to run it or to show its own help."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands in their own order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        """The command of that name, None where there is none."""
        return import_module(COMMANDS[name][0]).command if name in COMMANDS else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The commands with one line each, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])

    def resolve_command(self, ctx: click.Context, args: list[str]):
        """The command, or a plain fault with the nearest known name."""
        if args and args[0] not in COMMANDS:
            import difflib

            near = difflib.get_close_matches(args[0], COMMANDS, 1, 0.5)
            hint = f"did you mean {near[0]}?" if near else f"commands: {', '.join(COMMANDS)}"
            raise click.UsageError(f"there is no command '{args[0]}'; {hint}", ctx)
        return super().resolve_command(ctx, args)


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(VERSION, prog_name="siting")
def group() -> None:
    """Staking plans for guyed tilt-up met masts, from an open DEM.

    A plan is a calculation, not a survey and not a permission: the mast maker's drawing, local codes and licensed
    people come first.
    """


def main() -> None:
    """Runs the command line and ends the process with its exit status (0 pass or marginal, 1 a check fails, 2 bad input)."""
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(errors="replace")
    # A command lives for a second and keeps what it makes: collecting garbage would only slow its start and its end
    # (a fifth of the demo plan's time, benchmarks/start_up.py).
    gc.disable()
    status = _status()
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError):  # whoever read it has left
            stream.flush()
    # Every file is closed and in place by now: taking a thousand modules apart would only keep the user waiting.
    os._exit(status)


def _status() -> int:
    try:
        return group.main(standalone_mode=False) or 0
    except SitingError as fault:
        for item in fault.faults[:FAULTS_SHOWN]:
            print(item.line(), file=sys.stderr)
        if len(fault.faults) > FAULTS_SHOWN:
            print(f"and {len(fault.faults) - FAULTS_SHOWN} more", file=sys.stderr)
        return fault.exit_code
    except click.ClickException as fault:
        context = getattr(fault, "ctx", None)
        path = context.command_path if context else "siting"
        message = " ".join(fault.format_message().split()).rstrip(".")
        end = "" if message.endswith(("?", "?)")) else "."
        print(f"{path}: {message}{end} See {path} --help.", file=sys.stderr)
        return 2
    except (KeyboardInterrupt, click.Abort):
        print("siting: stopped; nothing was written.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as fault:  # the last door: a user must never meet a traceback
        if os.environ.get("SITING_TRACEBACK"):
            raise
        text = " ".join(str(fault).split())
        print(
            f"siting: a fault of its own ({type(fault).__name__}: {text}); nothing was written. "
            "Please report it with the site file; SITING_TRACEBACK=1 shows where it happened.",
            file=sys.stderr,
        )
        return 2
