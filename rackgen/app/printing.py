"""What the commands print. A reader that has had enough is no failure; a full disk is one."""

from __future__ import annotations

import os
import sys
from typing import TextIO

import click


def say(text: str | bytes = "", *, line: bool = True) -> None:
    """Print on standard output; once its reader has closed the pipe, print nothing more.

    A full disk behind standard output is told on standard error, and ends the run with exit code 2.

    Args:
        text: what to print.
        line: whether to end the line.
    """
    try:
        click.echo(text, nl=line)
    except BrokenPipeError:
        _silence(sys.stdout)
    except OSError as error:
        _silence(sys.stdout)
        complain(f"standard output cannot be written: {error.strerror or error}")
        sys.exit(2)


def complain(text: str) -> None:
    """Print a line on standard error, where there is one that can be written."""
    try:
        click.echo(text, err=True)
    except OSError:
        # Nobody is left to be told; the exit code still says it.
        _silence(sys.stderr)


def _silence(stream: TextIO) -> None:
    """Send what is still held for a stream nowhere, so that the end of the program does not fail on it again."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
