"""`coach start`."""

import click


@click.command("start")
def command() -> None:
    """Run a session."""
