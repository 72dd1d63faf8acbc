"""The same random scripts through two versions of the program, and where they part.

`python -m tests.bench.rehearsals record FILE [COUNT]` rehearses COUNT sessions, 1,000 by default,
with the program of this checkout; with `--at COMMIT` as it was at a commit. `... compare FILE FILE`
says how many transcripts are the same, how many but for words, and by what the others first part;
`--alike OLD=NEW` takes words for others that were put in their place.

A script is phrases at times, drawn from a list of its own: none of it comes from the program.
"""

import gzip
import json
import os
import re
import shutil
import subprocess
import sys
from argparse import ArgumentParser
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

COUNT = 1000
NOW = datetime.fromisoformat("2026-03-02T18:00:00+01:00")
#: What is said, some of it often: feels, ends, results, wishes, dangers.
PHRASES = (
    *(4 * ("fine", "fresh", "all done", "down", "let's try", "no")),
    *("i'm tired", "sore", "stiff", "my fingers are sore", "my back", "fingers", "my elbow"),
    *("the muscle", "the joint", "it's the skin", "hurting", "i'm hurt", "something popped"),
    *("topped it", "fell at the start", "fell in the middle", "fell near the top", "closer"),
    *("skip this", "say again", "more time", "i'm ready", "make it easier", "make it harder"),
    *("short of time", "ten minutes less", "twenty minutes more", "stop", "resume", "pause"),
    *("why", "what's next", "how long", "not today", "enough", "last go", "that's three"),
    *("another boulder", "one more go", "finish", "i have to go", "no more questions", "yes"),
)
HURTING = ("no", "no", "no", "fingers sore", "left shoulder stiff", "elbow hurting", "skin sore")
_Line = tuple[float, str, str]


def day(seed: int) -> tuple[dict[str, object], str]:
    """The options of a session, and its script as a file of answers."""
    dice = Random(f"rehearsals-{seed}")
    people = dice.choice((1, 1, 1, 2))
    options: dict[str, object] = {
        "routine": dice.choice(("full", "full", "quick", "technique-day", "rests")),
        "minutes": dice.choice((45, 60, 75, 90, 120)),
        "hurting": dice.choice(HURTING),
        "same_place": True,
        "place": "tarnwick",
        "age": tuple(dice.choice(("adult", "adult", "adult", "under-18")) for _ in range(people)),
        "people": people,
    }
    times = sorted(dice.randrange(5400) for _ in range(dice.choice((0, 8, 25, 60, 120))))
    lines = [f"{at // 60:02d}:{at % 60:02d} {dice.choice(PHRASES)}" for at in times]
    return options, "\n".join(lines) + "\n"


def transcript(seed: int, folder: Path) -> list[_Line]:
    """What one session says, hears, changes and keeps, or the error it ends with."""
    from coach.files.answers_file import read_answers
    from coach.files.paths import paths
    from coach.runtime.rehearsal import rehearse
    from coach.session.step import new_session
    from coach.setup.choices import Choices
    from coach.setup.settling import settle

    options, script = day(seed)
    file = folder / "script.txt"
    file.write_text(script, encoding="utf-8")
    try:
        setup = settle(Choices(**options), paths(), NOW)  # type: ignore[arg-type]
        language = setup.language
        answers = read_answers(file, language.breath, language.said)
        done = rehearse(new_session(setup.library, setup.options), language, answers)
    except Exception as error:  # noqa: BLE001 - what a version can't do is part of what it does
        return [(0.0, "error", f"{type(error).__name__}: {error}")]
    return [(round(one.at, 1), one.kind, one.text) for one in done.transcript.entries]


def record(file: Path, count: int) -> None:
    """Write the transcripts of the program that is imported."""
    with TemporaryDirectory() as folder, gzip.open(file, "wt", encoding="utf-8") as out:
        for seed in range(count):
            out.write(json.dumps(transcript(seed, Path(folder))) + "\n")
    print(f"{count} rehearsals in {file}")


def record_at(commit: str, file: Path, count: int) -> None:
    """The same with the program as it was at a commit, in a process of its own."""
    with TemporaryDirectory() as folder:
        packed = subprocess.run(["git", "archive", commit], check=True, capture_output=True).stdout
        subprocess.run(["tar", "-x", "-C", folder], input=packed, check=True)
        shutil.copy(__file__, Path(folder) / "rehearsals_of_now.py")
        subprocess.run(
            [sys.executable, "-P", "rehearsals_of_now.py", "record", str(file.resolve()),
             str(count)],
            cwd=folder, env={**os.environ, "PYTHONPATH": folder}, check=True,
        )  # fmt: skip


def read(file: Path) -> Iterator[list[_Line]]:
    """The transcripts of a file."""
    with gzip.open(file, "rt", encoding="utf-8") as lines:
        for line in lines:
            yield [(at, kind, text) for at, kind, text in json.loads(line)]


def parts_at(before: Sequence[_Line], after: Sequence[_Line]) -> str:
    """By what two transcripts first part in what is done; '' where they do the same.

    Words and seconds may differ.
    """
    done, other = [_done(one) for one in before], [_done(one) for one in after]
    for one, two in zip(done, other, strict=False):
        if one != two:
            return f"{one}  ->  {two}"
    if len(done) == len(other):
        return ""
    more, when = (done, "before") if len(done) > len(other) else (other, "after")
    return f"only {when}: {more[min(len(done), len(other))]}"


def _done(line: _Line) -> str:
    """What a line says was done: of a fact its name and values, else only its kind."""
    _, kind, text = line
    return f"{kind} {re.sub('[0-9.]+', '#', text)[:70]}" if kind in ("recorded", "error") else kind


def compare(before: Path, after: Path, alike: Sequence[tuple[str, str]], most: int = 40) -> int:
    """Print how many are the same, and how the others part; 1 where what is done differs.

    `alike` are words that were put in the place of others.
    """
    kinds: Counter[str] = Counter()
    seeds: dict[str, int] = {}
    count = same = 0
    for seed, (one, other) in enumerate(zip(read(before), read(after), strict=True)):
        count += 1
        told = [(at, kind, _alike(text, alike)) for at, kind, text in one]
        same += told == other
        kind = parts_at(told, other)
        if kind:
            kinds[kind] += 1
            seeds.setdefault(kind, seed)
    parted = kinds.total()
    print(f"{same} of {count} are the same, {count - same - parted} but for words and seconds")
    for kind, often in kinds.most_common(most):
        print(f"{often:4d}  (seed {seeds[kind]})  {kind}")
    return int(bool(kinds))


def _alike(text: str, alike: Sequence[tuple[str, str]]) -> str:
    for old, new in alike:
        text = text.replace(old, new)
    return text


def main(arguments: Sequence[str]) -> int:
    """Record, or compare two records."""
    parser = ArgumentParser(prog="python -m tests.bench.rehearsals")
    parser.add_argument("what", choices=("record", "compare"))
    parser.add_argument("file", type=Path)
    parser.add_argument("other", nargs="?", help="a second file, or how many rehearsals")
    parser.add_argument("--at", metavar="COMMIT", help="with the program of a commit")
    parser.add_argument("--alike", action="append", default=[], metavar="OLD=NEW")
    told = parser.parse_args(arguments)
    if told.what == "compare":
        pairs = [(old, new) for old, _, new in (one.partition("=") for one in told.alike)]
        return compare(told.file, Path(told.other), pairs)
    count = int(told.other or COUNT)
    if told.at:
        record_at(told.at, told.file, count)
    else:
        record(told.file, count)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
