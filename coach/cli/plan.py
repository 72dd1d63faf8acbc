"""`coach plan`."""

import click


@click.command("plan")
def command() -> None:
    """Print what a session would hold, without sound."""
