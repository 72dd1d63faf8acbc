"""`coach paths`."""

import click


@click.command("paths")
def command() -> None:
    """Print where things are kept."""
