"""The command group that lets no traceback reach a user."""

from __future__ import annotations

import atexit
import gc
import os
import sys
from collections.abc import Sequence
from typing import Any

import click

from harness.cli.streams import made_fit, refused
from harness.signs import file_shown, shown

DEBUG = "HARNESS_DEBUG"
STOPPED = 130  # as shells call it when somebody pressed Ctrl-C


# What is left at the end goes with the process; to look through it for rings once more takes 0.3 s.
atexit.register(gc.freeze)


class Unexpected(click.ClickException):
    """A fault of the program itself."""

    exit_code = 4


class Refused(click.ClickException):
    """The system refused a file or a stream where nobody foresaw it."""

    exit_code = 3


def _harmless(message: str, words: Sequence[str]) -> str:
    """A message that steers no terminal; a word of the call that it quotes stays on one line."""
    for word in {part for each in words for part in (each, each.partition("=")[2])}:
        if "\n" in word or "\t" in word:
            message = message.replace(word, file_shown(word))
    return shown(message)


class SafeGroup(click.Group):
    """Turns what nobody foresaw into one line and exit code 4; HARNESS_DEBUG=1 shows where it happened.

    A command keeps nearly all it makes until it ends, so the collector of rings, which looks through all of
    it again and again, rests meanwhile: a fifth of the time on a large machine, for no more memory.
    """

    def add_command(self, cmd: click.Command, name: str | None = None) -> None:
        """Whoever reads or writes a file says why it cannot, in words with a cure and with exit code 3."""
        super().add_command(cmd, name)
        for each in (cmd, *(cmd.commands.values() if isinstance(cmd, click.Group) else ())):
            for parameter in each.params:
                if isinstance(parameter.type, click.Path):
                    parameter.type.readable = False
                    parameter.type.dir_okay = parameter.type.file_okay = True

    def main(self, *words: Any, **more: Any) -> Any:
        made_fit()
        try:
            return super().main(*words, **more)
        except OSError as error:  # help could not be printed, which is done outside of any command
            told = Refused(shown(refused(error)))
            told.show()
            sys.exit(told.exit_code)

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None, **extra: Any
    ) -> click.Context:
        """As click does it; what it says of a wrong option before any command is told harmlessly too."""
        words = list(args)
        try:
            return super().make_context(info_name, args, parent, **extra)
        except click.ClickException as error:
            error.__dict__["message"] = _harmless(error.message, words)
            raise

    def invoke(self, ctx: click.Context) -> Any:
        words = list(ctx.args)
        collecting = gc.isenabled()
        gc.disable()
        try:
            return super().invoke(ctx)
        except click.ClickException as error:
            error.__dict__["message"] = _harmless(error.message, words)
            raise
        except (click.Abort, KeyboardInterrupt):  # the library would end with 1, which means dangers here
            click.echo("\nstopped", err=True)
            raise SystemExit(STOPPED) from None
        except (click.exceptions.Exit, SystemExit):
            raise
        except OSError as error:
            if os.environ.get(DEBUG):
                raise
            raise Refused(shown(refused(error))) from None
        except MemoryError:
            raise Unexpected("out of memory; nothing was written") from None
        except Exception as error:
            if os.environ.get(DEBUG):
                raise
            raise Unexpected(
                "the program met something it does not understand "
                f"({type(error).__name__}: {shown(str(error))}); "
                f"please report it with the survey, and with what {DEBUG}=1 shows"
            ) from None
        finally:
            if collecting:
                gc.enable()
