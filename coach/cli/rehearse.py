"""`coach rehearse`."""

import click


@click.command("rehearse")
def command() -> None:
    """Run a session in a moment, with answers from a file."""
