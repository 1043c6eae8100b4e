"""The group of commands, its options, and the one place where errors become sentences."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Sequence
from typing import Final

import click

from tideover import __version__
from tideover.cli.errors import one_line, report
from tideover.cli.session import Session, demo_books, home_books

# The filter's matrices are small: threads of the algebra library only wait for one another, many times longer on a busy
# machine than the work takes. Set before anything loads it; whoever sets it outside has his way.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

COMMANDS: Final = (
    "demo",
    "bring",
    "weather",
    "export",
    "calls",
    "round",
    "rounds",
    "lookout",
    "coldbox",
    "hive",
    "card",
    "calendar",
    "labels",
    "mix",
    "write",
    "undo",
    "serve",
    "figures",
    "checks",
    "settings",
    "backup",
    "schema",
)
"""In the order a person meets them; help lists them so."""


class ReaderLeftError(Exception):
    """Whoever read our output is gone (a pager, head): no error, and nothing more to say."""


class Commands(click.Group):
    """Finds a command's module when it is asked for, so that nothing else is loaded."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command's name, in reading order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        if cmd_name not in COMMANDS:
            return None
        found: click.Command = importlib.import_module(f"tideover.cli.commands.{cmd_name}").command
        return found

    def invoke(self, ctx: click.Context) -> object:
        """As click does, but a reader that left early is told apart from a failure."""
        try:
            found = super().invoke(ctx)
            sys.stdout.flush()
        except BrokenPipeError:
            raise ReaderLeftError from None
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, but a mistyped name is answered with the nearest one."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], COMMANDS, n=1)
            hint = f"did you mean {near[0]!r}?" if near else "--help lists the commands."
            raise click.UsageError(f"there is no command {args[0]!r}; {hint}", ctx)
        return super().resolve_command(ctx, args)


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Example: tideover bring season/*.csv, then tideover calls. A first look without own data: tideover demo.",
)
@click.option("--books", envvar="TIDEOVER_BOOKS", metavar="PATH", help="The books to use [env TIDEOVER_BOOKS].")
@click.option("--demo", "use_demo", is_flag=True, help="Use the books of the invented season (made by 'demo').")
@click.option(
    "--processes",
    type=click.IntRange(1),
    envvar="TIDEOVER_PROCESSES",
    metavar="N",
    help="Hives worked out at once, at most one a processor; 1 takes least memory [default: 2].",
)
@click.option("--debug", is_flag=True, help="Show where an error happened.")
@click.version_option(__version__, "-V", "--version", message="tideover %(version)s")
@click.pass_context
def cli(ctx: click.Context, books: str | None, use_demo: bool, processes: int | None, debug: bool) -> None:
    """Protein, brood and the coming winter: a call per hive when summer burns the flowers off.

    Opening hives has its risks: stings, smoke and fire, heat, heavy boxes. Local rules,
    licensed vets and inspectors come before anything printed here.
    """
    chosen = str(demo_books()) if use_demo else books or str(home_books())
    ctx.obj = Session(books=chosen, debug=debug, processes=processes)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code.

    Parameters: arguments: words after the program's name; the process's own when None.
    Exit codes: 0 done, 1 a fault of the program, 2 something to put right, 130 interrupted.
    """
    sys.exit(run(sys.argv[1:] if arguments is None else list(arguments)))


def run(arguments: list[str]) -> int:
    """As ``main``, but gives back the exit code."""
    debug = "--debug" in arguments
    if not arguments:
        print(cli.get_help(click.Context(cli, info_name="tideover", max_content_width=100)))
        return 2
    try:
        code = cli.main(args=arguments, prog_name="tideover", standalone_mode=False)
    except click.exceptions.Exit as left:
        return left.exit_code
    except click.ClickException as wrong:
        path = wrong.ctx.command_path if isinstance(wrong, click.UsageError) and wrong.ctx else ""
        more = f" (see '{path} --help')" if path and isinstance(wrong, click.UsageError) else ""
        print(f"tideover: {one_line(wrong.format_message())}{more}", file=sys.stderr)
        return 2
    except (click.Abort, KeyboardInterrupt):
        print("tideover: stopped; the books are as they were.", file=sys.stderr)
        return 130
    except ReaderLeftError:
        # what is still in the buffer has nowhere to go, and must not fail once more at exit
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        return report(error, debug)
    return code if isinstance(code, int) else 0
