"""`coach routines`."""

import click


@click.command("routines")
def command() -> None:
    """List, show, check or copy routines."""
