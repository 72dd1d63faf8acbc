"""`coach words`: what may be said, for each answer, and how it is taught."""

import click

from coach.cli import output
from coach.cli.packs import language_option, pack_of
from coach.cli.teach import forget, teach
from coach.cli.word_models import model
from coach.files.paths import paths
from coach.model.voice_profile import USUAL_PACE


@click.group("words", invoke_without_command=True)
@language_option
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@click.pass_context
def command(ctx: click.Context, language: str | None, as_json: bool) -> None:
    """List what may be said, and teach it.

    Without a command: every answer with its phrases, the one that is shown first; what was taught
    is marked +, and what the recogniser can only hear once it is taught is marked ?.
    """
    if ctx.invoked_subcommand is not None:
        return
    known = paths()
    pack = pack_of(known, language)
    from coach.hearing.knowing import Known, known_of

    phrases = [phrase for some in pack.answers.values() for phrase in some]
    how = known_of(pack.code, phrases, known.takes(pack.code))
    if as_json:
        output.document(
            {
                key: [{"phrase": one, "known": how[one].value} for one in some]
                for key, some in pack.answers.items()
            }
        )
        return
    marks = {Known.TAUGHT: " +", Known.UNKNOWN: " ?"}
    output.table(
        (key, ", ".join(f"{one}{marks.get(how[one], '')}" for one in some))
        for key, some in pack.answers.items()
    )


@command.command("script")
@language_option
@click.option("--longest", type=int, metavar="N", help="Only the N with the longest sentences.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
def script(language: str | None, longest: int | None, as_json: bool) -> None:
    """List every sentence that may be spoken, with its seconds.

    Each is filled with nothing, one and several, to be read aloud before it is shipped.
    """
    from coach.files.movements import load_movements
    from coach.files.words import load_language
    from coach.language.script import script as lines_of

    known = paths()
    code = pack_of(known, language).code
    pack = load_language(code, load_movements(known.user_dirs), known.user_dirs)
    found = list(lines_of(pack))
    if longest is not None:
        found = sorted(found, key=lambda line: -line.words)[:longest]
    if as_json:
        output.document(
            [
                {"key": one.key, "text": one.text, "seconds": round(one.seconds(USUAL_PACE), 1)}
                for one in found
            ]
        )
        return
    output.table((one.key, f"{one.seconds(USUAL_PACE):.1f} s", one.text) for one in found)


command.add_command(teach)
command.add_command(forget)
command.add_command(model)
