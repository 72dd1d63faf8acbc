"""`coach soundcheck`."""

import click


@click.command("soundcheck")
def command() -> None:
    """Test speaker, microphone, engines and journal from where you stand."""
